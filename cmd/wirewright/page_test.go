package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// The page about the command line is made from the command line itself.
func TestPageOfTheCommandLineIsCurrent(t *testing.T) {
	golden(t, filepath.Join("..", "..", "docs", "cli.md"), page(model(t)))
}

// page writes the page.
func page(m *kong.Application) string {
	var b strings.Builder
	b.WriteString("# Command line\n\nGenerated from the command line itself; do not edit (`go test ./cmd/wirewright -run Page -rewrite`).\n\n")
	b.WriteString("`wirewright VERB JOB …` works on one job file. Answers go to standard output; progress, mistakes and hints go to standard\nerror.\n\n")
	b.WriteString("| exit code | means |\n|---|---|\n| 0 | good |\n| 1 | the work was done and faults were found, or tests failed |\n| 2 | it could not be done; the reason, and what to do, stand on standard error |\n\n")
	b.WriteString("With `--json` the answer is one JSON value: keys are added, never renamed, and a list without entries is `[]`. Colour is\nused on a terminal only, and never where `NO_COLOR` is set. Ctrl+C stops a long verb; the job stays as it was after its last\nwhole step.\n\n")
	b.WriteString("| flag of every verb | |\n|---|---|\n")
	for _, f := range m.Flags {
		fmt.Fprintf(&b, "| `%s` | %s |\n", flagText(f), f.Help)
	}
	b.WriteString("\n| verb | |\n|---|---|\n")
	for _, n := range m.Children {
		if !n.Hidden {
			fmt.Fprintf(&b, "| [`%s`](#%s) | %s |\n", n.Name, n.Name, n.Help)
		}
	}
	for _, n := range m.Children {
		if !n.Hidden {
			verbPage(&b, n)
		}
	}
	return b.String()
}

// verbPage writes the section of one verb.
func verbPage(b *strings.Builder, n *kong.Node) {
	fmt.Fprintf(b, "\n## %s\n\n%s", n.Name, n.Help)
	for line := range strings.Lines(n.Detail) {
		if line = strings.TrimSpace(line); line == "" || strings.HasPrefix(line, "wirewright ") || strings.HasPrefix(line, "Example") {
			continue
		}
		b.WriteString(" " + line)
	}
	fmt.Fprintf(b, "\n\n```\n%s\n```\n", strings.Join(examples(n), "\n"))
	if len(n.Positional)+len(n.Flags) == 0 {
		return
	}
	b.WriteString("\n| argument | |\n|---|---|\n")
	for _, p := range n.Positional {
		fmt.Fprintf(b, "| `%s` | %s |\n", p.Summary(), p.Help)
	}
	for _, f := range n.Flags {
		fmt.Fprintf(b, "| `%s` | %s |\n", flagText(f), f.Help)
	}
}

// flagText is a flag as one types it.
func flagText(f *kong.Flag) string {
	text := "--" + f.Name
	if !f.IsBool() {
		text += "=" + f.FormatPlaceHolder()
	}
	if f.Short != 0 {
		text = fmt.Sprintf("-%c, %s", f.Short, text)
	}
	return text
}
