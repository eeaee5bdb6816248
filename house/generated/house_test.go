package generated

import (
	"bytes"
	"testing"

	"wirewright/catalogue"
	"wirewright/house"
)

func TestHouseIsValidAndTheSameEachTime(t *testing.T) {
	for _, points := range []int{1, 40, 300, 20_000} {
		h := House(points, 1)
		if problems := house.Validate(h); problems != nil {
			t.Fatalf("%d points: %v", points, problems[0])
		}
		if n := len(h.Points); n < points || n > points+8 {
			t.Errorf("%d points wished, %d made", points, n)
		}
		if !bytes.Equal(house.Write(h), house.Write(House(points, 1))) {
			t.Error("the same numbers gave another house")
		}
		if points > 1 && bytes.Equal(house.Write(h), house.Write(House(points, 2))) {
			t.Error("another seed gave the same house")
		}
	}
}

func TestModulesAreOfTheBuiltInCatalogue(t *testing.T) {
	all, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range House(400, 1).Modules {
		typ, ok := all.Type(m.Type)
		if !ok {
			t.Fatalf("%s: the catalogue has no type %q", m.ID, m.Type)
		}
		for _, l := range m.Landings {
			if _, ok := typ.Channel(l.Channel); !ok {
				t.Errorf("%s: type %s has no channel %s", m.ID, m.Type, l.Channel)
			}
		}
	}
}
