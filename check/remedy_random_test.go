package check

import (
	"slices"
	"testing"

	"wirewright/house"
	"wirewright/house/generated"
)

// TestRemediesMendRandomHouses edits houses at random and applies every remedy that can be applied, one at a time: its
// finding is gone, and no other fault or caution has come. What the remedies do in words is counted.
func TestRemediesMendRandomHouses(t *testing.T) {
	c := builtin(t)
	list := []*house.House{generated.House(40, 7), generated.House(60, 11), editable(t)[0]}
	tried, words, edits := 0, 0, 0
	for seed := range uint64(45) {
		h := list[int(seed)%len(list)]
		e := newEditor(7000+seed, c)
		made := 0
		for range 40 {
			if next, _ := e.edit(h); len(house.Validate(next)) == 0 {
				h, made = next, made+1
			}
		}
		edits += made
		k := New(h, c)
		said := k.Findings()
		before := found(said)
		for _, f := range said {
			if f.Remedy == nil || len(f.Remedy.Changes) == 0 {
				words++
				continue
			}
			tried++
			next, err := house.Apply(h, f.Remedy.Changes)
			if err != nil {
				t.Errorf("%s of %s: %v", f.Slug, f.Entity, err)
				continue
			}
			after := found(k.Update(next, f.Remedy.Changes))
			k.Update(h, house.Invert(f.Remedy.Changes))
			if gone, come := minus(before, after), minus(after, before); !slices.Contains(gone, f.Slug+" "+string(f.Entity)) || len(come) > 0 {
				t.Errorf("seed %d: %q for %s of %s: gone %v, come %v", seed, f.Remedy.Text, f.Slug, f.Entity, gone, come)
			}
		}
	}
	t.Logf("%d edits were made; %d remedies were applied, %d findings have words only", edits, tried, words)
	if tried < 300 || edits < 300 {
		t.Error("the edits are too tame")
	}
}
