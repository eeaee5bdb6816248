package furnish

import (
	"fmt"
	"math"
	"slices"

	"wirewright/house"
	"wirewright/unit"
)

// group is a kind of circuit.
type group string

// The groups: motors get circuits of their own, everything else hangs with the lights.
const (
	lights group = "lights"
	motors group = "motors"
)

func groupOf(k house.Kind) group {
	if k.Motorised() || k == house.Gate {
		return motors
	}
	return lights
}

// feeder gives circuits to points.
type feeder struct {
	*furnisher
	index *house.Index
	board map[house.ID]house.ID // room → board
	open  map[string]*open      // board, group and storey → the circuit that still takes loads
	free  map[house.ID]int      // circuits of each board, to deal out the phases
}

// open is a new circuit with what it carries so far.
type open struct {
	at   int // in house.Circuits
	load float64
	n    int
}

// feed gives every point of the chosen rooms that has no circuit one. Sockets that were there are left alone: what feeds them
// is another's plan.
func (f *furnisher) feed() {
	if !slices.ContainsFunc(f.house.Points, func(p house.Point) bool { return f.needsCircuit(&p) }) {
		return
	}
	w := &feeder{furnisher: f, board: map[house.ID]house.ID{}, open: map[string]*open{}, free: map[house.ID]int{}}
	if len(f.house.Boards) == 0 {
		w.makeBoard()
	}
	w.index = house.NewIndex(f.house)
	for _, c := range f.house.Circuits {
		w.free[c.Board]++
	}
	made := len(f.house.Circuits)
	for i := range f.house.Points {
		if p := &f.house.Points[i]; f.needsCircuit(p) {
			p.Circuit = w.circuitFor(p)
		}
	}
	w.measureLengths(made)
	for _, c := range f.house.Circuits[made:] {
		f.remark("", "", "circuit %s (%s): device, cable and length are assumed", c.ID, c.Title)
	}
}

func (f *furnisher) needsCircuit(p *house.Point) bool {
	return p.Circuit == "" && p.Kind != house.Socket && f.isChosen(p.Room)
}

// boardRooms are the uses of rooms that get the board, the best first (common practice, no source).
var boardRooms = []string{"utility", "storage", "cellar", "hall", "corridor", "garage"}

// makeBoard puts a board where a house would have it, and says that this is assumed.
func (w *feeder) makeBoard() {
	var at *house.Room
	for _, use := range boardRooms {
		for i := range w.house.Rooms {
			if r := &w.house.Rooms[i]; at == nil && r.Use == use {
				at = r
			}
		}
	}
	b := house.Board{ID: w.identity("board", false), Title: "Distribution board", Rows: 4, Units: 24,
		Note: "assumed: the model shows no board; say where it is and how much room it has"}
	if at == nil && len(w.house.Rooms) > 0 {
		at = &w.house.Rooms[0]
	}
	if at != nil {
		b.Room = at.ID
		b.At = survey(w.before, at, w.sheets.Defaults).onWall(unit.Metres(1.5))[0].at
	}
	w.house.Boards = append(w.house.Boards, b)
	w.remark(b.Room, "", "the house had no distribution board: %s is assumed here", b.ID)
}

// roomCircuit is the circuit that the room's lamps, or else its switches, were on before.
func (w *feeder) roomCircuit(room house.ID) house.ID {
	for _, kind := range []house.Kind{house.Lamp, house.Keypad} {
		for _, q := range w.there[room] {
			if q.Kind == kind && q.Circuit != "" {
				return q.Circuit
			}
		}
	}
	return ""
}

// circuitFor finds the circuit of a point: that of the lights of its room, or the open one of its board, group and storey.
func (w *feeder) circuitFor(p *house.Point) house.ID {
	g := groupOf(p.Kind)
	if g == lights {
		if c := w.roomCircuit(p.Room); c != "" {
			return c
		}
	}
	storey := house.ID("")
	if r := w.index.Room(p.Room); r != nil {
		storey = r.Storey
	}
	board := w.boardOf(p.Room)
	key := fmt.Sprintf("%s %s %s", board, g, storey)
	va := demand(p)
	o := w.open[key]
	if o == nil || o.load > 0 && o.load+va > w.most() {
		o = w.begin(board, g, storey, o)
		w.open[key] = o
	}
	o.load += va
	return w.house.Circuits[o.at].ID
}

