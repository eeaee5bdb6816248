package check

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/house"
	"wirewright/unit"
)

// slugsOf is the slugs found in a house, sorted, each as often as it is found.
func slugsOf(t testing.TB, h *house.House) []string {
	var slugs []string
	for _, f := range Check(h, builtin(t)) {
		slugs = append(slugs, f.Slug)
	}
	slices.Sort(slugs)
	return slugs
}

// lineOf makes a house with one line: a supply, a head, and sensors of a type at some lengths of cable.
func lineOf(typ string, lengths ...unit.Length) *house.House {
	h := &house.House{
		Site:     house.Site{Supply: house.Supply{Loop: ohms(0.35), Earthing: house.TNS}},
		Network:  house.Network{Subnet: "192.0.2.0/24"},
		Storeys:  []house.Storey{{ID: "ground"}},
		Rooms:    []house.Room{{ID: "attic", Storey: "ground"}},
		Boards:   []house.Board{{ID: "board", Rows: 1, Units: 18, Loss: unit.Watts(40)}},
		Circuits: []house.Circuit{wholeCircuit("control")},
		Modules: []house.Module{
			{ID: "supply", Type: "supply-rail-2500", Board: "board", Row: 1, Slot: 1, Circuit: "control"},
			{ID: "head", Type: "head-rail", Board: "board", Row: 1, Slot: 7, Address: "192.0.2.20"},
		},
	}
	l := house.Line{ID: "line", Head: "head", Cable: "bus-1.0", Taps: []house.Tap{{Module: "supply"}, {Module: "head", Length: unit.Metres(1)}}}
	for i, n := range lengths {
		id := house.ID(fmt.Sprintf("s%d", i))
		h.Modules = append(h.Modules, house.Module{ID: id, Type: typ, Room: "attic"})
		l.Taps = append(l.Taps, house.Tap{Module: id, Length: n})
	}
	h.Lines = []house.Line{l}
	return h
}

// wholeCircuit is a circuit of which all is known that the rules ask for, and nothing is wrong.
func wholeCircuit(id house.ID) house.Circuit {
	return house.Circuit{ID: id, Board: "board", Rating: unit.Amperes(6), Curve: "B", Section: unit.SquareMillimetres(1.5), Method: "C", Length: unit.Metres(2)}
}

func ohms(r float64) unit.Resistance { return unit.Resistance(math.Round(r * 1e6)) }

func repeat(n int, l unit.Length) []unit.Length { return slices.Repeat([]unit.Length{l}, n) }

// TestLimitsOfALine holds each limit from both sides: at it nothing is found, one step beyond it is.
func TestLimitsOfALine(t *testing.T) {
	step := unit.Length(1)
	for _, c := range []struct {
		name  string
		house *house.House
		want  []string
	}{
		{"300 m in all (common practice)", lineOf("temperature-wall", unit.Metres(299)), nil},
		{"one millionth of a metre more", lineOf("temperature-wall", unit.Metres(299)+step), []string{"bus/too-long"}},
		{"64 modules on a head for 64", lineOf("temperature-wall", repeat(64, unit.Metres(1))...), nil},
		{"65 modules", lineOf("temperature-wall", repeat(65, unit.Metres(1))...), []string{"bus/too-many-taps"}},
		{"31 unit loads and an eighth (TIA-485-A allows 32)", lineOf("presence-ceiling", repeat(31, unit.Metres(1))...), nil},
		{"32 unit loads and an eighth", lineOf("presence-ceiling", repeat(32, unit.Metres(1))...), []string{"bus/unit-load"}},
		{"30 masts and a head: 1.89 A × 1.3 = 2.457 A of 2.5 A", lineOf("weather-mast", repeat(30, unit.Metres(1))...), nil},
		{"31 masts: 1.95 A × 1.3 = 2.535 A", lineOf("weather-mast", repeat(31, unit.Metres(1))...), []string{"bus/supply-margin"}},
		{"40 masts: 2.49 A", lineOf("weather-mast", repeat(40, unit.Metres(1))...), []string{"bus/supply-margin"}},
		{"41 masts: 2.55 A", lineOf("weather-mast", repeat(41, unit.Metres(1))...), []string{"bus/supply-overload"}},
	} {
		if got := slugsOf(t, c.house); !slices.Equal(got, c.want) {
			t.Errorf("%s: found %v, want %v", c.name, got, c.want)
		}
	}
}

