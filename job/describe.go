package job

import (
	"fmt"

	"wirewright/handover"
	"wirewright/house"
	"wirewright/unit"
)

// describer fills in a passport's own part: what the entity is. It notes in points whose rules and tests are the
// entity's, and in near whose findings are shown with it.
type describer struct {
	*View
	p      *Passport
	points []house.ID
	near   []Ref
}

// kindOf describes the entities of one kind; describe is false where the passport's name is none of that kind.
type kindOf struct {
	kind     string
	describe func(*describer) bool
}

// describers are the kinds that have passports, in the order in which a name is looked up.
func describers() []kindOf {
	return []kindOf{{"point", (*describer).point}, {"module", (*describer).module}, {"room", (*describer).room}, {"board", (*describer).board},
		{"line", (*describer).line}, {"circuit", (*describer).circuit}, {"storey", (*describer).storey}, {"wall", (*describer).wall},
		{"opening", (*describer).opening}, {"wish", (*describer).wish}, {"network", (*describer).network}, {"site", (*describer).site}}
}

// All lists everything that has a passport and a name, kind by kind.
func (v *View) All() []Ref {
	h := v.House
	var list []Ref
	list = refs(list, "point", h.Points, func(e *house.Point) (house.ID, string) { return e.ID, e.Title })
	list = refs(list, "module", h.Modules, func(e *house.Module) (house.ID, string) { return e.ID, e.Title })
	list = refs(list, "room", h.Rooms, func(e *house.Room) (house.ID, string) { return e.ID, e.Title })
	list = refs(list, "board", h.Boards, func(e *house.Board) (house.ID, string) { return e.ID, e.Title })
	list = refs(list, "line", h.Lines, func(e *house.Line) (house.ID, string) { return e.ID, e.Title })
	list = refs(list, "circuit", h.Circuits, func(e *house.Circuit) (house.ID, string) { return e.ID, e.Title })
	list = refs(list, "storey", h.Storeys, func(e *house.Storey) (house.ID, string) { return e.ID, e.Title })
	list = refs(list, "wall", h.Walls, func(e *house.Wall) (house.ID, string) { return e.ID, e.Title })
	list = refs(list, "opening", h.Openings, func(e *house.Opening) (house.ID, string) { return e.ID, e.Title })
	return refs(list, "wish", h.Wishes, func(e *house.Wish) (house.ID, string) { return e.ID, e.Text })
}

func refs[T any](list []Ref, kind string, entities []T, say func(*T) (house.ID, string)) []Ref {
	for i := range entities {
		id, title := say(&entities[i])
		list = append(list, Ref{kind, id, title})
	}
	return list
}

// say adds a fact; one without a value is left out.
func (d *describer) say(name, value string) {
	if value != "" {
		d.p.Facts = append(d.p.Facts, Fact{Name: name, Value: value})
	}
}

// sayf adds a fact when the condition holds.
func (d *describer) sayf(when bool, name, format string, args ...any) {
	if when {
		d.say(name, fmt.Sprintf(format, args...))
	}
}

// name adds a fact that names another entity.
func (d *describer) name(fact, kind string, id house.ID) {
	if id == "" {
		return
	}
	r := d.ref(kind, id)
	d.p.Facts = append(d.p.Facts, Fact{Name: fact, Value: or(r.Title, string(id)), Of: &r})
}

// ref names an entity with its title.
func (v *View) ref(kind string, id house.ID) Ref {
	r := Ref{Kind: kind, ID: id}
	x := v.Index
	switch kind {
	case "point":
		r.Title = title(x.Point(id), func(e *house.Point) string { return e.Title })
	case "module":
		r.Title = title(x.Module(id), func(e *house.Module) string { return e.Title })
	case "room":
		r.Title = title(x.Room(id), func(e *house.Room) string { return e.Title })
	case "board":
		r.Title = title(x.Board(id), func(e *house.Board) string { return e.Title })
	case "line":
		r.Title = title(x.Line(id), func(e *house.Line) string { return e.Title })
	case "circuit":
		r.Title = title(x.Circuit(id), func(e *house.Circuit) string { return e.Title })
	case "storey":
		r.Title = title(x.Storey(id), func(e *house.Storey) string { return e.Title })
	}
	return r
}

