package job

import (
	"errors"
	"strings"
	"testing"

	"wirewright/check"
	"wirewright/house"
	"wirewright/unit"
)

func TestWorkingsArePrintedOneAfterTheOther(t *testing.T) {
	f := check.Finding{Slug: "bus/too-long", Kind: "line", Entity: "main", Text: "Too long.", Measured: "301 m", Limit: "300 m",
		Terms: []check.Term{{Name: "cable in all", Symbol: "Σ l", Value: 301, Unit: "m"}}}
	g := f
	g.Entity = "other"
	text := strings.Join(Working{Slug: f.Slug, Findings: []check.Finding{f, g}}.Lines(), "\n")
	for _, part := range []string{"Found of line main: Too long.\n    Σ l = 301 m, cable in all\n    found: 301 m\n    limit: 300 m\n", "Found of line other:", "Formula: Σ l ≤ l(most)"} {
		if !strings.Contains(text, part) {
			t.Errorf("%q is missing in\n%s", part, text)
		}
	}
	if got := (Working{Slug: f.Slug, Entity: "main", revision: 3}).Lines(); len(got) != 1 || got[0] != "revision 3: bus/too-long is not found of main" {
		t.Errorf("%q", got)
	}
}

// TestExplainInAJob asks a job for a finding that it has, one that it has not, and one that there is not.
func TestExplainInAJob(t *testing.T) {
	j := begun(t)
	lamp := house.Point{ID: "lamp", Kind: house.Lamp, Load: &house.Load{Category: house.LED, Power: unit.Watts(9)}}
	if _, err := j.Edit(t.Context(), 0, []house.Change{{Kind: "point", ID: "lamp", After: lamp}}, "a lamp on nothing"); err != nil {
		t.Fatal(err)
	}
	list, err := j.Check(t.Context())
	if err != nil || len(list.List) == 0 {
		t.Fatalf("nothing is found: %v", err)
	}
	f := list.List[0]
	w, err := j.Explain(t.Context(), f.Slug, string(f.Entity))
	if err != nil || len(w.Findings) == 0 || w.Findings[0].Text != f.Text {
		t.Errorf("%s of %s: %v %v", f.Slug, f.Entity, w.Findings, err)
	}
	if w, err := j.Explain(t.Context(), f.Slug, "nobody"); err != nil || len(w.Findings) > 0 {
		t.Errorf("of nobody: %v %v", w.Findings, err)
	}
	var wrong *Error
	if _, err := j.Explain(t.Context(), "bus/to-long", ""); !errors.As(err, &wrong) || !strings.Contains(wrong.Hint, "bus/too-long") {
		t.Errorf("a name that no rule has: %v", err)
	}
}
