package check

import (
	"math"
	"strings"
	"testing"

	"wirewright/house"
	"wirewright/unit"
)

// TestFormulasAreShownWithTheirFigures: the bad example of every rule with a formula prints a working, and the figures that
// are put in are those that the formula names.
func TestFormulasAreShownWithTheirFigures(t *testing.T) {
	c := builtin(t)
	for _, r := range Rules() {
		if r.Formula == "" {
			continue
		}
		shown := false
		for _, f := range Check(read(t, r.Slug, r.Bad), c) {
			if f.Slug != r.Slug {
				continue
			}
			shown = true
			text := Working(f)
			if len(f.Terms) < 1 || !strings.Contains(text, "Formula: "+r.Formula) || !strings.Contains(text, "Source: "+r.Source) {
				t.Errorf("%s: the working is not whole:\n%s", r.Slug, text)
			}
			for _, term := range f.Terms {
				if !strings.Contains(text, term.String()) || term.Name == "" || term.Symbol == "" {
					t.Errorf("%s: %v is not whole", r.Slug, term)
				}
			}
		}
		if !shown {
			t.Errorf("%s is not found in its own bad example", r.Slug)
		}
	}
}

// valueOf is the value of a term by its symbol, NaN where there is none.
func valueOf(f Finding, symbol string) float64 {
	for _, t := range f.Terms {
		if t.Symbol == symbol {
			return t.Value
		}
	}
	return math.NaN()
}

// TestWorkingsAddUp computes a load, a common terminal, a line and a board again from the figures that a finding shows:
// I = P/(U·cosφ); the household rule 1.2·Pdp + Pau; 1.3 times the current of a line.
func TestWorkingsAddUp(t *testing.T) {
	c := builtin(t)
	near := func(what string, got, want float64) {
		if !(math.Abs(got-want) <= 1e-7*math.Max(1, math.Abs(want))) {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	tried := 0
	for _, s := range append(samples(t, "example/*.bad.yaml"), samples(t, "testdata/*.yaml")...) {
		for _, f := range Check(s.house, c) {
			tried++
			switch f.Slug {
			case "channel/overload", "channel/dimmer-minimum":
				near(s.name+" I", valueOf(f, "I"), valueOf(f, "P")/(valueOf(f, "U")*valueOf(f, "cosφ")))
			case "channel/inrush":
				near(s.name+" Σ Ipk", valueOf(f, "Σ Ipk"), valueOf(f, "n")*valueOf(f, "Ipk"))
			case "board/heat", "board/heat-devices", "board/rise":
				near(s.name+" P", valueOf(f, "P"), 1.2*valueOf(f, "Pdp")+valueOf(f, "Pau"))
			case "bus/supply-overload", "bus/supply-margin":
				near(s.name+" 1.3 Σ I", valueOf(f, "1.3·Σ I"), 1.3*valueOf(f, "Σ I"))
			case "radio/weak":
				near(s.name+" margin", valueOf(f, "margin"), valueOf(f, "level")-valueOf(f, "threshold"))
			default:
				tried--
			}
		}
	}
	if tried < 8 {
		t.Errorf("only %d workings were computed again", tried)
	}
}

func TestTermsArePrintedForPeople(t *testing.T) {
	for _, c := range []struct {
		term Term
		want string
	}{
		{Term{"current of the load", "I", 8.69565, "A"}, "I = 8.696 A, current of the load"},
		{Term{"lamps", "n", 12, ""}, "n = 12, lamps"},
		{Term{"loop", "Zs", 0.35, "Ω"}, "Zs = 0.35 Ω, loop"},
		{Term{"way", "l", 50_000, "m"}, "l = 50000 m, way"},
		{Term{"little", "I", 0.000012345, "A"}, "I = 1.234e-05 A, little"},
		{Term{"much", "P", 1.5e12, "W"}, "P = 1.5e+12 W, much"},
		{Term{"nothing", "x", math.Copysign(0, -1), "W"}, "x = 0 W, nothing"},
	} {
		if got := c.term.String(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	if got := finite([]Term{{"", "a", math.NaN(), ""}, {"", "b", 1, ""}, {"", "c", math.Inf(1), ""}}); len(got) != 1 || got[0].Symbol != "b" {
		t.Errorf("kept %v", got)
	}
}

// TestFindingsOfOthersAreExplainedToo: a finding of a rule that is not of this package has its text all the same.
func TestFindingsOfOthersAreExplainedToo(t *testing.T) {
	f := Finding{Slug: "rule/no-way-off", Kind: "text", Text: "The rule has no way off.", Remedy: &Remedy{Text: "Write one."}}
	if got := Working(f); got != "Found of text: The rule has no way off.\n\nRemedy: Write one.\n" {
		t.Errorf("%q", got)
	}
	h := lineOf("temperature-wall", unit.Metres(301))
	h.Format = house.FormatName
	for _, f := range Check(h, builtin(t)) {
		if got := Working(f); !strings.Contains(got, "Σ l = 302 m, cable of all taps and stubs\n") {
			t.Errorf("%s", got)
		}
	}
}