func title[T any](e *T, of func(*T) string) string {
	if e == nil {
		return ""
	}
	return of(e)
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// parts adds entities that belong to this one.
func (d *describer) parts(title string, list []Ref) {
	if len(list) > 0 {
		d.p.Parts = append(d.p.Parts, Parts{title, list})
	}
}

// within shows rules, tests and findings of a point with this entity.
func (d *describer) within(points []house.ID) {
	d.points = append(d.points, points...)
	for _, id := range points {
		d.near = append(d.near, Ref{Kind: "point", ID: id})
	}
}

// inRoom notes where a plan shows the entity.
func (d *describer) inRoom(id house.ID) {
	d.name("room", "room", id)
	if r := d.Index.Room(id); r != nil {
		d.p.Storey = r.Storey
	}
}

// place says where a module or point is, above its floor.
func (d *describer) place(at *house.XYZ, room house.ID) {
	if at == nil {
		return
	}
	floor := 0.0
	if r := d.Index.Room(room); r != nil {
		floor = r.Floor.M()
	}
	d.say("place", fmt.Sprintf("%.2f m east, %.2f m north, %.2f m above the floor", at.X, at.Y, at.Z-floor))
}

func (d *describer) point() bool {
	e := d.Index.Point(d.p.ID)
	if e == nil {
		return false
	}
	plain := *e
	plain.Title = "" // it stands above
	d.p.Title, d.p.What, d.p.Note, d.points = e.Title, handover.What(&plain), e.Note, []house.ID{e.ID}
	d.inRoom(e.Room)
	d.place(e.At, e.Room)
	d.name("opening", "opening", e.Opening)
	d.say("load", handover.LoadText(e))
	if l := e.Load; l != nil {
		d.sayf(l.Inrush != 0, "closing current", "%s peak, each", l.Inrush)
		d.sayf(l.Dimmed, "dimmed", "yes%s%s", prefixed(", ", l.Edge), prefixed(" edge, lowest ", nonZero(int64(l.Lowest), l.Lowest.String())))
	}
	if t := e.Travel; t != nil {
		d.sayf(true, "travel", "up %s, down %s%s", t.Up, t.Down, prefixed(", slats ", nonZero(int64(t.Slats), t.Slats.String())))
	}
	d.name("circuit", "circuit", e.Circuit)
	d.say("control wiring", string(d.wiring(e)))
	if b := e.Box; b != nil {
		d.sayf(true, "box", "%s%s", or(nonZero(int64(b.Depth), b.Depth.String()+" deep"), "depth not known"), map[bool]string{true: ", with a neutral", false: ", no neutral"}[b.Neutral])
	}
	d.sayf(e.Fitted, "device", "is there already")
	d.say("source", e.Source)
	list := d.Index.LandingsOf(e.ID)
	if len(list) > 0 {
		d.name("controller", "module", d.Index.ControllerOf(list[0].Module.ID))
	}
	d.landings(list)
	return true
}

func prefixed(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}

func nonZero(v int64, s string) string {
	if v == 0 {
		return ""
	}
	return s
}

// wiring is the point's own, or its room's.
func (d *describer) wiring(e *house.Point) house.Wiring {
	if r := d.Index.Room(e.Room); e.Wiring == "" && r != nil {
		return r.Wiring
	}
	return e.Wiring
}

// landings lists where a point lands, or what lands on a module.
func (d *describer) landings(list []house.Landed) {
	for _, l := range list {
		d.p.Landings = append(d.p.Landings, PassportLanding{Module: d.ref("module", l.Module.ID), Channel: l.Landing.Channel,
			Point: d.ref("point", l.Landing.Point), Key: l.Landing.Key})
	}
}

func (d *describer) module() bool {
	e := d.Index.Module(d.p.ID)
	if e == nil {
		return false
	}
	d.p.Title, d.p.What, d.p.Note = e.Title, e.Type, e.Note
	if t, ok := d.job.cat.Type(e.Type); ok {
		d.p.What = t.Title
		d.say("type", e.Type)
		d.sayf(t.Capacity != nil && d.Compiled != nil, "program", "%d rules", d.programRules(e.ID))
		d.sayf(t.Price != 0, "price", "%s %s", t.Price, d.House.Site.Currency)
	}
	d.name("board", "board", e.Board)
	d.sayf(e.Row > 0, "seat", "row %d, unit %d", e.Row, e.Slot)
	d.name("in the box of", "point", e.Point)
	room := e.Room
	if p := d.Index.Point(e.Point); p != nil {
		room = p.Room
	}
	if b := d.Index.Board(e.Board); b != nil {
		room = b.Room
	}
	d.inRoom(room)
	d.place(e.At, room)
	d.name("fed by", "circuit", e.Circuit)
	if l := d.Index.LineOf(e.ID); l != nil {
		d.name("line", "line", l.ID)
		d.name("executed by", "module", l.Head)
	}
	d.say("address", e.Address)
	d.say("host name", e.Host)
	d.say("device", e.Hardware)
	var points []house.ID
	var list []house.Landed
	for i := range e.Landings {
		points = append(points, e.Landings[i].Point)
		list = append(list, house.Landed{Module: e, Landing: &e.Landings[i]})
	}
	d.landings(list)
	d.points = points
	return true
}

func (d *describer) programRules(id house.ID) int {
	n := 0
	for _, r := range d.Compiled.Rules {
		for _, c := range r.Controllers {
			n += btoi(c == string(id))
		}
	}
	return n
}

func (d *describer) room() bool {
	e := d.Index.Room(d.p.ID)
	if e == nil {
		return false
	}
	d.p.Title, d.p.What, d.p.Note, d.p.Storey = e.Title, "room", e.Note, e.Storey
	d.say("use", e.Use)
	d.say("number", e.Number)
	d.name("storey", "storey", e.Storey)
	d.sayf(len(e.Outline) > 2, "floor area", "%.1f m²", e.FloorArea())
	d.sayf(e.Area > 0, "area as stated", "%.1f m²", e.Area)
	d.sayf(e.Height != 0, "clear height", "%s", e.Height)
	d.say("control wiring", string(e.Wiring))
	d.say("source", e.Source)
	var points []Ref
	for _, p := range d.Index.PointsIn(e.ID) {
		points = append(points, Ref{"point", p.ID, p.Title})
		d.within([]house.ID{p.ID})
	}
	d.parts("points", points)
	d.parts("modules", d.modules(func(m *house.Module) bool {
		p := d.Index.Point(m.Point)
		return m.Room == e.ID || p != nil && p.Room == e.ID
	}))
	d.parts("boards", d.boards(e.ID))
	return true
}

func (d *describer) modules(in func(*house.Module) bool) []Ref {
	var list []Ref
	for i := range d.House.Modules {
		if m := &d.House.Modules[i]; in(m) {
			list = append(list, Ref{"module", m.ID, m.Title})
		}
	}
	return list
}

func (d *describer) boards(room house.ID) []Ref {
	var list []Ref
	for _, b := range d.House.Boards {
		if b.Room == room {
			list = append(list, Ref{"board", b.ID, b.Title})
		}
	}
	return list
}

func (d *describer) board() bool {
	e := d.Index.Board(d.p.ID)
	if e == nil {
		return false
	}
	d.p.Title, d.p.What, d.p.Note = e.Title, "distribution board", e.Note
	d.inRoom(e.Room)
	d.place(e.At, e.Room)
	d.sayf(e.Rows > 0, "rail", "%s of %s", plural(e.Rows, "row", "rows"), plural(e.Units, "unit", "units"))
	d.sayf(e.Loss != 0, "heat that it may give off", "%s", e.Loss)
	d.parts("modules", d.modules(func(m *house.Module) bool { return m.Board == e.ID }))
	var circuits []Ref
	for _, c := range d.House.Circuits {
		if c.Board == e.ID {
			circuits = append(circuits, Ref{"circuit", c.ID, c.Title})
		}
	}
	d.parts("circuits", circuits)
	return true
}

func (d *describer) circuit() bool {
	e := d.Index.Circuit(d.p.ID)
	if e == nil {
		return false
	}
	d.p.Title, d.p.What, d.p.Note = e.Title, "final circuit", e.Note
	d.name("board", "board", e.Board)
	d.say("phase", e.Phase)
	d.sayf(e.Rating != 0, "protective device", "%s%s", e.Rating, prefixed(", curve ", e.Curve))
	d.sayf(e.Residual != 0, "residual current device", "%s", e.Residual)
	d.sayf(e.Section != 0, "line conductor", "%s", e.Section)
	d.sayf(e.Length != 0, "length", "%s", e.Length)
	d.say("installation method", e.Method)
	d.sayf(e.Grouped > 1, "bunched", "%d circuits, itself included", e.Grouped)
	var points []Ref
	var power unit.Power
	for _, p := range d.House.Points {
		if p.Circuit == e.ID {
			points = append(points, Ref{"point", p.ID, p.Title})
			d.points = append(d.points, p.ID)
			if p.Load != nil {
				power += p.Load.Power
			}
		}
	}
	d.sayf(power != 0, "loads that state a power", "%s in all", power)
	d.parts("feeds the points", points)
	d.parts("feeds the modules", d.modules(func(m *house.Module) bool { return m.Circuit == e.ID }))
	return true
}

func (d *describer) line() bool {
	e := d.Index.Line(d.p.ID)
	if e == nil {
		return false
	}
	d.p.Title, d.p.What, d.p.Note = e.Title, "bus line", e.Note
	d.name("head", "module", e.Head)
	d.say("cable", e.Cable)
	var total unit.Length
	var taps []Ref
	for _, t := range e.Taps {
		total += t.Length + t.Stub
		taps = append(taps, d.ref("module", t.Module))
	}
	d.sayf(total != 0, "cable in all", "%s", total)
	d.parts("taps, in the order of the cable", taps)
	return true
}
