package behaviour

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"text/tabwriter"

	"wirewright/house"
)

var rewrite = flag.Bool("rewrite", false, "write the golden files anew")

// golden compares a text with a file, or writes it.
func golden(t *testing.T, name, got string) {
	t.Helper()
	if *rewrite {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if want := read(t, name); got != want {
		t.Errorf("%s differs; run the test with -rewrite and look at the change:\n%s", name, got)
	}
}

func TestListing(t *testing.T) {
	golden(t, "testdata/listing.txt", compiled(t, read(t, "testdata/sample.txt")).Listing())
}

func TestPrograms(t *testing.T) {
	var b strings.Builder
	for _, p := range compiled(t, read(t, "testdata/sample.txt")).Programs {
		b.WriteString(p.Listing() + "\n")
	}
	golden(t, "testdata/programs.txt", b.String())
}

func TestLegendsAndFindings(t *testing.T) {
	c := compiled(t, read(t, "testdata/sample.txt"))
	var b strings.Builder
	for i := range c.House.Points {
		if p := &c.House.Points[i]; p.Kind == house.Keypad {
			fmt.Fprintf(&b, "%s\n", p.ID)
			for _, l := range c.KeyLegend(p.ID) {
				fmt.Fprintf(&b, "  %d %s (%s): %s\n", l.Key, p.Keys[l.Key-1], l.Gesture, l.Text)
			}
		}
	}
	b.WriteString("findings\n")
	for _, f := range c.Findings {
		fmt.Fprintf(&b, "  %s %s line %d %s %s: %s\n    %s\n", f.Severity, f.Slug, f.Line, f.Rule, f.Point, f.Text, f.Remedy)
	}
	golden(t, "testdata/legend.txt", b.String())
}

func TestMatrix(t *testing.T) {
	m := compiled(t, read(t, "testdata/sample.txt")).Matrix()
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "cause\tcondition\t"+strings.Join(m.Columns, "\t"))
	for _, r := range m.Rows {
		cells := make([]string, len(r.Cells))
		for i, c := range r.Cells {
			if cells[i] = c; c == "" {
				cells[i] = "."
			}
		}
		fmt.Fprintln(w, r.Cause+"\t"+r.Condition+"\t"+strings.Join(cells, "\t"))
	}
	w.Flush()
	golden(t, "testdata/matrix.txt", b.String())
}
