package check

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/unit"
)

// editor makes random edits of a house: entities of every kind changed, added, removed, renamed and moved in their lists.
// It leaves what refers to them as it is half of the time, since people do.
type editor struct {
	*rand.Rand
	types []string
	n     int
}

func newEditor(seed uint64, c *catalogue.Catalogue) *editor {
	return &editor{Rand: rand.New(rand.NewPCG(seed, 1)), types: append(c.TypeIDs(), "no-such-type")}
}

// edit makes the house after one more edit; h stays as it is.
func (e *editor) edit(h *house.House) (*house.House, string) {
	next := *h
	e.n++
	what := ""
	switch e.IntN(14) {
	case 0:
		what = e.site(&next)
	case 1:
		what = e.network(&next)
	case 2:
		what = e.fabric(&next)
	case 3, 4, 5:
		what = list(e, &next.Modules, "module", func(m *house.Module) *house.ID { return &m.ID }, func(m *house.Module) { e.module(h, m) })
	case 6, 7, 8:
		what = list(e, &next.Points, "point", func(p *house.Point) *house.ID { return &p.ID }, func(p *house.Point) { e.point(h, p) })
	case 9, 10:
		what = list(e, &next.Lines, "line", func(l *house.Line) *house.ID { return &l.ID }, func(l *house.Line) { e.line(h, l) })
	case 11, 12:
		what = list(e, &next.Circuits, "circuit", func(k *house.Circuit) *house.ID { return &k.ID }, func(k *house.Circuit) { e.circuit(h, k) })
	case 13:
		what = list(e, &next.Boards, "board", func(b *house.Board) *house.ID { return &b.ID }, func(b *house.Board) { e.board(h, b) })
	}
	return &next, what
}

// list edits one list of a house: it changes, adds, removes, renames or moves an entity.
func list[T any](e *editor, at *[]T, kind string, id func(*T) *house.ID, change func(*T)) string {
	entities := slices.Clone(*at)
	*at = entities
	fresh := house.ID(fmt.Sprintf("new%d", e.n))
	if len(entities) == 0 {
		var one T
		*id(&one) = fresh
		change(&one)
		*at = append(entities, one)
		return "add the first " + kind
	}
	i := e.IntN(len(entities))
	name := *id(&entities[i])
	switch e.IntN(12) {
	case 0:
		*at = slices.Delete(entities, i, i+1)
		return fmt.Sprintf("remove %s %s", kind, name)
	case 1:
		more := entities[i]
		*id(&more) = fresh
		*at = slices.Insert(entities, e.IntN(len(entities)+1), more)
		return fmt.Sprintf("add %s %s, a copy of %s", kind, fresh, name)
	case 2:
		*id(&entities[i]) = fresh
		return fmt.Sprintf("rename %s %s to %s", kind, name, fresh)
	case 3:
		k := e.IntN(len(entities))
		entities[i], entities[k] = entities[k], entities[i]
		return fmt.Sprintf("swap %s %s and %s", kind, name, *id(&entities[i]))
	}
	change(&entities[i])
	return fmt.Sprintf("change %s %s", kind, name)
}

// one picks a value.
func one[T any](e *editor, values ...T) T { return values[e.IntN(len(values))] }

// some picks the identity of an entity of a list, one that no entity has, or none.
func some[T any](e *editor, entities []T, id func(*T) house.ID) house.ID {
	if n := len(entities); n > 0 && e.IntN(8) > 0 {
		return id(&entities[e.IntN(n)])
	}
	return one[house.ID](e, "", "ghost")
}

func (e *editor) aPoint(h *house.House) house.ID {
	return some(e, h.Points, func(p *house.Point) house.ID { return p.ID })
}
func (e *editor) aModule(h *house.House) house.ID {
	return some(e, h.Modules, func(m *house.Module) house.ID { return m.ID })
}
func (e *editor) aCircuit(h *house.House) house.ID {
	return some(e, h.Circuits, func(k *house.Circuit) house.ID { return k.ID })
}
func (e *editor) aBoard(h *house.House) house.ID {
	return some(e, h.Boards, func(b *house.Board) house.ID { return b.ID })
}
func (e *editor) aRoom(h *house.House) house.ID {
	return some(e, h.Rooms, func(r *house.Room) house.ID { return r.ID })
}

