package furnish

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"wirewright/house"
	"wirewright/unit"
)

// Options says what to furnish.
type Options struct {
	Rooms  []house.ID   // only these rooms; all where empty
	Wiring house.Wiring // control wiring of rooms that state none; left unsaid where empty
}

// Result is a furnished house.
type Result struct {
	House   *house.House   // the house with its new points; the one given is unchanged
	Changes []house.Change // what leads from the one to the other
	Added   []house.ID     // the new points, in order
	Remarks []Remark       // what was assumed, left out, or needs a look
}

// Remark is one thing that a person should know about what was done.
type Remark struct {
	Room  house.ID `json:"room,omitempty"`
	Point house.ID `json:"point,omitempty"`
	Text  string   `json:"text"`
}

// String prints the remark on one line.
func (r Remark) String() string {
	at := string(r.Room)
	if r.Point != "" {
		at = string(r.Point)
	}
	if at == "" {
		return r.Text
	}
	return at + ": " + r.Text
}

// furnisher is the work on one house.
type furnisher struct {
	sheets *Sheets
	opts   Options
	before *house.Index
	house  *house.House
	result *Result
	ids    map[house.ID]bool
	there  map[house.ID][]*house.Point // points of each room before the work
}

// Furnish makes the points that the sheets ask for.
func Furnish(h *house.House, sheets *Sheets, opts Options) *Result {
	out := *h
	out.Rooms, out.Points = slices.Clone(h.Rooms), slices.Clone(h.Points)
	out.Boards, out.Circuits = slices.Clone(h.Boards), slices.Clone(h.Circuits)
	f := &furnisher{sheets: sheets, opts: opts, before: house.NewIndex(h), house: &out, result: &Result{House: &out},
		ids: identities(h), there: map[house.ID][]*house.Point{}}
	for i := range h.Points {
		p := &h.Points[i]
		f.there[p.Room] = append(f.there[p.Room], p)
	}
	for i := range h.Rooms {
		if len(opts.Rooms) > 0 && !slices.Contains(opts.Rooms, h.Rooms[i].ID) {
			continue
		}
		if r := &out.Rooms[i]; r.Wiring == "" {
			r.Wiring = opts.Wiring
		}
		f.room(&h.Rooms[i])
	}
	f.completeBoxes()
	f.feed()
	f.result.Changes = house.Diff(h, &out)
	return f.result
}

// identities lists every identity of a house, so that no new one repeats one.
func identities(h *house.House) map[house.ID]bool {
	ids := map[house.ID]bool{}
	for _, s := range h.Storeys {
		ids[s.ID] = true
	}
	for _, r := range h.Rooms {
		ids[r.ID] = true
	}
	for _, w := range h.Walls {
		ids[w.ID] = true
	}
	for _, o := range h.Openings {
		ids[o.ID] = true
	}
	for _, s := range h.Slabs {
		ids[s.ID] = true
	}
	for _, b := range h.Boards {
		ids[b.ID] = true
	}
	for _, c := range h.Circuits {
		ids[c.ID] = true
	}
	for _, p := range h.Points {
		ids[p.ID] = true
	}
	for _, m := range h.Modules {
		ids[m.ID] = true
	}
	for _, l := range h.Lines {
		ids[l.ID] = true
	}
	return ids
}

func (f *furnisher) remark(room, point house.ID, text string, args ...any) {
	f.result.Remarks = append(f.result.Remarks, Remark{room, point, fmt.Sprintf(text, args...)})
}

// room furnishes one room.
func (f *furnisher) room(r *house.Room) {
	sheet, own := f.sheets.For(r.Use)
	switch {
	case !own && r.Use == "":
		f.remark(r.ID, "", "the use of the room is not known; it gets what the sheet \"room\" says")
	case !own:
		f.remark(r.ID, "", "there is no sheet for the use %q; it gets what the sheet \"room\" says", r.Use)
	}
	p := survey(f.before, r, f.sheets.Defaults)
	for _, q := range f.there[r.ID] {
		if q.At != nil {
			p.used = append(p.used, house.XY{X: q.At.X, Y: q.At.Y})
		}
	}
	for _, id := range p.skylights {
		f.remark(r.ID, "", "%s is in the roof: the sheets plan no shutter for it", id)
	}
	for _, e := range sheet.Points {
		f.entry(p, e)
	}
}

// entry makes the points of one line of a sheet.
func (f *furnisher) entry(p *plan, e Entry) {
	if why := f.isThere(p, e); why != "" {
		f.remark(p.ID, "", "%s: left out, %s", e.Name, why)
		return
	}
	spots := p.spots(e)
	var made []*spot
	for i := range spots {
		s := &spots[i]
		if twin := f.served(p, e, s, made); twin != "" {
			f.remark(p.ID, "", "%s at %s: left out, %s", e.Name, orElse(s.door, s.opening), twin)
			continue
		}
		made = append(made, s)
		f.add(p, e, s)
	}
}

func orElse(a, b house.ID) house.ID {
	if a == "" {
		return b
	}
	return a
}