func TestStubsCountIntoTheLength(t *testing.T) {
	h := lineOf("temperature-wall", unit.Metres(297))
	h.Lines[0].Taps[2].Stub = unit.Metres(2)
	if got := slugsOf(t, h); len(got) > 0 {
		t.Errorf("300 m with a stub: %v", got)
	}
	h.Lines[0].Taps[2].Stub = unit.Metres(3)
	if got := slugsOf(t, h); !slices.Equal(got, []string{"bus/too-long"}) {
		t.Errorf("301 m with a stub: %v", got)
	}
}

// TestBoardAgainstADumbTwin places modules at random and holds what is found against an occupancy of single units.
func TestBoardAgainstADumbTwin(t *testing.T) {
	c := builtin(t)
	rapid.Check(t, func(t *rapid.T) {
		h := &house.House{Boards: []house.Board{{ID: "board", Rows: 2, Units: 12}}}
		taken := map[[2]int]bool{}
		var want []string
		for i := range rapid.IntRange(0, 6).Draw(t, "modules") {
			m := house.Module{ID: house.ID(fmt.Sprintf("m%d", i)), Type: "relay-rail-4x10", Board: "board",
				Row: rapid.IntRange(1, 3).Draw(t, "row"), Slot: rapid.IntRange(1, 12).Draw(t, "slot")}
			h.Modules = append(h.Modules, m)
			over := m.Row > 2 || m.Slot+3 > 12
			hit := false
			for u := m.Slot; u < m.Slot+4; u++ {
				hit = hit || taken[[2]int{m.Row, u}]
			}
			for u := m.Slot; u < m.Slot+4; u++ {
				taken[[2]int{m.Row, u}] = true
			}
			if over {
				want = append(want, "board/outside "+string(m.ID))
			} else if hit {
				want = append(want, "board/overlap "+string(m.ID))
			}
		}
		slices.Sort(want)
		var got []string
		for _, f := range found(Check(h, c)) {
			if strings.HasPrefix(f, "board/outside") || strings.HasPrefix(f, "board/overlap") {
				got = append(got, f)
			}
		}
		if !slices.Equal(got, want) {
			t.Fatalf("found %v, want %v in %+v", got, want, h.Modules)
		}
	})
}

// TestAddressPlan holds the first and last addresses of networks against what they are kept for (RFC 919, RFC 950; a /31
// and a /32 keep none, RFC 3021).
func TestAddressPlan(t *testing.T) {
	for _, c := range []struct {
		subnet, address string
		want            []string
	}{
		{"192.0.2.0/24", "192.0.2.1", nil},
		{"192.0.2.0/24", "192.0.2.254", nil},
		{"192.0.2.0/24", "192.0.2.0", []string{"address/reserved"}},
		{"192.0.2.0/24", "192.0.2.255", []string{"address/reserved"}},
		{"192.0.2.0/23", "192.0.2.255", nil},
		{"192.0.2.0/23", "192.0.3.255", []string{"address/reserved"}},
		{"192.0.2.0/25", "192.0.2.127", []string{"address/reserved"}},
		{"192.0.2.0/25", "192.0.2.128", []string{"address/outside"}},
		{"192.0.2.0/31", "192.0.2.0", nil},
		{"192.0.2.7/32", "192.0.2.7", nil},
	} {
		h := lineOf("temperature-wall", unit.Metres(1))
		h.Network.Subnet = c.subnet
		h.Modules[1].Address = c.address
		if got := slugsOf(t, h); !slices.Equal(got, c.want) {
			t.Errorf("%s in %s: found %v, want %v", c.address, c.subnet, got, c.want)
		}
	}
}

// TestFreeAddress holds the address that is proposed against the plan of a small network.
func TestFreeAddress(t *testing.T) {
	for _, c := range []struct{ subnet, router, first, last, want string }{
		{"192.0.2.0/24", "192.0.2.1", "192.0.2.100", "192.0.2.199", "192.0.2.21"}, // .20 is the head's
		{"192.0.2.0/24", "192.0.2.21", "192.0.2.22", "192.0.2.60", "192.0.2.61"},
		{"192.0.2.0/30", "192.0.2.1", "", "", "192.0.2.2"},
		{"192.0.2.0/31", "", "", "", ""},
		{"192.0.2.0/29", "192.0.2.1", "192.0.2.2", "192.0.2.6", ""},
	} {
		h := lineOf("temperature-wall", unit.Metres(1))
		h.Network = house.Network{Subnet: c.subnet, Router: c.router, PoolFirst: c.first, PoolLast: c.last}
		got := newView(h, builtin(t)).network.free
		if text := got.String(); (c.want == "" && got.IsValid()) || (c.want != "" && text != c.want) {
			t.Errorf("%s: proposed %v, want %q", c.subnet, got, c.want)
		}
	}
}
