package handover

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"wirewright/calc/route"
	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/handover/plan"
	"wirewright/house"
	"wirewright/unit"
)

// drum is the usual length of cable on a drum (common practice, no source).
var drum = unit.Metres(100)

// cable is one piece to lay.
type cable struct {
	from, to check.Spot
	typ      string // of the catalogue; empty where none suits
	length   unit.Length
	words    string // its way
	note     string // what was assumed
	bus      bool   // extra-low voltage
	buy      bool   // it counts in the totals
}

// run is a group of cables: those of one board, of one line, of the circuits.
type run struct {
	title, under string
	cables       []cable
}

// runs are all cables of the house, computed once.
func (b *builder) runs() []run {
	if b.routed {
		return b.cableRuns
	}
	b.routed = true
	b.router = check.NewRouter(b.pack.House)
	for i := range b.pack.House.Boards {
		b.addRun(b.star(&b.pack.House.Boards[i]))
	}
	for i := range b.pack.House.Lines {
		b.addRun(b.tapsOf(&b.pack.House.Lines[i]))
	}
	b.addRun(b.circuitRun())
	return b.cableRuns
}

func (b *builder) addRun(r run) {
	if len(r.cables) > 0 {
		b.cableRuns = append(b.cableRuns, r)
	}
}

// star are the cables from the points of a board that each have one of their own.
func (b *builder) star(board *house.Board) run {
	r := run{title: "From " + string(board.ID), under: joined(" · ", board.Title, "a cable for each point")}
	from := check.Spot{Kind: "board", ID: board.ID}
	for i := range b.pack.House.Points {
		p := &b.pack.House.Points[i]
		if !b.hasOwnCable(p) || b.starBoard(p) != board.ID {
			continue
		}
		to := check.Spot{Kind: "point", ID: p.ID}
		w := b.router.Way(from, to)
		c := cable{from: from, to: to, words: b.router.Words(from, to), note: w.Note, bus: !mains(p), buy: true}
		c.typ = b.cableFor(p)
		if w.Length > 0 {
			c.length = check.UsualAllowance().Of(w, from, to)
		}
		r.cables = append(r.cables, c)
	}
	return r
}

// mains tells whether the cable to a point carries mains voltage.
func mains(p *house.Point) bool {
	return p.Kind.Moved() && (p.Load == nil || p.Load.Category != house.Dry)
}

// hasOwnCable tells whether a point is wired to a board by a cable of its own: it or its room is wired so, and no module of
// a line sits in its box.
func (b *builder) hasOwnCable(p *house.Point) bool {
	wiring := p.Wiring
	if r := b.index.Room(p.Room); wiring == "" && r != nil {
		wiring = r.Wiring
	}
	if wiring != house.WiringStar {
		return false
	}
	if mains(p) {
		return true
	}
	for _, l := range b.index.LandingsOf(p.ID) {
		if l.Module.Point == p.ID && b.index.LineOf(l.Module.ID) != nil {
			return false
		}
	}
	return true
}

// starBoard is the board that a point is wired to: that of the module in a board on which it lands, else that of its
// circuit, else that of another circuit of its room.
func (b *builder) starBoard(p *house.Point) house.ID {
	for _, l := range b.index.LandingsOf(p.ID) {
		if l.Module.Board != "" {
			return l.Module.Board
		}
	}
	for _, q := range append([]*house.Point{p}, b.index.PointsIn(p.Room)...) {
		if k := b.index.Circuit(q.Circuit); k != nil {
			return k.Board
		}
	}
	return ""
}

// cableFor is the cheapest cable of the catalogue for a point. Mains cables are those named mains-<cores>x<section>: five
// cores for motors with two directions and for dimmed lamps, else three, no thinner than the circuit. What is read takes
// two pairs, or a control cable where it has more keys than those can carry.
func (b *builder) cableFor(p *house.Point) string {
	if !mains(p) {
		if len(p.Keys) > 3 {
			return b.cheapest("control-", func(*catalogue.Cable) bool { return true })
		}
		return b.cheapest("bus-", func(*catalogue.Cable) bool { return true })
	}
	cores := 3
	if p.Kind.Motorised() || p.Load != nil && p.Load.Dimmed {
		cores = 5
	}
	least := unit.Section(0)
	if k := b.index.Circuit(p.Circuit); k != nil {
		least = k.Section
	}
	return b.mainsCable(cores, least)
}

