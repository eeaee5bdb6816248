package check

import (
	"fmt"
	"strings"

	"wirewright/internal/problem"
)

// Explain prints the reasoning of a rule for a person: what it looks at, why, by which formula and source, and an example
// of a house that has such a finding and of the same house without. False where there is no such rule; NearestSlug may
// help.
func Explain(slug string) (string, bool) {
	for _, r := range Rules() {
		if r.Slug == slug {
			return r.explanation(), true
		}
	}
	return "", false
}

// NearestSlug is the slug that a misspelt one most probably meant, "" when none is near.
func NearestSlug(slug string) string { return problem.Nearest(slug, Slugs()) }

func (r *Rule) explanation() string {
	var b strings.Builder
	r.reason(&b)
	fmt.Fprintf(&b, "\nA house with such a finding:\n\n%s\nWhat mends it there:\n\n%s", indent(r.Bad), indent(difference(r.Bad, r.Mended)))
	return b.String()
}

// reason prints what a rule says of itself, its examples apart.
func (r *Rule) reason(b *strings.Builder) {
	fmt.Fprintf(b, "%s (%s, about a %s)\n%s.\n\n%s\n", r.Slug, r.Severity, r.Kind, r.Title, wrap(r.Why))
	if r.Formula != "" {
		fmt.Fprintf(b, "\nFormula: %s\n", r.Formula)
	}
	fmt.Fprintf(b, "\nSource: %s\n", r.Source)
	if r.Caution != "" {
		fmt.Fprintf(b, "\nCaution: %s\n", wrap(r.Caution))
	}
}

// Working prints a finding with the reasoning of its rule and the figures put in. What no rule of this package found is
// printed without reasoning.
func Working(f Finding) string {
	var b strings.Builder
	for _, r := range allRules() {
		if r.Slug == f.Slug {
			r.reason(&b)
			b.WriteByte('\n')
		}
	}
	of := f.Kind
	if f.Entity != "" {
		of += " " + string(f.Entity)
	}
	fmt.Fprintf(&b, "Found of %s: %s\n", of, wrap(f.Text))
	for _, t := range f.Terms {
		b.WriteString("    " + t.String() + "\n")
	}
	if f.Measured != "" {
		b.WriteString("    found: " + f.Measured + "\n")
	}
	if f.Limit != "" {
		b.WriteString("    limit: " + f.Limit + "\n")
	}
	if f.Remedy != nil {
		fmt.Fprintf(&b, "\nRemedy: %s\n", wrap(f.Remedy.Text))
	}
	return b.String()
}

// wrap breaks a text into lines of at most a hundred characters.
func wrap(text string) string {
	const most = 100
	var b strings.Builder
	length := 0
	for _, word := range strings.Fields(text) {
		n := len([]rune(word))
		switch {
		case length == 0:
		case length+1+n > most:
			b.WriteByte('\n')
			length = 0
		default:
			b.WriteByte(' ')
			length++
		}
		b.WriteString(word)
		length += n
	}
	return b.String()
}

func indent(text string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		b.WriteString("    " + line)
	}
	return b.String()
}
