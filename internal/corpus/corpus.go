// Package corpus holds a reader to a file of wrong texts in which every expected message stands behind the line that it is
// about. For tests.
package corpus

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"wirewright/internal/problem"
)

// mark introduces the expected messages behind the line that they are about.
const mark = "  #> "

// Mistakes reads a file, takes the expected messages out, lets the reader report on the rest, and compares line by line;
// with rewrite it writes what was reported instead. A mistake without a line fails the test.
func Mistakes(t *testing.T, file string, rewrite bool, report func(text string) problem.List) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
	want := make([]string, len(lines))
	for i, l := range lines {
		if at := strings.LastIndex(l, mark); at >= 0 {
			lines[i], want[i] = l[:at], l[at+len(mark):]
		}
	}
	got := beside(t, len(lines), report(strings.Join(lines, "\n")))
	if rewrite {
		write(t, file, lines, got)
		return
	}
	for i := range lines {
		if got[i] != want[i] {
			t.Errorf("line %d: %s\n got %s\nwant %s", i+1, lines[i], got[i], want[i])
		}
	}
}

// beside puts the messages of a list beside their lines.
func beside(t *testing.T, lines int, list problem.List) []string {
	t.Helper()
	got := make([]string, lines)
	for _, p := range list {
		if p.Line < 1 || p.Line > lines {
			t.Fatalf("a mistake without a line: %v", p)
		}
		m := fmt.Sprintf("%d: %s", p.Column, p.Text)
		if p.Hint != "" {
			m += " (" + p.Hint + ")"
		}
		for _, n := range p.Notes {
			m += fmt.Sprintf(" [line %d: %s]", n.Place.Line, n.Text)
		}
		if got[p.Line-1] != "" {
			m = got[p.Line-1] + " | " + m
		}
		got[p.Line-1] = m
	}
	return got
}

func write(t *testing.T, file string, lines, got []string) {
	t.Helper()
	for i := range lines {
		if got[i] != "" {
			lines[i] += mark + got[i]
		}
	}
	if err := os.WriteFile(file, []byte(strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
}