func (b *builder) mainsCable(cores int, least unit.Section) string {
	return b.cheapest("mains-", func(c *catalogue.Cable) bool {
		n := 0
		_, err := fmt.Sscanf(c.ID, "mains-%dx", &n)
		return err == nil && n >= cores && c.Section >= least
	})
}

func (b *builder) cheapest(prefix string, suits func(*catalogue.Cable) bool) string {
	var best *catalogue.Cable
	for i := range b.pack.Catalogue.Cables {
		c := &b.pack.Catalogue.Cables[i]
		if strings.HasPrefix(c.ID, prefix) && suits(c) && (best == nil || cmp.Or(cmp.Compare(c.Price, best.Price), cmp.Compare(c.ID, best.ID)) < 0) {
			best = c
		}
	}
	if best == nil {
		return ""
	}
	return best.ID
}

// tapsOf are the pieces of bus cable of a line outside of boards, as long as the line says.
func (b *builder) tapsOf(l *house.Line) run {
	r := run{title: joined(" · ", string(l.ID), l.Title), under: "bus cable from tap to tap, as long as planned for the line"}
	for i := 1; i < len(l.Taps); i++ {
		from, to := b.tapSpot(l.Taps[i-1].Module), b.tapSpot(l.Taps[i].Module)
		if from == to {
			continue
		}
		w := b.router.Way(from, to)
		r.cables = append(r.cables, cable{from: from, to: to, typ: l.Cable, length: l.Taps[i].Length, words: b.router.Words(from, to), note: w.Note, bus: true, buy: true})
	}
	return r
}

// tapSpot is the board that a module of a line sits in, else the module.
func (b *builder) tapSpot(id house.ID) check.Spot {
	if m := b.index.Module(id); m != nil && m.Board != "" && m.At == nil {
		return check.Spot{Kind: "board", ID: m.Board}
	}
	return check.Spot{Kind: "module", ID: id}
}

// circuitRun are the circuits with loads that have no cable of their own: how far it is to the farthest.
func (b *builder) circuitRun() run {
	r := run{title: "Circuits", under: "from the board to the farthest load without a cable of its own; what lies between is not planned here, and not in the totals"}
	far := map[house.ID]cable{}
	best := map[house.ID]unit.Length{}
	for i := range b.pack.House.Points {
		p := &b.pack.House.Points[i]
		k := b.index.Circuit(p.Circuit)
		if k == nil || !mains(p) || b.hasOwnCable(p) {
			continue
		}
		from, to := check.Spot{Kind: "board", ID: k.Board}, check.Spot{Kind: "point", ID: p.ID}
		if w := b.router.Way(from, to); w.Length > best[k.ID] {
			best[k.ID] = w.Length
			far[k.ID] = cable{from: from, to: to, typ: b.mainsCable(3, k.Section), length: check.UsualAllowance().Of(w, from, to), note: w.Note}
		}
	}
	for i := range b.pack.House.Circuits {
		if c, ok := far[b.pack.House.Circuits[i].ID]; ok {
			c.words = joined(": ", string(b.pack.House.Circuits[i].ID), b.router.Words(c.from, c.to))
			r.cables = append(r.cables, c)
		}
	}
	return r
}

