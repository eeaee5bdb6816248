package check

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/unit"
)

// boardOf makes a board with modules of some heat in W each, one unit wide, and circuits of some ratings in A.
func boardOf(b house.Board, heats, ratings []float64) (*house.House, *catalogue.Catalogue) {
	c := &catalogue.Catalogue{}
	b.ID = "board"
	h := &house.House{Boards: []house.Board{b}}
	for i, w := range heats {
		id := fmt.Sprintf("m%d", i)
		c.Types = append(c.Types, catalogue.Type{ID: id, Medium: catalogue.Gateway, Mount: catalogue.Rail, Units: 1, Heat: unit.Watts(w)})
		h.Modules = append(h.Modules, house.Module{ID: house.ID(id), Type: id, Board: "board", Row: 1, Slot: 1 + i})
	}
	for i, a := range ratings {
		h.Circuits = append(h.Circuits, house.Circuit{ID: house.ID(fmt.Sprintf("f%d", i)), Board: "board", Rating: unit.Amperes(a)})
	}
	return h, c
}

// aboutHeat is what Check finds by the rules of heat.go.
func aboutHeat(h *house.House, c *catalogue.Catalogue) (slugs []string, list []Finding) {
	for _, f := range Check(h, c) {
		if slices.ContainsFunc(heatRules, func(r Rule) bool { return r.Slug == f.Slug }) {
			slugs, list = append(slugs, f.Slug), append(list, f)
		}
	}
	return slugs, list
}

// TestHouseholdRule: six circuits of 16 A are 6 × 3.5 W × 0.6² = 7.56 W, times 1.2 are 9.072 W; with 14 W of modules 23.072 W.
func TestHouseholdRule(t *testing.T) {
	six := []float64{16, 16, 16, 16, 16, 16}
	for _, c := range []struct {
		loss    float64
		ratings []float64
		want    []string
	}{
		{23.073, six, nil}, {23.071, six, []string{"board/heat-devices"}}, {14, six, []string{"board/heat-devices"}}, {13.99, six, []string{"board/heat"}},
		{14, nil, nil}, {0, six, []string{"board/heat-unknown"}},
		{14, []float64{0, 125}, nil}, // no figure for these: neither a rating nor one above 63 A
	} {
		h, cat := boardOf(house.Board{Loss: unit.Watts(c.loss)}, []float64{5, 9}, c.ratings)
		got, list := aboutHeat(h, cat)
		if !slices.Equal(got, c.want) {
			t.Errorf("%g W: found %v, want %v", c.loss, got, c.want)
		}
		if len(list) > 0 && c.loss > 0 && !strings.Contains(list[0].Remedy.Text, "m1 (9 W)") {
			t.Errorf("%g W: the remedy does not name the module with most heat: %s", c.loss, list[0].Remedy.Text)
		}
	}
}

// TestThreePolesCountThrice: a device of 32 A on three phases is 3 × 6 W alone, times 1.2 21.6 W.
func TestThreePolesCountThrice(t *testing.T) {
	h, cat := boardOf(house.Board{Loss: unit.Watts(22.5)}, []float64{1}, []float64{32})
	if got, _ := aboutHeat(h, cat); len(got) > 0 {
		t.Errorf("one phase: %v", got)
	}
	h.Circuits[0].Phase = "all"
	if got, list := aboutHeat(h, cat); !slices.Equal(got, []string{"board/heat-devices"}) || list[0].Measured != "22.6 W" {
		t.Errorf("three phases: %+v", list)
	}
}

// Worked by the equations of IEC TR 60890, on a wall: 0.6 × 0.4 × 0.12 m with 20 W gets 13.640 K warmer under its top, with 40 W
// 23.814 K; 0.8 × 0.6 × 0.15 m with 40 W 14.695 K. 15 K lie at 22.510 W in the first.
func TestRiseUnderTheTop(t *testing.T) {
	small := house.Board{Height: unit.Metres(.6), Width: unit.Metres(.4), Depth: unit.Metres(.12)}
	for _, c := range []struct {
		board house.Board
		watts float64
		want  string
	}{
		{small, 20, ""}, {small, 40, "23.8 K"}, {house.Board{Height: unit.Metres(.8), Width: unit.Metres(.6), Depth: unit.Metres(.15)}, 40, ""},
		{house.Board{Height: unit.Metres(2), Width: unit.Metres(.8), Depth: unit.Metres(.6)}, 200, ""}, // 0.15955·200^0.804·1.42614 = 16.1 K
		{house.Board{Height: unit.Metres(2), Width: unit.Metres(.8), Depth: unit.Metres(.6)}, 400, "28.1 K"},
	} {
		h, cat := boardOf(c.board, []float64{c.watts}, nil)
		got, list := aboutHeat(h, cat)
		switch {
		case c.want == "" && len(got) > 0:
			t.Errorf("%g W: found %v", c.watts, got)
		case c.want != "" && (!slices.Equal(got, []string{"board/rise"}) || list[0].Measured != c.want):
			t.Errorf("%g W: %+v, want %s", c.watts, list, c.want)
		}
	}
}

// TestSpareRoom: 47 units used are 20 % short of ⌈47/0.8⌉ = 59 units, as worked by hand.
func TestSpareRoom(t *testing.T) {
	for units, want := range map[int][]string{59: nil, 58: {"board/spare"}} {
		h, cat := boardOf(house.Board{Rows: 1, Units: units, Loss: unit.Watts(1000)}, make([]float64, 40), []float64{16, 16, 16, 16})
		h.Circuits[0].Phase = "all"
		h.Circuits = append(h.Circuits, house.Circuit{ID: "g", Board: "board"})
		got, list := aboutHeat(h, cat)
		if !slices.Equal(got, want) {
			t.Errorf("%d units: found %v, want %v", units, got, want)
		}
		if want != nil && !strings.Contains(list[0].Remedy.Text, "at least 59 units: 2 rows of 58 units") {
			t.Errorf("%s", list[0].Remedy.Text)
		}
	}
}

// TestStatedHeatAndUnitsCount: an incoming device of 6 W is 7.2 W with its connections; it and its four units count.
func TestStatedHeatAndUnitsCount(t *testing.T) {
	h, cat := boardOf(house.Board{Rows: 1, Units: 10, Loss: unit.Watts(8)}, []float64{1, 0, 0}, nil)
	h.Boards[0].Devices = []house.Device{{Name: "Q1", Kind: "main", Units: 4, Heat: unit.Watts(6)}}
	if got, list := aboutHeat(h, cat); !slices.Equal(got, []string{"board/heat-devices"}) || list[0].Measured != "8.2 W" {
		t.Errorf("7 of 10 units leave 30 %% free, 8.2 W are more than 8 W: %v", list)
	}
	h.Boards[0].Devices[0].Units = 6
	if got, list := aboutHeat(h, cat); !slices.Contains(got, "board/spare") || !slices.Contains(got, "board/heat-devices") {
		t.Errorf("%v", list)
	}
}
