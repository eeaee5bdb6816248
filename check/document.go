package check

import (
	"fmt"
	"strings"
)

// Document prints all rules as a document in Markdown: a table of them, then the reasoning of each with its example.
func Document() string {
	var b strings.Builder
	b.WriteString("# Findings\n\n")
	b.WriteString("Generated from the rules; do not edit. A **fault** must be mended, a **caution** asks to think, a **remark** says what is\n" +
		"missing. What a rule cannot know it says; it never passes it. Results do not replace the judgement of a person licensed\n" +
		"for the work, nor local rules.\n\n| finding | severity | about a | what is wrong |\n|---|---|---|---|\n")
	rules := Rules()
	for _, r := range rules {
		fmt.Fprintf(&b, "| [`%s`](#%s) | %s | %s | %s |\n", r.Slug, anchor(r.Slug), r.Severity, r.Kind, r.Title)
	}
	for _, r := range rules {
		r.section(&b)
	}
	return b.String()
}

func (r *Rule) section(b *strings.Builder) {
	fmt.Fprintf(b, "\n## %s\n\n%s (%s). %s\n", r.Slug, r.Title, r.Severity, r.Why)
	if r.Formula != "" {
		fmt.Fprintf(b, "\nFormula: `%s`\n", r.Formula)
	}
	fmt.Fprintf(b, "\nSource: %s.\n", r.Source)
	if r.Caution != "" {
		fmt.Fprintf(b, "\n> %s\n", r.Caution)
	}
	fmt.Fprintf(b, "\n```yaml\n%s```\n\nMended:\n\n```diff\n%s```\n", r.Bad, difference(r.Bad, r.Mended))
}

// anchor is how a heading is linked to: lower case, without what is no letter, digit or hyphen.
func anchor(slug string) string { return strings.ReplaceAll(slug, "/", "") }

// difference lists the lines that differ between two short texts, in order, with - before those of the first and + before
// those of the second; the expectations in comments are left out. It keeps a longest common subsequence.
func difference(before, after string) string {
	a, b := plainLines(before), plainLines(after)
	common := make([][]int, len(a)+1)
	for i := range common {
		common[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if common[i][j] = max(common[i+1][j], common[i][j+1]); a[i] == b[j] {
				common[i][j] = common[i+1][j+1] + 1
			}
		}
	}
	var out strings.Builder
	for i, j := 0, 0; i < len(a) || j < len(b); {
		switch {
		case i < len(a) && j < len(b) && a[i] == b[j]:
			i, j = i+1, j+1
		case j == len(b) || (i < len(a) && common[i+1][j] >= common[i][j+1]):
			out.WriteString("- " + a[i] + "\n")
			i++
		default:
			out.WriteString("+ " + b[j] + "\n")
			j++
		}
	}
	return out.String()
}

func plainLines(text string) []string {
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	for i, l := range lines {
		l, _, _ = strings.Cut(l, "# want:")
		lines[i] = strings.TrimRight(l, " ")
	}
	return lines
}