// isThere tells whether the room has had such a point before. Keys and shutters are looked at door by door and window by
// window.
func (f *furnisher) isThere(p *plan, e Entry) string {
	if e.Kind == house.Keypad || e.Kind.Motorised() || e.Place.repeats() {
		return ""
	}
	for _, q := range f.there[p.ID] {
		if q.Kind == e.Kind {
			return fmt.Sprintf("the room has %s", q.ID)
		}
	}
	return ""
}

// nearKeys is the distance, in metres, within which keys that are there serve a door.
const nearKeys = 1.5

// served tells whether a place has what it should get: keys nearby, or a shutter at the same window.
func (f *furnisher) served(p *plan, e Entry, s *spot, made []*spot) string {
	for _, q := range f.there[p.ID] {
		if q.Kind != e.Kind {
			continue
		}
		if e.Kind == house.Keypad && s.door == "" {
			return fmt.Sprintf("the room has %s", q.ID)
		}
		near := q.At != nil && s.at != nil && math.Hypot(q.At.X-s.at.X, q.At.Y-s.at.Y) <= nearKeys
		if s.opening != "" && q.Opening == s.opening || s.opening == "" && near {
			return fmt.Sprintf("%s is there", q.ID)
		}
	}
	for _, m := range made {
		if e.Kind == house.Keypad && m.at != nil && s.at != nil && math.Hypot(m.at.X-s.at.X, m.at.Y-s.at.Y) < 0.4 {
			return "the keys of the next door are within reach"
		}
	}
	return ""
}

// add makes one point.
func (f *furnisher) add(p *plan, e Entry, s *spot) {
	id := f.identity(string(p.ID)+"."+e.Name, e.Place.repeats())
	point := house.Point{ID: id, Title: e.Title, Kind: e.Kind, Room: p.ID, At: s.at, Facing: s.facing, Opening: s.opening,
		Load: f.load(p, e), Fitted: e.Fitted, Note: joined(s.note, e.Note)}
	if point.Travel = e.Travel; e.Travel == nil && e.Kind.Motorised() {
		point.Travel = f.travel(s)
		point.Note = joined(point.Note, "travel times reckoned from its height: measure them")
	}
	if e.Kind == house.Keypad {
		point.Keys = slices.Clone(e.Keys)
		if len(p.windows) > 0 {
			point.Keys = append(point.Keys, e.Windows...)
		}
	}
	point.Box = f.box(e.Box, e.Place == Ceiling)
	if s.note != "" {
		f.remark(p.ID, id, "%s", s.note)
	}
	f.house.Points = append(f.house.Points, point)
	f.result.Added = append(f.result.Added, id)
}

// identity makes an identity that no entity has: the base, or the base with the first free number; numbers begin with 1 where
// a room may have several such points.
func (f *furnisher) identity(base string, numbered bool) house.ID {
	id := house.ID(base)
	if numbered {
		id += "-1"
	}
	for n := 2; f.ids[id]; n++ {
		id = house.ID(base + "-" + strconv.Itoa(n))
	}
	f.ids[id] = true
	return id
}

// load is the load of an entry; of a lamp that lights so much floor, as many as the room needs.
func (f *furnisher) load(p *plan, e Entry) *house.Load {
	if e.Load == nil {
		return nil
	}
	l := *e.Load
	l.Note = joined(l.Note, "assumed by the room data sheet")
	if n := int(math.Ceil(p.FloorArea()/math.Max(e.Each, 1) - 0.05)); e.Each > 0 && n > 1 {
		n = min(n, 20)
		l.Power *= unit.Power(n)
		l.Apparent *= unit.Apparent(n)
		l.Count = n * max(1, l.Count)
	}
	return &l
}

// travel reckons the travel times of a shutter from the height of its window.
func (f *furnisher) travel(s *spot) *house.Travel {
	d := f.sheets.Defaults
	seconds := math.Ceil(d.TravelBase.S() + d.TravelMetre.S()*s.tall)
	return &house.Travel{Up: unit.Seconds(seconds), Down: unit.Seconds(math.Max(1, seconds-1))}
}

const boxNote = "assumed: look into the box for its depth and a neutral conductor"

func (f *furnisher) box(own *house.Box, ceiling bool) *house.Box {
	if own != nil {
		b := *own
		return &b
	}
	d := f.sheets.Defaults
	depth := d.KeyBox
	if ceiling {
		depth = d.CeilingBox
	}
	return &house.Box{Depth: depth, Neutral: d.Neutral, Note: boxNote}
}

// completeBoxes gives a box to points that were there without one, as the model that they came from does not show any.
func (f *furnisher) completeBoxes() {
	n := 0
	for i := range f.house.Points {
		p := &f.house.Points[i]
		if p.Box == nil && f.isChosen(p.Room) {
			p.Box = f.box(nil, p.Kind == house.Lamp)
			n++
		}
	}
	if n > 0 {
		f.remark("", "", "%d points that were there have got a box by assumption", n)
	}
}

func (f *furnisher) isChosen(room house.ID) bool {
	return len(f.opts.Rooms) == 0 || slices.Contains(f.opts.Rooms, room)
}
