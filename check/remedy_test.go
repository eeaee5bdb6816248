package check

import (
	"slices"
	"strings"
	"testing"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/house/generated"
)

// mended applies the changes of a finding and says what is found then, which findings are gone and which have come.
func mended(t *testing.T, h *house.House, c *catalogue.Catalogue, f Finding, before []string) (after, gone, come []string) {
	t.Helper()
	changed, err := house.Apply(h, f.Remedy.Changes)
	if err != nil {
		t.Fatalf("%s of %s: the remedy cannot be applied: %v", f.Slug, f.Entity, err)
	}
	if problems := house.Validate(changed); len(problems) > 0 && len(house.Validate(h)) == 0 {
		t.Errorf("%s of %s: the remedy makes an invalid house: %v", f.Slug, f.Entity, problems[0])
	}
	after = found(Check(changed, c))
	return after, minus(before, after), minus(after, before)
}

// minus takes the entries of b from those of a, each as often as it stands there.
func minus(a, b []string) []string {
	left := slices.Clone(a)
	for _, x := range b {
		if i := slices.Index(left, x); i >= 0 {
			left = slices.Delete(left, i, i+1)
		}
	}
	return left
}

// TestRemediesMend applies every mechanical remedy of every sample, one at a time: its finding must be gone, and no other
// may have come. Other findings may go with it: one module in the place of another mends all that it was too weak for.
func TestRemediesMend(t *testing.T) {
	c := builtin(t)
	mechanical := map[string]bool{}
	for _, s := range append(samples(t, "example/*.bad.yaml"), samples(t, "testdata/*.yaml")...) {
		list := Check(s.house, c)
		before := found(list)
		for _, f := range list {
			if f.Remedy == nil || f.Remedy.Text == "" {
				t.Errorf("%s: %s has no remedy", s.name, f.Slug)
				continue
			}
			if len(f.Remedy.Changes) == 0 {
				continue
			}
			mechanical[f.Slug] = true
			_, gone, come := mended(t, s.house, c, f, before)
			if !slices.Contains(gone, f.Slug+" "+string(f.Entity)) || len(come) > 0 {
				t.Errorf("%s: %q for %s of %s: gone %v, come %v", s.name, f.Remedy.Text, f.Slug, f.Entity, gone, come)
			}
		}
	}
	for _, slug := range []string{"type/unknown", "channel/overload", "channel/no-rating", "channel/too-many-lamps", "channel/inrush",
		"channel/dimmer-edge", "channel/dimmer-minimum", "landing/no-channel", "landing/wrong-kind", "landing/point-twice", "landing/missing",
		"box/too-shallow", "board/overlap", "board/outside", "board/unplaced", "board/device-place", "board/mixed-voltage", "board/hot-spot", "board/too-small", "board/terminals", "bus/no-head", "bus/foreign-module", "bus/unknown-cable",
		"bus/too-many-taps", "bus/supply-overload", "bus/supply-margin", "address/twice", "address/in-pool", "address/outside",
		"address/reserved", "address/missing", "address/wrong-form", "host/twice", "circuit/none", "module/no-feed",
		"bus/voltage-low", "bus/no-headroom", "circuit/capacity", "circuit/drop", "circuit/earth-fault", "circuit/loop"} {
		if !mechanical[slug] {
			t.Errorf("no sample shows a mechanical remedy for %s", slug)
		}
	}
}

// TestRemediesMendGeneratedHouses does the same with what is wrong in a generated house.
func TestRemediesMendGeneratedHouses(t *testing.T) {
	c := builtin(t)
	h := generated.House(60, 3)
	list := Check(h, c)
	before := found(list)
	tried := 0
	for _, f := range list {
		if len(f.Remedy.Changes) == 0 {
			continue
		}
		tried++
		if _, gone, come := mended(t, h, c, f, before); !slices.Contains(gone, f.Slug+" "+string(f.Entity)) || len(come) > 0 {
			t.Errorf("%q for %s of %s: gone %v, come %v", f.Remedy.Text, f.Slug, f.Entity, gone, come)
		}
	}
	t.Logf("%d findings, %d mechanical remedies tried", len(list), tried)
}

// TestReplacementsCarryWhatTheyAreNamedFor holds the sentence of a remedy against its change.
func TestReplacementsCarryWhatTheyAreNamedFor(t *testing.T) {
	c := builtin(t)
	for _, s := range samples(t, "example/channel.overload.bad.yaml") {
		for _, f := range Check(s.house, c) {
			if !strings.Contains(f.Remedy.Text, "relay-wifi-1x5-in1") {
				t.Errorf("the cheapest type for the box that carries 500 W on its out1 is relay-wifi-1x5-in1 (36.00), not: %s", f.Remedy.Text)
			}
		}
	}
}
