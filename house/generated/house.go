package generated

import (
	"fmt"

	"wirewright/house"
	"wirewright/unit"
)

const (
	roomWidth  = 4.5 // metres
	roomDepth  = 4.0 // metres
	storeyRise = 2.9 // metres
	rowLength  = 12  // rooms side by side
	perStorey  = 36  // rooms on a storey
)

// House makes a house with about the wished number of points: never fewer, and at most one room's more.
func House(points int, seed uint64) *house.House {
	b := &builder{draw: source{seed}, h: &house.House{
		Format: house.FormatName,
		Title:  fmt.Sprintf("Generated house of %d points", points),
		Note:   "Made by a program for tests.\nIt is no design.\n",
		Site:   site(),
	}}
	b.h.Network = network()
	for n := 0; len(b.h.Points) < points; n++ {
		if n%perStorey == 0 {
			b.storey(n / perStorey)
		}
		b.room(n)
	}
	b.closeLine()
	for i := range (points + 49) / 50 {
		b.wish(i)
	}
	return b.h
}

func site() house.Site {
	return house.Site{
		Place: "Invented", Latitude: 48_210_000, Longitude: 16_370_000, Zone: "Europe/Vienna", Currency: "EUR",
		Supply: house.Supply{Voltage: unit.Volts(230), Phases: 3, Earthing: house.TNCS, Loop: 350_000, Fault: unit.Amperes(6000), Main: unit.Amperes(63)},
	}
}

func network() house.Network {
	return house.Network{
		Name: "house", Subnet: "10.20.0.0/16", Router: "10.20.0.1", PoolFirst: "10.20.0.10", PoolLast: "10.20.0.250",
		AccessPoints: []house.AccessPoint{{ID: "ap1", At: &house.XYZ{X: 10, Y: 4, Z: 2.5}, EIRP: 20_000_000, Channel: 6}},
	}
}

// builder adds to one house; wired is what waits for modules on the line of the present storey.
type builder struct {
	h       *house.House
	draw    source
	storeys int
	circuit house.ID
	loads   int // points on the present circuit
	wired   []house.Point
}

func (b *builder) storeyID() house.ID { return house.ID(fmt.Sprintf("storey%d", b.storeys)) }
func (b *builder) boardID() house.ID  { return house.ID(fmt.Sprintf("board%d", b.storeys)) }
func (b *builder) level() float64     { return storeyRise * float64(b.storeys-1) }

func (b *builder) storey(n int) {
	b.closeLine()
	b.storeys = n + 1
	b.h.Storeys = append(b.h.Storeys, house.Storey{ID: b.storeyID(), Title: fmt.Sprintf("Storey %d", n), Elevation: unit.Metres(b.level()), Height: unit.Metres(storeyRise)})
	b.h.Boards = append(b.h.Boards, house.Board{
		ID: b.boardID(), Title: fmt.Sprintf("Board of storey %d", n), At: &house.XYZ{X: 1, Y: 0.2, Z: b.level() + 1.6},
		Rows: 7, Units: 24, Loss: unit.Watts(90), Width: unit.Metres(0.6), Height: unit.Metres(1.1), Depth: unit.Metres(0.2),
	})
	b.newCircuit()
}

// newCircuit begins a circuit; each feeds ten points.
func (b *builder) newCircuit() {
	n := len(b.h.Circuits) + 1
	b.circuit, b.loads = house.ID(fmt.Sprintf("%s.f%d", b.boardID(), n)), 0
	b.h.Circuits = append(b.h.Circuits, house.Circuit{
		ID: b.circuit, Board: b.boardID(), Phase: fmt.Sprintf("L%d", 1+n%3), Rating: unit.Amperes(13), Curve: "B", Residual: 30_000,
		Section: unit.SquareMillimetres(1.5), Method: "B2", Length: unit.Metres(float64(b.draw.between(8, 35))), Grouped: 1 + n%6,
	})
}

var uses = []string{"living", "bedroom", "kitchen", "bath", "study", "hall"}

