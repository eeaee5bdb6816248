package handover

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"wirewright/allot"
	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/house"
	"wirewright/unit"
)

// wired is the example house, allotted.
func wired(t *testing.T) *builder {
	t.Helper()
	c, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	r, err := allot.Allot(example().House, c, allot.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return newBuilder(Pack{House: r.House, Catalogue: c})
}

// TestEveryStarPointHasItsCable: each point that is moved in a room with star wiring has one cable from a board, of a type
// that suits it, at least as long as its way; none has two.
func TestEveryStarPointHasItsCable(t *testing.T) {
	b := wired(t)
	found := map[house.ID]cable{}
	for _, r := range b.runs() {
		for _, c := range r.cables {
			if c.from.Kind == "board" && c.to.Kind == "point" && c.buy {
				if _, twice := found[c.to.ID]; twice {
					t.Errorf("%s has two cables", c.to.ID)
				}
				found[c.to.ID] = c
			}
		}
	}
	stars := 0
	for i := range b.pack.House.Points {
		p := &b.pack.House.Points[i]
		wiring := p.Wiring
		if wiring == "" {
			wiring = b.index.Room(p.Room).Wiring
		}
		c, ok := found[p.ID]
		if ok && wiring != house.WiringStar {
			t.Errorf("%s has a cable of its own, but is wired %s", p.ID, wiring)
		}
		if wiring != house.WiringStar || !p.Kind.Moved() {
			continue
		}
		stars++
		if !ok || c.words == "" || c.note != "" {
			t.Errorf("%s: cable %+v", p.ID, c)
			continue
		}
		if w := b.router.Way(c.from, c.to); c.length <= w.Length {
			t.Errorf("%s: %s of cable for a way of %s", p.ID, c.length, w.Length)
		}
		k := b.index.Circuit(p.Circuit)
		typ, known := b.pack.Catalogue.Cable(c.typ)
		if !known || mains(p) && (!strings.HasPrefix(c.typ, "mains-") || k != nil && typ.Section < k.Section) || p.Kind.Motorised() && !strings.HasPrefix(c.typ, "mains-5x") {
			t.Errorf("%s (%s): cable %s", p.ID, p.Kind, c.typ)
		}
	}
	if stars < 20 {
		t.Errorf("only %d points with a cable of their own", stars)
	}
}

// TestTotalsOfCables adds the lengths of the schedule's rows anew and compares them with its totals and with the bill.
func TestTotalsOfCables(t *testing.T) {
	b := wired(t)
	sums, totals := map[string]float64{}, map[string]float64{}
	part := ""
	for _, row := range b.cables().Rows {
		if row[0].Is == IsHead {
			part = row[0].Text
			continue
		}
		m, err := strconv.ParseFloat(strings.TrimSuffix(row[4].Text, " m"), 64)
		if err != nil {
			t.Fatalf("%q: %v", row[4].Text, err)
		}
		switch part {
		case "Circuits":
		case "Drums":
			totals[row[3].Text] = m
			if !strings.Contains(row[5].Text, "drum") {
				t.Errorf("%q says nothing of drums", row[5].Text)
			}
		default:
			sums[row[3].Text] += m
		}
	}
	if len(totals) < 3 || len(sums) != len(totals) {
		t.Errorf("totals of %d cables, %d are planned", len(totals), len(sums))
	}
	billed := map[string]float64{}
	for _, row := range b.bill().Rows {
		if row[3].Text == "m" {
			billed[row[0].Text] = row[2].Number
		}
	}
	for id, sum := range sums {
		if math.Abs(totals[id]-sum) > 0.06 {
			t.Errorf("%s: %.1f m in the totals, %.1f m by the rows", id, totals[id], sum)
		}
		if billed[id] < sum-0.06 || billed[id] > sum+10 { // the bill has the short pieces along the rails, too
			t.Errorf("%s: %.1f m in the bill, %.1f m by the rows", id, billed[id], sum)
		}
	}
}

// TestCablesThatCannotBeRouted: the same house without walls has lengths along the axes, and says so in every row.
func TestCablesThatCannotBeRouted(t *testing.T) {
	b := wired(t)
	h := *b.pack.House
	h.Walls, h.Openings = nil, nil
	n := 0
	for _, r := range newBuilder(Pack{House: &h, Catalogue: b.pack.Catalogue}).runs() {
		for _, c := range r.cables {
			n++
			if c.note == "" || c.words != "" && !strings.HasPrefix(c.words, "board") {
				t.Errorf("%s to %s: %q, %q", c.from.ID, c.to.ID, c.words, c.note)
			}
		}
	}
	if n < 20 {
		t.Errorf("only %d cables", n)
	}
	if list := CablesOf(&h, b.pack.Catalogue); len(list) > 0 {
		t.Errorf("%d ways are drawn where there is none", len(list))
	}
}

func TestCuttingInWords(t *testing.T) {
	for _, c := range []struct {
		pieces []float64
		want   string
	}{
		{[]float64{60, 40}, "1 drum, 0.0 m left over; no way of cutting takes fewer"},
		{[]float64{60, 60, 130}, "2 drums, 80.0 m left over; no way of cutting takes fewer; 1 piece longer than a drum, the longest 130.0 m: order by length"},
		// Five pieces of 34 m: two to a drum, though two drums would hold their sum.
		{[]float64{34, 34, 34, 34, 34}, "3 drums, 130.0 m left over; at least 2 are needed"},
	} {
		var list []unit.Length
		for _, m := range c.pieces {
			list = append(list, unit.Metres(m))
		}
		if got := cutting(list); got != c.want {
			t.Errorf("%v: %q, want %q", c.pieces, got, c.want)
		}
	}
}

// TestCircuitsToTheFarthest: a circuit's row names the load with the longest way.
func TestCircuitsToTheFarthest(t *testing.T) {
	b := wired(t)
	var rows []cable
	for _, r := range b.runs() {
		if r.title == "Circuits" {
			rows = r.cables
		}
	}
	if len(rows) < 3 {
		t.Fatalf("%d circuits", len(rows))
	}
	for _, c := range rows {
		k := b.index.Point(c.to.ID).Circuit
		longest := b.router.Way(c.from, c.to).Length
		for i := range b.pack.House.Points {
			p := &b.pack.House.Points[i]
			if p.Circuit == k && mains(p) && !b.hasOwnCable(p) && b.router.Way(c.from, check.Spot{Kind: "point", ID: p.ID}).Length > longest {
				t.Errorf("circuit %s: %s is farther than %s", k, p.ID, c.to.ID)
			}
		}
	}
}
