package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"wirewright/internal/problem"
	"wirewright/job"
)

// The caret stands under the place also in a line that is too long to be shown whole.
func TestExcerptOfALongLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		before := rapid.IntRange(0, 400).Draw(t, "before")
		after := rapid.IntRange(0, 400).Draw(t, "after")
		text := "first\n" + strings.Repeat("ü", before) + "X" + strings.Repeat("ß", after)
		p := problem.Problem{Place: problem.Place{File: "a", Line: 2, Column: before + 1}}
		lines := excerpt(p, text)
		if len(lines) != 2 {
			t.Fatalf("%d lines", len(lines))
		}
		if n := utf8.RuneCountInString(lines[0]); n > excerptMost {
			t.Fatalf("the line has %d characters", n)
		}
		at := strings.Index(lines[1], "^")
		if r := []rune(lines[0]); at < 0 || at >= len(r) || r[at] != 'X' {
			t.Fatalf("the caret does not stand under the place:\n%s\n%s", lines[0], lines[1])
		}
	})
}

func TestExcerptWithoutAPlace(t *testing.T) {
	for _, c := range []struct {
		at   problem.Place
		want int
	}{{problem.Place{}, 0}, {problem.Place{Line: 9}, 0}, {problem.Place{Line: 1}, 1}, {problem.Place{Line: 1, Column: 2}, 2}} {
		if got := excerpt(problem.Problem{Place: c.at}, "one line"); len(got) != c.want {
			t.Errorf("%+v: %q", c.at, got)
		}
	}
	if got := excerpt(problem.Problem{Place: problem.Place{Line: 1}}, strings.Repeat("x", 3*excerptMost)); len(got) != 1 || len(got[0]) != excerptMost {
		t.Errorf("a long line without a column: %d lines", len(got))
	}
}

func TestMistakesTellSecondPlaces(t *testing.T) {
	var out bytes.Buffer
	s := &streams{err: &out}
	s.note("a.txt", "one\ntwo")
	s.mistakes(problem.List{{Place: problem.Place{File: "a.txt", Line: 2, Column: 1}, Text: "two again", Notes: []problem.Note{{Place: problem.Place{File: "a.txt", Line: 1}, Text: "the first is here"}}}})
	if want := "a.txt:2:1: two again\n    two\n    ^\n    a.txt:1: the first is here\n"; out.String() != want {
		t.Errorf("got %q, want %q", out.String(), want)
	}
}

func TestCodes(t *testing.T) {
	stopped, stop := context.WithCancel(context.Background())
	stop()
	for _, c := range []struct {
		name string
		ctx  context.Context
		err  error
		code int
		says string
	}{
		{"nothing", context.Background(), nil, codeGood, ""},
		{"faults", context.Background(), errFaults, codeFaults, ""},
		{"faults and a late stop", stopped, errFaults, codeFaults, ""},
		{"stopped", stopped, errors.New("interrupted (9)"), codeCould, "wirewright: stopped\n"},
		{"a hint", context.Background(), &job.Error{Subject: "a.txt", Err: errors.New("is torn"), Hint: "take another"}, codeCould, "wirewright: a.txt: is torn\nhint: take another\n"},
		{"two at once", context.Background(), errors.Join(errors.New("one"), errors.New("two")), codeCould, "wirewright: one\nwirewright: two\n"},
	} {
		var out bytes.Buffer
		s := &streams{err: &out}
		if code := s.code(c.ctx, c.err); code != c.code || out.String() != c.says {
			t.Errorf("%s: code %d, %q", c.name, code, out.String())
		}
	}
}

// A broken invariant ends with exit code 2 and a report, not with a trace on the screen.
func TestADefectIsReported(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	var out bytes.Buffer
	s := &streams{err: &out, user: func() string { panic("invariant: a lamp is a lamp") }, out: &bytes.Buffer{}}
	if code := run(context.Background(), []string{"types"}, s); code != codeCould {
		t.Errorf("exit code %d", code)
	}
	m := regexp.MustCompile(`stands in (\S+);`).FindStringSubmatch(out.String())
	if m == nil {
		t.Fatalf("no report: %s", out.String())
	}
	b, err := os.ReadFile(m[1])
	if err != nil || !strings.Contains(string(b), "a lamp is a lamp") || !strings.Contains(string(b), "goroutine") {
		t.Errorf("the report: %v %.200s", err, b)
	}
}

// A terminal sees one line that overwrites itself, everything else one plain line a stage; JSON is told nothing.
func TestProgress(t *testing.T) {
	for _, c := range []struct {
		name       string
		live, json bool
		want       string
	}{
		{"terminal", true, false, "\r\x1b[Ktry  1/2  one\r\x1b[Ktry  2/2  two\r\x1b[K"},
		{"terminal, JSON", true, true, "\r\x1b[Ktry  1/2  one\r\x1b[Ktry  2/2  two\r\x1b[K"},
		{"pipe", false, false, "try …\n"},
		{"pipe, JSON", false, true, ""},
	} {
		var out, fault bytes.Buffer
		s := &streams{out: &out, err: &fault, live: c.live, json: c.json}
		s.progress("try", "1/2  one")
		s.progress("try", "2/2  two")
		s.progressDone()
		s.progressDone()
		if fault.String() != c.want || out.Len() > 0 {
			t.Errorf("%s: %q, and %q on standard output", c.name, fault.String(), out.String())
		}
	}
	var fault bytes.Buffer
	s := &streams{err: &fault, live: true}
	s.progress("try", strings.Repeat("ü", 300))
	if n := utf8.RuneCountInString(strings.TrimPrefix(fault.String(), "\r\x1b[K")); n != progressMost {
		t.Errorf("a long line has %d characters", n)
	}
}

func TestColourOnlyWhereItMayBe(t *testing.T) {
	line := "  fault  bus/too-long  l1: too long"
	if got := (&streams{colour: true}).severity(line); got != "  \x1b[31mfault\x1b[0m  bus/too-long  l1: too long" {
		t.Errorf("%q", got)
	}
	for _, same := range []string{line, "    remedy: fault it is", "revision 3: 2 faults"} {
		if got := (&streams{}).severity(same); got != same {
			t.Errorf("%q", got)
		}
		if got := (&streams{colour: true}).severity(same); same != line && got != same {
			t.Errorf("%q", got)
		}
	}
}
