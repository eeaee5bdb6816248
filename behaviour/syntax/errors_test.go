package syntax

import (
	"flag"
	"strings"
	"testing"

	"wirewright/internal/corpus"
	"wirewright/internal/problem"
)

var rewrite = flag.Bool("rewrite", false, "write the golden files anew")

func TestEveryMistakeIsReportedBesideItsLine(t *testing.T) {
	corpus.Mistakes(t, "testdata/errors.txt", *rewrite, func(text string) problem.List {
		_, problems := Parse("", text)
		return problems
	})
}

func TestBoundsAreKept(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"bytes", strings.Repeat("#\n", MaxBytes/2+1), "may have 4194304 bytes"},
		{"depth", "at 06:30, if " + strings.Repeat("(", 100_000) + "a: stop x.y", "nested 32 deep"},
		{"nots", "at 06:30, if " + strings.Repeat("not ", 100_000) + "a: stop x.y", "nested 32 deep"},
		{"list", "group g: a" + strings.Repeat(", a", MaxList), "at most 1000 targets"},
		{"word", "mode " + strings.Repeat("a", MaxWord+1) + " is off", "200 characters"},
		{"text", `when message "` + strings.Repeat("a", MaxText+1) + `" arrives: stop x.y`, "1000 characters"},
		{"statements", strings.Repeat("mode a is on\n", MaxStatements+1), "50000 statements"},
		{"huge number", "when a.t rises above 99999999999999999999999 °C until below 1 °C: stop x.y", "too long"},
		{"not UTF-8", "mode \xff is on", "byte 0xff"},
	} {
		_, problems := Parse("", c.text)
		if len(problems) == 0 || !strings.Contains(problems[0].Text, c.want) {
			t.Errorf("%s: got %v, want %q", c.name, problems, c.want)
		}
	}
	if _, problems := Parse("", strings.Repeat("x\n", 5000)); len(problems) != MaxProblems {
		t.Errorf("%d problems reported, want the bound %d", len(problems), MaxProblems)
	}
}