func (e *editor) place() *house.XYZ {
	if e.IntN(5) == 0 {
		return nil
	}
	return &house.XYZ{X: 30 * e.Float64(), Y: 20 * e.Float64(), Z: 6 * e.Float64()}
}

func (e *editor) metres(most float64) unit.Length {
	return unit.Metres(float64(int(most * e.Float64())))
}

func (e *editor) site(h *house.House) string {
	s := &h.Site.Supply
	switch e.IntN(3) {
	case 0:
		s.Voltage = one(e, unit.Volts(230), unit.Volts(120), 0)
	case 1:
		s.Earthing = one(e, house.TNS, house.TT, house.IT, "")
	case 2:
		s.Loop = one[unit.Resistance](e, 0, 350_000, 5_000_000)
	}
	return "change the site"
}

func (e *editor) network(h *house.House) string {
	n := &h.Network
	switch e.IntN(4) {
	case 0:
		n.Subnet = one(e, "10.20.0.0/16", "192.0.2.0/24", "")
	case 1:
		n.Router = one(e, "10.20.0.1", "10.20.0.20", "192.0.2.9", "")
	case 2:
		n.PoolFirst, n.PoolLast = one(e, "10.20.0.10", "10.20.0.40", ""), one(e, "10.20.0.250", "10.20.0.60")
	case 3:
		n.AccessPoints = append(slices.Clone(n.AccessPoints), house.AccessPoint{ID: house.ID(fmt.Sprintf("ap%d", e.n)), At: e.place(), Channel: 6})
		if len(n.AccessPoints) > 3 {
			n.AccessPoints = n.AccessPoints[3:]
		}
	}
	return "change the network"
}

// fabric changes storeys, rooms, walls and openings.
func (e *editor) fabric(h *house.House) string {
	switch e.IntN(4) {
	case 0:
		return list(e, &h.Storeys, "storey", func(s *house.Storey) *house.ID { return &s.ID }, func(s *house.Storey) { s.Elevation = e.metres(9) })
	case 1:
		return list(e, &h.Rooms, "room", func(r *house.Room) *house.ID { return &r.ID }, func(r *house.Room) {
			r.Floor, r.Use = e.metres(6), one(e, "", "outside", "study")
			if len(r.Outline) > 0 {
				r.Outline = slices.Clone(r.Outline)
				r.Outline[0].X += 4 * e.Float64()
			}
		})
	case 2:
		return list(e, &h.Walls, "wall", func(w *house.Wall) *house.ID { return &w.ID }, func(w *house.Wall) {
			w.Layers = []house.Layer{{Material: one(e, "brick", "steel", "ghost", "concrete"), Thickness: unit.Metres(0.1 + 0.3*e.Float64())}}
		})
	}
	return list(e, &h.Openings, "opening", func(o *house.Opening) *house.ID { return &o.ID }, func(o *house.Opening) {
		o.Kind = one(e, house.Door, house.Window, house.Passage)
	})
}

func (e *editor) load() *house.Load {
	if e.IntN(8) == 0 {
		return nil
	}
	return &house.Load{Category: one(e, house.Categories...), Power: unit.Watts(float64(e.IntN(2000))), Count: e.IntN(12), Inrush: unit.Amperes(float64(e.IntN(40))),
		Factor: one(e, 0, 0.6, 1), Dimmed: e.IntN(2) == 0, Edge: one(e, "", "leading", "trailing", "either")}
}

func (e *editor) point(h *house.House, p *house.Point) {
	switch e.IntN(7) {
	case 0, 1:
		p.Load = e.load()
	case 2:
		p.Kind, p.Plain = one(e, house.Kinds...), e.IntN(6) == 0
	case 3:
		p.Circuit = e.aCircuit(h)
	case 4:
		p.Box = &house.Box{Depth: unit.Metres(0.02 + 0.05*e.Float64()), Neutral: e.IntN(2) == 0}
	case 5:
		p.At, p.Room = e.place(), e.aRoom(h)
	case 6:
		p.Keys = one(e, nil, []string{"one"}, []string{"one", "two", "three"})
		p.Travel = one(e, nil, &house.Travel{Up: 20_000, Down: 250_000})
	}
}

func (e *editor) landing(h *house.House) house.Landing {
	return house.Landing{Channel: one(e, "out1", "out2", "out3", "in1", "in2", "dim1", "sh1", "val1", "key1", "out9"), Point: e.aPoint(h), Key: e.IntN(3)}
}