// cables is the cable schedule: what is laid from where to where, how long, which way; and the drums that it takes.
func (b *builder) cables() Schedule {
	s := Schedule{Name: "Cables", Title: "Cable schedule", Empty: "No cable is planned: the house has no points with a cable of their own and no bus line.",
		Intro: "Lengths follow the shortest way along walls in the customary zones (DIN 18015-3, from memory), with 5 % for bends, 1 m at a board and 0.3 m in a box; " +
			"bus cable is as long as planned for its line. Measure before you cut. Keep extra-low-voltage cable apart from mains cable, or take cable insulated for the " +
			"mains voltage; they never share a box without a partition. Work on mains cables is for a person licensed or instructed as the law of the place requires.",
		Columns: []Column{{Title: "No.", Width: 7, Align: Right}, {Title: "From", Width: 20}, {Title: "To", Width: 28}, {Title: "Cable", Width: 20},
			{Title: "Length", Width: 12, Align: Right}, {Title: "Way", Width: 62}}}
	n := 0
	for _, r := range b.runs() {
		s.Rows = append(s.Rows, head(r.title, r.under))
		for _, c := range r.cables {
			n++
			length := text("")
			if c.length > 0 {
				length = Cell{Text: fmt.Sprintf("%.1f m", c.length.M())}
			}
			s.Rows = append(s.Rows, []Cell{number(n), text(string(c.from.ID)), text(string(c.to.ID)), text(or(c.typ, "none suits")), length, text(joined(" · ", c.words, c.note))})
		}
	}
	return b.drums(s)
}

// drums adds to the schedule what is wanted of each cable, and how it is cut from drums.
func (b *builder) drums(s Schedule) Schedule {
	pieces := b.pieces()
	if len(pieces) == 0 {
		return s
	}
	s.Rows = append(s.Rows, head("Drums", fmt.Sprintf("pieces packed onto drums of %.0f m, the longest first; circuits are not counted", drum.M())))
	for _, id := range sortedKeys(pieces) {
		sum := unit.Length(0)
		for _, l := range pieces[id] {
			sum += l
		}
		s.Rows = append(s.Rows, []Cell{text(""), text(fmt.Sprintf("%d pieces", len(pieces[id]))), text(""), text(id), {Text: fmt.Sprintf("%.1f m", sum.M())}, text(cutting(pieces[id]))})
	}
	return s
}

// pieces are the lengths to buy by cable, in the order of the schedule.
func (b *builder) pieces() map[string][]unit.Length {
	m := map[string][]unit.Length{}
	for _, r := range b.runs() {
		for _, c := range r.cables {
			if c.buy && c.typ != "" && c.length > 0 {
				m[c.typ] = append(m[c.typ], c.length)
			}
		}
	}
	return m
}

// cutting says how many drums some pieces take.
func cutting(pieces []unit.Length) string {
	c := route.Cut(pieces, drum)
	var parts []string
	if n := len(c.Drums); n > 0 {
		least := "no way of cutting takes fewer"
		if c.Least < n {
			least = fmt.Sprintf("at least %d are needed", c.Least)
		}
		parts = append(parts, fmt.Sprintf("%d %s, %.1f m left over; %s", n, plural(n, "drum"), c.Waste.M(), least))
	}
	if n := len(c.Long); n > 0 {
		longest := slices.Max(pieces)
		parts = append(parts, fmt.Sprintf("%d %s longer than a drum, the longest %.1f m: order by length", n, plural(n, "piece"), longest.M()))
	}
	return strings.Join(parts, "; ")
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}

// starMetres are the metres of cable to buy that are not bus cable of a line, by cable.
func (b *builder) starMetres() map[string]float64 {
	m := map[string]float64{}
	for _, r := range b.runs() {
		for _, c := range r.cables {
			if c.buy && c.typ != "" && c.from.Kind == "board" && c.to.Kind == "point" {
				m[c.typ] += c.length.M()
			}
		}
	}
	return m
}

// CablesOf are the ways of all cables of a house as a layer of its plans.
func CablesOf(h *house.House, c *catalogue.Catalogue) []plan.Cable {
	return newBuilder(Pack{House: h, Catalogue: c}).planCables()
}

func (b *builder) planCables() []plan.Cable {
	var list []plan.Cable
	for _, r := range b.runs() {
		for _, c := range r.cables {
			if places := b.router.Places(c.from, c.to); places != nil {
				list = append(list, plan.Cable{Entity: c.to.ID, Label: fmt.Sprintf("Cable %s to %s, %.1f m", c.from.ID, c.to.ID, c.length.M()), Bus: c.bus, Places: places})
			}
		}
	}
	return list
}
