package syntax

import (
	"fmt"
	"strings"
	"testing"
)

// FuzzParse checks that no text makes the parser fail, that its places lie in the text, and that what the formatter
// prints reads as the same tree and is its own format.
func FuzzParse(f *testing.F) {
	for _, name := range []string{"testdata/canonical.txt", "testdata/errors.txt"} {
		for _, line := range strings.Split(read(f, name), "\n") {
			f.Add(line)
		}
		f.Add(read(f, name))
	}
	f.Fuzz(func(t *testing.T, text string) {
		file, problems := Parse("f", text)
		lines := strings.Count(text, "\n") + 1
		for _, p := range problems {
			if p.Line < 1 || p.Line > lines || p.Column < 1 || p.Text == "" {
				t.Fatalf("a problem without a place in the text: %v", p)
			}
		}
		if len(problems) > 0 {
			return
		}
		printed := Format(file)
		again, problems := Parse("f", printed)
		if len(problems) > 0 {
			t.Fatalf("%q is printed as %q, which has %v", text, printed, problems)
		}
		if !sameTree(file, again) {
			t.Fatalf("%q is printed as %q, which reads differently", text, printed)
		}
		if twice := Format(again); twice != printed {
			t.Fatalf("%q is printed as %q, then as %q", text, printed, twice)
		}
	})
}

// ruleText is a text of n rules of various kinds.
func ruleText(n int) string {
	var b strings.Builder
	for i := range n {
		switch i % 4 {
		case 0:
			fmt.Fprintf(&b, "when room%d.keys.1 is pressed: toggle room%d.ceiling\n", i, i)
		case 1:
			fmt.Fprintf(&b, "when room%d.presence begins, if dark and not away: turn on room%d.ceiling for 3 min\n", i, i)
		case 2:
			fmt.Fprintf(&b, "rule r%d for wish w%d:\n  at sunset + 15 min on Monday to Friday, unless away: lower all shutters of room%d\n", i, i, i)
		default:
			fmt.Fprintf(&b, "while room%d.wind is above 12 m/s until below 8 m/s for at least 5 s: hold room%d.awning raised\n", i, i)
		}
	}
	return b.String()
}

func BenchmarkParse5000Rules(b *testing.B) {
	text := ruleText(5000)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if f, problems := Parse("", text); len(problems) > 0 || len(f.Statements) != 5000 {
			b.Fatal(problems)
		}
	}
}

func BenchmarkFormat5000Rules(b *testing.B) {
	f, _ := Parse("", ruleText(5000))
	for b.Loop() {
		Format(f)
	}
}
