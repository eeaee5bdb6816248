package check

import (
	"bytes"
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/unit"
)

// oddHouse draws a house that no reader would let in: identities that are taken or missing, references to nothing,
// numbers of every sign and size.
func oddHouse(t *rapid.T, types []string) *house.House {
	d := &drawer{t, types}
	h := &house.House{Format: house.FormatName}
	h.Site.Supply.Voltage = unit.Voltage(d.number())
	h.Network = house.Network{Subnet: d.address() + rapid.SampledFrom([]string{"", "/24", "/30", "/32", "/0", "/99"}).Draw(t, "bits"),
		Router: d.address(), PoolFirst: d.address(), PoolLast: d.address()}
	for range d.count() {
		h.Boards = append(h.Boards, house.Board{ID: d.id(), Rows: int(d.number() % 1000), Units: int(d.number() % 1000), Loss: unit.Power(d.number()), At: d.place(),
			Width: unit.Length(d.number()), Height: unit.Length(d.number()), Depth: unit.Length(d.number()),
			Neutrals: d.small(), Earths: d.small(), Partitions: []house.Partition{{Row: d.small(), Slot: d.small()}}, Devices: []house.Device{
				{Name: string(d.id()), Row: d.small(), Slot: d.small(), Units: d.small(), Heat: unit.Power(d.number()), Serves: []house.ID{d.id()}, Extra: rapid.Bool().Draw(t, "extra")}}})
		h.Circuits = append(h.Circuits, d.circuit())
	}
	d.fabric(h)
	for range d.count() {
		h.Points = append(h.Points, d.point())
	}
	for range d.count() {
		h.Modules = append(h.Modules, d.module())
	}
	for range d.count() {
		cable := rapid.SampledFrom([]string{"", "a", "bus-0.5", "pair-awg24", "mains-3x1.5"}).Draw(t, "cable")
		h.Lines = append(h.Lines, house.Line{ID: d.id(), Head: d.id(), Cable: cable, Taps: d.taps()})
	}
	return h
}

type drawer struct {
	*rapid.T
	types []string
}

func (d *drawer) id() house.ID {
	return rapid.SampledFrom([]house.ID{"", "a", "b", "c", "hall.keys", "x.1"}).Draw(d.T, "id")
}

func (d *drawer) number() int64 {
	return rapid.OneOf(rapid.Int64(), rapid.SampledFrom([]int64{0, 1, -1, 1_000_000, 45_000, math.MaxInt64, math.MinInt64})).Draw(d.T, "number")
}

func (d *drawer) small() int {
	return rapid.OneOf(rapid.IntRange(-2, 30), rapid.SampledFrom([]int{math.MaxInt, math.MinInt})).Draw(d.T, "small")
}

func (d *drawer) count() int { return rapid.IntRange(0, 5).Draw(d.T, "count") }

func (d *drawer) address() string {
	return rapid.SampledFrom([]string{"", "192.0.2.1", "192.0.2.255", "10.0.0.0", "0.0.0.0", "255.255.255.255", "7", "::1", "nonsense"}).Draw(d.T, "address")
}

func (d *drawer) point() house.Point {
	p := house.Point{ID: d.id(), Kind: rapid.SampledFrom(append(house.Kinds, "", "ghost")).Draw(d.T, "kind"), Circuit: d.id(), Room: d.id(), At: d.place()}
	p.Keys = make([]string, rapid.IntRange(0, 4).Draw(d.T, "keys"))
	if rapid.Bool().Draw(d.T, "box") {
		p.Box = &house.Box{Depth: unit.Length(d.number()), Neutral: rapid.Bool().Draw(d.T, "neutral")}
	}
	if rapid.Bool().Draw(d.T, "travel") {
		p.Travel = &house.Travel{Up: unit.Duration(d.number()), Down: unit.Duration(d.number())}
	}
	if rapid.Bool().Draw(d.T, "load") {
		p.Load = &house.Load{
			Category: rapid.SampledFrom(append(house.Categories, "")).Draw(d.T, "category"), Power: unit.Power(d.number()), Apparent: unit.Apparent(d.number()),
			Factor: rapid.SampledFrom([]float64{0, 1, 0.5, -1, 1e300, 5e-324, math.NaN(), math.Inf(1)}).Draw(d.T, "factor"),
			Count:  d.small(), Inrush: unit.Current(d.number()), Dimmed: rapid.Bool().Draw(d.T, "dimmed"),
			Edge: rapid.SampledFrom([]string{"", "leading", "trailing", "either", "?"}).Draw(d.T, "edge"),
		}
	}
	return p
}

func (d *drawer) module() house.Module {
	m := house.Module{ID: d.id(), Type: rapid.SampledFrom(d.types).Draw(d.T, "type"), Board: d.id(), Row: d.small(), Slot: d.small(), Point: d.id(), Room: d.id(), At: d.place(),
		Circuit: d.id(), Address: d.address(), Host: string(d.id()), Hardware: rapid.SampledFrom([]string{"", "01:02:03:04:05:06", "S1"}).Draw(d.T, "hardware")}
	for range d.count() {
		m.Landings = append(m.Landings, house.Landing{Channel: rapid.SampledFrom([]string{"", "out1", "out2", "in1", "key1", "dim1", "sh1", "val1", "key99999999999999999999", "7"}).Draw(d.T, "channel"),
			Point: d.id(), Key: d.small()})
	}
	return m
}

