package syntax

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
)

var rewrite = flag.Bool("rewrite", false, "write the golden files anew")

// mark introduces the expected messages behind the line that they are about.
const mark = "  #> "

func TestEveryMistakeIsReportedBesideItsLine(t *testing.T) {
	const name = "testdata/errors.txt"
	lines := strings.Split(strings.TrimSuffix(read(t, name), "\n"), "\n")
	want := make([]string, len(lines))
	for i, l := range lines {
		if at := strings.LastIndex(l, mark); at >= 0 {
			lines[i], want[i] = l[:at], l[at+len(mark):]
		}
	}
	_, problems := Parse("", strings.Join(lines, "\n"))
	got := make([]string, len(lines))
	for _, p := range problems {
		m := fmt.Sprintf("%d: %s", p.Column, p.Text)
		if p.Hint != "" {
			m += " (" + p.Hint + ")"
		}
		if got[p.Line-1] != "" {
			m = got[p.Line-1] + " | " + m
		}
		got[p.Line-1] = m
	}
	if *rewrite {
		for i := range lines {
			if got[i] != "" {
				lines[i] += mark + got[i]
			}
		}
		if err := os.WriteFile(name, []byte(strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	for i := range lines {
		if got[i] != want[i] {
			t.Errorf("line %d: %s\n got %s\nwant %s", i+1, lines[i], got[i], want[i])
		}
	}
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