// boardOf is the board that already feeds the room, or else the nearest one.
func (w *feeder) boardOf(room house.ID) house.ID {
	if b, ok := w.board[room]; ok {
		return b
	}
	votes := map[house.ID]int{}
	for _, p := range w.there[room] {
		if c := w.index.Circuit(p.Circuit); c != nil {
			votes[c.Board]++
		}
	}
	best := w.house.Boards[0].ID
	nearest := math.Inf(1)
	for _, b := range w.house.Boards {
		if d := w.distance(b, room) - 1e6*float64(votes[b.ID]); d < nearest {
			best, nearest = b.ID, d
		}
	}
	w.board[room] = best
	return best
}

// unknownDistance stands for a board without a place: farther than any other, nearer than one vote.
const unknownDistance = 1e5

func (w *feeder) distance(b house.Board, room house.ID) float64 {
	r := w.index.Room(room)
	if b.At == nil || r == nil {
		return unknownDistance
	}
	c, ok := r.Middle()
	if !ok {
		return unknownDistance
	}
	return cable(*b.At, house.XYZ{X: c.X, Y: c.Y, Z: r.Floor.M()})
}

// cable is the length of a cable that runs along walls and floors: the sum of the distances along the axes.
func cable(a, b house.XYZ) float64 {
	return math.Abs(a.X-b.X) + math.Abs(a.Y-b.Y) + math.Abs(a.Z-b.Z)
}

// demand is what a point draws at most, in VA.
func demand(p *house.Point) float64 {
	if p.Load == nil {
		return 2 // a module's own supply, common practice, no source
	}
	va := p.Load.Apparent.VA()
	if p.Load.Power > 0 {
		factor := p.Load.Factor
		if factor <= 0 {
			factor = 1
		}
		va = math.Max(va, p.Load.Power.W()/factor)
	}
	return va
}

// most is the load at which a new circuit is full: four fifths of its rating (common practice, no source).
func (w *feeder) most() float64 {
	volts := w.house.Site.Supply.Voltage.V()
	if volts == 0 {
		volts = 230
	}
	return 0.8 * volts * w.sheets.Defaults.Rating.A()
}

// begin makes a new circuit; before is the one that is full, nil for the first of its kind.
func (w *feeder) begin(board house.ID, g group, storey house.ID, before *open) *open {
	n := 1
	if before != nil {
		n = before.n + 1
	}
	base := fmt.Sprintf("%s.%s-%s", board, g, storey)
	if storey == "" || house.ID(base+"-99").Check() != "" {
		base = fmt.Sprintf("%s.%s", board, g)
	}
	title := map[group]string{lights: "Lights", motors: "Shutters and other motors"}[g]
	if s := w.index.Storey(storey); s != nil && s.Title != "" {
		title += ", " + s.Title
	}
	if n > 1 {
		title += fmt.Sprintf(" (%d)", n)
		base += fmt.Sprintf("-%d", n)
	}
	d := w.sheets.Defaults
	c := house.Circuit{ID: w.identity(base, false), Title: title, Board: board, Rating: d.Rating, Curve: "B",
		Residual: unit.Amperes(0.03), Section: d.Section, Method: "B1",
		Note: "assumed: device, cable and method; a licensed person decides"}
	if w.house.Site.Supply.Phases == 3 {
		c.Phase = [3]string{"L1", "L2", "L3"}[w.free[board]%3]
	}
	w.free[board]++
	w.house.Circuits = append(w.house.Circuits, c)
	return &open{at: len(w.house.Circuits) - 1, n: n}
}

// measureLengths sets the length of each new circuit: along walls to its farthest point and a tenth more, in whole metres.
func (w *feeder) measureLengths(from int) {
	boards := map[house.ID]house.Board{}
	for _, b := range w.house.Boards {
		boards[b.ID] = b
	}
	for i := from; i < len(w.house.Circuits); i++ {
		c := &w.house.Circuits[i]
		b := boards[c.Board]
		far := 0.0
		for _, p := range w.house.Points {
			if p.Circuit == c.ID && p.At != nil && b.At != nil {
				far = math.Max(far, cable(*b.At, *p.At))
			}
		}
		c.Length = unit.Metres(math.Ceil(far * 1.1))
	}
}