func (e *editor) module(h *house.House, m *house.Module) {
	switch e.IntN(9) {
	case 0:
		m.Type = one(e, e.types...)
	case 1, 2:
		m.Landings = append(slices.Clone(m.Landings), e.landing(h))
	case 3:
		if n := len(m.Landings); n > 0 {
			m.Landings = slices.Clone(m.Landings)
			m.Landings[e.IntN(n)] = e.landing(h)
		}
	case 4:
		m.Board, m.Row, m.Slot = e.aBoard(h), e.IntN(9), e.IntN(24)
	case 5:
		m.Point, m.Room, m.At = e.aPoint(h), e.aRoom(h), e.place()
	case 6:
		m.Circuit = e.aCircuit(h)
	case 7:
		m.Address = one(e, "", "10.20.0.20", "10.20.0.21", "192.0.2.20", "7", fmt.Sprintf("10.20.1.%d", e.IntN(255)))
	case 8:
		m.Host, m.Hardware = one(e, "", "lamp", "Lamp", "key"), one(e, "", "02:00:00:00:00:01", "03:00:00:00:00:01", "S1")
	}
}

func (e *editor) line(h *house.House, l *house.Line) {
	l.Taps = slices.Clone(l.Taps)
	switch e.IntN(8) {
	case 5:
		if n := len(l.Taps); n > 0 {
			i := e.IntN(n)
			l.Taps[i].From, l.Taps[i].Ended, l.Taps[i].Stub = e.aModule(h), e.IntN(2) == 0, e.metres(12)
		}
	case 6:
		if n := len(l.Taps); n > 1 { // a branch between taps of its own
			l.Taps[n-1].From = l.Taps[e.IntN(n-1)].Module
		}
	case 7: // a cable that is full, or nearly so
		for i := range h.Modules {
			if len(l.Taps) < 70 {
				l.Taps = append(l.Taps, house.Tap{Module: h.Modules[i].ID, Length: e.metres(9)})
			}
		}
	case 0:
		l.Head = e.aModule(h)
	case 1:
		l.Cable = one(e, "", "bus-0.5", "bus-1.0", "ghost")
	case 2:
		l.Taps = append(l.Taps, house.Tap{Module: e.aModule(h), Length: e.metres(90)})
	case 3:
		if n := len(l.Taps); n > 0 {
			i := e.IntN(n)
			l.Taps = slices.Delete(l.Taps, i, i+1)
		}
	case 4:
		if n := len(l.Taps); n > 0 {
			l.Taps[e.IntN(n)].Length = e.metres(150)
		}
	}
}

func (e *editor) circuit(h *house.House, k *house.Circuit) {
	switch e.IntN(7) {
	case 6:
		k.Row, k.Slot, k.Units = e.IntN(4), e.IntN(14), e.IntN(4)
	case 0:
		k.Board, k.Phase = e.aBoard(h), one(e, "L1", "L3", "all")
	case 1:
		k.Rating, k.Curve = unit.Amperes(float64(one(e, 0, 6, 16, 63))), one(e, "", "B", "D")
	case 2:
		k.Section = one(e, 0, unit.SquareMillimetres(1.5), unit.SquareMillimetres(4), unit.SquareMillimetres(1.7))
	case 3:
		k.Length, k.Grouped = e.metres(120), e.IntN(9)
	case 4:
		k.Method = one(e, "", "A1", "C", "?")
	case 5:
		k.Residual = one(e, 0, unit.Amperes(0.03))
	}
}

func (e *editor) board(h *house.House, b *house.Board) {
	switch e.IntN(6) {
	case 4:
		b.Devices = []house.Device{{Name: "F1", Kind: "residual", Row: e.IntN(4), Slot: e.IntN(14), Units: 1 + e.IntN(4), Extra: e.IntN(3) == 0, Heat: unit.Watts(float64(e.IntN(9)))}}
	case 5:
		b.Neutrals, b.Earths, b.Partitions = e.IntN(6), e.IntN(6), []house.Partition{{Row: 1 + e.IntN(3), Slot: 1 + e.IntN(14)}}
	case 0:
		b.Rows, b.Units = e.IntN(8), e.IntN(25)
	case 1:
		b.Loss = unit.Watts(float64(e.IntN(100)))
	case 2:
		b.Width, b.Height, b.Depth = e.metres(3), unit.Metres(0.8), unit.Metres(0.2)
	case 3:
		b.At, b.Room = e.place(), e.aRoom(h)
	}
}
