package workbench

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

const smallPlan = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60" role="group" aria-label="Ground &lt;storey&gt;">
<g class="layer layer-rooms">
<g class="item" tabindex="-1" role="button" data-entity="hall" aria-label="Room Hall"><title>Room Hall</title><path class="area room" d="M10 10L50 10L50 40L10 40Z"/></g></g>
<g class="layer layer-walls">
<g class="item" data-entity="w1" aria-label="Wall w1"><path class="area wall" d="M8 8L52 8L52 10L8 10Z"/></g></g>
<g class="layer layer-points">
<g class="item" data-entity="hall.ceiling" aria-label="lamp"><circle class="area symbol" cx="30" cy="20" r="1.71"/><path class="line symbol" d="M28.79 18.79L31.21 21.21"/><text class="text quiet" x="32.5" y="20.67" font-size="1.9">ceiling</text></g></g>
</svg>`

func TestDrawingIsReadBack(t *testing.T) {
	d, err := readDrawing([]byte(smallPlan))
	if err != nil {
		t.Fatal(err)
	}
	if d.Label != "Ground <storey>" || d.Whole != (box{0, 0, 100, 60}) || len(d.Layers) != 3 {
		t.Errorf("it reads %+v", d)
	}
	for i, want := range []struct {
		kind           string
		pointed, small bool
		at             box
	}{{"room", true, false, box{10, 10, 40, 30}}, {"wall", false, false, box{8, 8, 44, 2}}, {"point", true, true, box{28.29, 18.29, 3.42, 3.42}}} {
		it := d.Layers[i].Items[0]
		if it.Kind != want.kind || it.Pointed() != want.pointed || it.Small() != want.small || !near(it.Box, want.at) {
			t.Errorf("item %d is a %s at %v, pointed %v, small %v", i, it.Kind, it.Box, it.Pointed(), it.Small())
		}
	}
	if at, ok := d.find("hall.ceiling"); !ok || at.CX() != "30" || at.CY() != "20" {
		t.Errorf("the lamp is at %v", at)
	}
	if _, ok := d.find(""); ok {
		t.Error("something without a name is found")
	}
}

func near(a, b box) bool {
	return math.Abs(a.X-b.X) < .01 && math.Abs(a.Y-b.Y) < .01 && math.Abs(a.W-b.W) < .01 && math.Abs(a.H-b.H) < .01
}

func TestSectionLeavesOutWhatLiesOutside(t *testing.T) {
	d, err := readDrawing([]byte(smallPlan))
	if err != nil {
		t.Fatal(err)
	}
	d.section(box{10, 25, 20, 10})
	if len(d.Layers[0].Items) != 1 || len(d.Layers[1].Items) != 0 || len(d.Layers[2].Items) != 0 {
		t.Errorf("the section shows %+v", d.Layers)
	}
}

func TestOddDrawingsAreRefused(t *testing.T) {
	for _, text := range []string{"", "<svg", "<html/>", `<svg viewBox="0 0 0 0"/>`, `<svg viewBox="0 0 a b"/>`, `<svg viewBox="0 0 1e9 1"/>`, strings.Replace(smallPlan, "</svg>", "", 1)} {
		if _, err := readDrawing([]byte(text)); err == nil {
			t.Errorf("%.40q is read as a plan", text)
		}
	}
}

// Whatever an address asks for, the section is of a sensible size and shows some of the sheet.
func TestSectionStaysOnTheSheet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Float64Range(-2e6, 2e6)
		whole := box{0, 0, rapid.Float64Range(20, 900).Draw(t, "wide"), rapid.Float64Range(20, 900).Draw(t, "high")}
		b, ok := readBox(strings.Join([]string{number(n.Draw(t, "x")), number(n.Draw(t, "y")), number(n.Draw(t, "w")), number(n.Draw(t, "h"))}, " "))
		if !ok {
			return
		}
		b = b.within(whole)
		for _, v := range []float64{b.X, b.Y, b.W, b.H} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%v", b)
			}
		}
		cx, cy := b.X+b.W/2, b.Y+b.H/2
		if b.W > whole.W*sectionMost+.01 && b.H > whole.H*sectionMost+.01 || max(b.W, b.H) < sectionLeast-.01 || cx < -.01 || cy < -.01 || cx > whole.W+.01 || cy > whole.H+.01 {
			t.Fatalf("%v of a sheet of %v", b, whole)
		}
	})
}

func FuzzReadBox(f *testing.F) {
	for _, s := range []string{"1 2 3 4", "0,0,170,115", "-1 -2 3.5 4.25", "", "1 2 3", "a b c d", "1e3 2 3 4", "--1 2 3 4", "NaN 1 1 1", "9999999 1 1 1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		b, ok := readBox(s)
		if !ok {
			return
		}
		if b.W <= 0 || b.H <= 0 || math.Abs(b.X) > numberMost || math.IsNaN(b.within(box{0, 0, 100, 100}).X) {
			t.Errorf("%q is read as %v", s, b)
		}
	})
}

func FuzzReadDrawing(f *testing.F) {
	f.Add([]byte(smallPlan))
	f.Add([]byte(`<svg viewBox="0 0 1 1" aria-label=""><g class="layer layer-points"><g data-entity="x"><path d="M1 1L"/></g></g></svg>`))
	f.Add([]byte(`<svg viewBox="0 0 1 1"><g><g><text x="1" y="2">t</text></g></g></svg>`))
	f.Fuzz(func(t *testing.T, text []byte) {
		d, err := readDrawing(text)
		if err != nil {
			return
		}
		d.section(box{0, 0, 10, 10}.within(d.Whole))
		for _, l := range d.Layers {
			for _, it := range l.Items {
				if math.IsNaN(it.Box.X) || math.IsInf(it.Box.W, 0) {
					t.Errorf("an item lies at %v", it.Box)
				}
			}
		}
	})
}
