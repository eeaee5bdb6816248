package check

import (
	"cmp"
	"embed"
	"fmt"
	"slices"
	"strings"

	"wirewright/internal/problem"
)

// examples holds a bad and a mended house for each rule, in the text form of package house.
//
//go:embed example/*.yaml
var examples embed.FS

// allRules lists every rule, sorted by slug, without its examples.
func allRules() []Rule {
	list := slices.Concat(placeRules, landingRules, channelRules, motorRules, busRules, supplyRules, voltageRules, boardRules, heatRules,
		circuitRules, protectionRules, radioRules, addressRules)
	slices.SortFunc(list, func(a, b Rule) int { return cmp.Compare(a.Slug, b.Slug) })
	return list
}

// Rules lists every rule that Check applies, sorted by slug.
func Rules() []Rule {
	list := allRules()
	for i := range list {
		list[i].Bad, list[i].Mended = example(list[i].Slug, "bad"), example(list[i].Slug, "mended")
	}
	return list
}

// example reads one example of a rule; "" where there is none, which a test refuses.
func example(slug, which string) string {
	text, err := examples.ReadFile("example/" + strings.ReplaceAll(slug, "/", ".") + "." + which + ".yaml")
	if err != nil {
		return ""
	}
	return string(text)
}

// Slugs lists the slugs of all rules, sorted.
func Slugs() []string {
	list := allRules()
	slugs := make([]string, len(list))
	for i, r := range list {
		slugs[i] = r.Slug
	}
	return slugs
}

// Explain prints the reasoning of a rule for a person: what it looks at, why, by which source, and an example of a house
// that has such a finding and of the same house without. False where there is no such rule; NearestSlug may help.
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
	fmt.Fprintf(&b, "%s (%s, about a %s)\n%s.\n\n%s\n\nSource: %s\n", r.Slug, r.Severity, r.Kind, r.Title, wrap(r.Why), r.Source)
	if r.Caution != "" {
		fmt.Fprintf(&b, "\nCaution: %s\n", wrap(r.Caution))
	}
	fmt.Fprintf(&b, "\nA house with such a finding:\n\n%s\nWhat mends it there:\n\n%s", indent(r.Bad), indent(difference(r.Bad, r.Mended)))
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