// circuit draws a circuit; its sections are those of the tables half of the time.
func (d *drawer) circuit() house.Circuit {
	section := rapid.OneOf(rapid.SampledFrom([]unit.Section{1_500_000, 2_500_000, 16_000_000}), rapid.Custom(func(t *rapid.T) unit.Section { return unit.Section(rapid.Int64().Draw(t, "section")) }))
	return house.Circuit{ID: d.id(), Board: d.id(), Rating: unit.Current(d.number()), Phase: rapid.SampledFrom([]string{"", "L1", "all"}).Draw(d.T, "phase"),
		Curve: rapid.SampledFrom([]string{"", "B", "D", "Z"}).Draw(d.T, "curve"), Residual: unit.Current(d.number()), Section: section.Draw(d.T, "section"),
		Earth: section.Draw(d.T, "earth"), Method: rapid.SampledFrom([]string{"", "A1", "D2", "?"}).Draw(d.T, "method"), Length: unit.Length(d.number()), Grouped: d.small(),
		Row: d.small(), Slot: d.small(), Units: d.small()}
}

// place draws a place, or none.
func (d *drawer) place() *house.XYZ {
	if rapid.IntRange(0, 3).Draw(d.T, "placed") == 0 {
		return nil
	}
	return &house.XYZ{X: d.coordinate(), Y: d.coordinate(), Z: d.coordinate()}
}

func (d *drawer) coordinate() float64 {
	odd := rapid.SampledFrom([]float64{0, 1, 3, math.NaN(), math.Inf(1), -1e300, 1e6, -1e6, 5e-324})
	return rapid.OneOf(rapid.Float64Range(-20, 20), odd).Draw(d.T, "coordinate")
}

func (d *drawer) corner() house.XY { return house.XY{X: d.coordinate(), Y: d.coordinate()} }

// fabric draws storeys, rooms, walls with openings, supply and access points.
func (d *drawer) fabric(h *house.House) {
	h.Site.Supply.Loop = unit.Resistance(d.number())
	h.Site.Supply.Earthing = rapid.SampledFrom([]house.Earthing{"", house.TNS, house.TT, house.IT, "?"}).Draw(d.T, "earthing")
	for range d.count() {
		h.Storeys = append(h.Storeys, house.Storey{ID: d.id(), Elevation: unit.Length(d.number()), Height: unit.Length(d.number())})
		h.Rooms = append(h.Rooms, house.Room{ID: d.id(), Storey: d.id(), Floor: unit.Length(d.number()), Outline: []house.XY{d.corner(), d.corner(), d.corner(), d.corner()}})
		h.Walls = append(h.Walls, house.Wall{ID: d.id(), Storey: d.id(), From: d.corner(), To: d.corner(), Base: unit.Length(d.number()), Height: unit.Length(d.number()),
			Layers: []house.Layer{{Material: rapid.SampledFrom([]string{"", "brick", "steel", "ghost", "air"}).Draw(d.T, "material"), Thickness: unit.Length(d.number())}}})
		h.Openings = append(h.Openings, house.Opening{ID: d.id(), Wall: d.id(), Kind: rapid.SampledFrom([]house.OpeningKind{"", house.Door, house.Window, house.Passage}).Draw(d.T, "opening"),
			From: d.corner(), To: d.corner(), Sill: unit.Length(d.number()), Height: unit.Length(d.number())})
		h.Network.AccessPoints = append(h.Network.AccessPoints, house.AccessPoint{ID: d.id(), At: d.place(), EIRP: unit.Level(d.number()), Channel: d.small(), Centre: unit.Frequency(d.number())})
	}
}

func (d *drawer) taps() []house.Tap {
	list := make([]house.Tap, d.count())
	for i := range list {
		list[i] = house.Tap{Module: d.id(), Length: unit.Length(d.number()), Stub: unit.Length(d.number())}
	}
	return list
}

var notANumber = regexp.MustCompile(`NaN|Inf|not a number|%!`)

// TestOddHousesAreCheckedCalmly holds that Check neither panics nor prints nonsense nor changes anything, whatever the
// house, and gives the same list twice.
func TestOddHousesAreCheckedCalmly(t *testing.T) {
	c := builtin(t)
	rapid.Check(t, func(t *rapid.T) { checkCalmly(t, c, oddHouse(t, append(c.TypeIDs(), "", "no-such-type"))) })
}

func FuzzOddHouses(f *testing.F) {
	c := builtin(f)
	types := append(c.TypeIDs(), "", "no-such-type")
	f.Fuzz(rapid.MakeFuzz(func(t *rapid.T) { checkCalmly(t, c, oddHouse(t, types)) }))
}

func checkCalmly(t *rapid.T, c *catalogue.Catalogue, h *house.House) {
	before := house.Write(h)
	list := Check(h, c)
	if !bytes.Equal(before, house.Write(h)) {
		t.Fatal("Check changed the house")
	}
	first, err := json.Marshal(list)
	if err != nil {
		t.Fatal(err)
	}
	second, _ := json.Marshal(Check(h, c))
	if !bytes.Equal(first, second) {
		t.Fatal("two runs gave two lists")
	}
	slugs := Slugs()
	for i, f := range list {
		if !slices.Contains(slugs, f.Slug) || f.Text == "" || f.Source == "" || f.Remedy == nil {
			t.Fatalf("not whole: %+v", f)
		}
		if nonsense := notANumber.FindString(f.Text + f.Measured + f.Limit + f.Remedy.Text); nonsense != "" {
			t.Fatalf("%s prints %s: %+v", f.Slug, nonsense, f)
		}
		if i > 0 && list[i-1].Severity.rank() > f.Severity.rank() {
			t.Fatal("the findings are not in order of severity")
		}
	}
}