// room adds the n-th room with its walls, openings and points.
func (b *builder) room(n int) {
	k := n % perStorey
	x, y := roomWidth*float64(k%rowLength), (roomDepth+1.5)*float64(k/rowLength)
	use := uses[n%len(uses)]
	r := house.Room{
		ID: house.ID(fmt.Sprintf("%s%d", use, n+1)), Title: fmt.Sprintf("Room %d: %s", n+1, use), Number: fmt.Sprintf("%d.%02d", b.storeys-1, k+1),
		Storey: b.storeyID(), Use: use, Outline: outline(x, y, b.draw.between(0, 2) == 0),
		Floor: unit.Metres(b.level()), Height: unit.Metres(2.5), Wiring: house.WiringNone,
	}
	if n%3 == 0 {
		r.Wiring = house.WiringStar
	}
	b.h.Rooms = append(b.h.Rooms, r)
	b.walls(&r, x, y)
	b.points(&r, x, y)
}

// outline is a rectangle, or an L where a corner is cut out.
func outline(x, y float64, cut bool) []house.XY {
	if !cut {
		return []house.XY{{X: x, Y: y}, {X: x + roomWidth, Y: y}, {X: x + roomWidth, Y: y + roomDepth}, {X: x, Y: y + roomDepth}}
	}
	return []house.XY{{X: x, Y: y}, {X: x + roomWidth, Y: y}, {X: x + roomWidth, Y: y + 2.5}, {X: x + 3, Y: y + 2.5},
		{X: x + 3, Y: y + roomDepth}, {X: x, Y: y + roomDepth}}
}

// walls adds one wall for each side of the outline, a door in the first and a window in the last.
func (b *builder) walls(r *house.Room, x, y float64) {
	for i, from := range r.Outline {
		to := r.Outline[(i+1)%len(r.Outline)]
		w := house.Wall{
			ID: house.ID(fmt.Sprintf("%s.w%d", r.ID, i+1)), Storey: r.Storey, From: from, To: to, Base: r.Floor, Height: r.Height,
			Thickness: unit.Metres(0.12), Layers: []house.Layer{{Material: "plasterboard", Thickness: unit.Metres(0.02)}, {Material: "brick", Thickness: unit.Metres(0.1)}},
		}
		if i == len(r.Outline)-1 {
			w.External, w.Thickness = true, unit.Metres(0.38)
			w.Layers = []house.Layer{{Material: "brick", Thickness: unit.Metres(0.38)}}
		}
		b.h.Walls = append(b.h.Walls, w)
	}
	last := len(r.Outline)
	b.h.Openings = append(b.h.Openings,
		house.Opening{
			ID: r.ID + ".door", Kind: house.Door, Wall: r.ID + ".w1", Storey: r.Storey, From: house.XY{X: x + 0.5, Y: y}, To: house.XY{X: x + 1.4, Y: y},
			Width: unit.Metres(0.9), Height: unit.Metres(2.05), Hinge: "from", Rooms: []house.ID{r.ID},
		},
		house.Opening{
			ID: r.ID + ".window", Kind: house.Window, Wall: house.ID(fmt.Sprintf("%s.w%d", r.ID, last)), Storey: r.Storey, From: house.XY{X: x, Y: y + 1}, To: house.XY{X: x, Y: y + 2.2},
			Sill: r.Floor + unit.Metres(0.9), Width: unit.Metres(1.2), Height: unit.Metres(1.4), Rooms: []house.ID{r.ID},
		})
}

func (b *builder) wish(i int) {
	r := &b.h.Rooms[b.draw.between(0, len(b.h.Rooms)-1)]
	b.h.Wishes = append(b.h.Wishes, house.Wish{
		ID: house.ID(fmt.Sprintf("w%d", i+1)), Who: "client", Rooms: []house.ID{r.ID},
		Text: fmt.Sprintf("When we leave %s, \"everything\" there goes off: lamps, shutters, all of it.", r.Title),
	})
}
