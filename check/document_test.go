package check

import (
	"encoding/json"
	"flag"
	"os"
	"strings"
	"testing"
)

var rewrite = flag.Bool("rewrite", false, "write the generated documents and golden files anew")

// golden holds a text against a file that a person can read; -rewrite writes the file.
func golden(t *testing.T, file, text string) {
	t.Helper()
	if *rewrite {
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if want, err := os.ReadFile(file); err != nil || string(want) != text {
		t.Errorf("%s is not current (%v): go test ./check -rewrite, and look at the difference", file, err)
	}
}

func TestFindingsDocumentIsCurrent(t *testing.T) {
	text := Document()
	golden(t, "../docs/findings.md", text)
	for _, slug := range Slugs() {
		if strings.Count(text, "\n## "+slug+"\n") != 1 {
			t.Errorf("%s has no section of its own", slug)
		}
	}
}

// TestFindingsAsJSON keeps the form of findings for machines: field names, order, and the changes of remedies.
func TestFindingsAsJSON(t *testing.T) {
	c := builtin(t)
	for _, s := range samples(t, "testdata/*.yaml") {
		text, err := json.MarshalIndent(Check(s.house, c), "", "  ")
		if err != nil {
			t.Fatal(err)
		}
		golden(t, "testdata/"+strings.TrimSuffix(s.name, ".yaml")+".findings.json", string(text)+"\n")
	}
}

func TestDifference(t *testing.T) {
	for _, c := range []struct{ before, after, want string }{
		{"a\nb\nc\n", "a\nb\nc\n", ""},
		{"a\nb # want: x/y\nc\n", "a\nb\nd\n", "- c\n+ d\n"},
		{"a\nc\n", "a\nb\nc\n", "+ b\n"},
		{"a\nb\n", "", "- a\n- b\n+ \n"},
	} {
		if got := difference(c.before, c.after); got != c.want {
			t.Errorf("%q to %q: %q, want %q", c.before, c.after, got, c.want)
		}
	}
}
