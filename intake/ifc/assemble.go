package ifc

import (
	"math"

	"wirewright/house"
	"wirewright/intake/step"
	"wirewright/unit"
)

// builder makes one house of drafts.
type builder struct {
	opts    Options
	names   *names
	house   *house.House
	result  *Result
	storeys map[key]house.ID // storey of a draft → storey of the house
	levels  map[house.ID]float64
	rooms   []room
	roomOf  map[key]house.ID // space of a draft → room of the house
	wallOf  map[key][]house.ID
	walls   map[house.ID]int // place of each wall in the house
	first   map[string]int   // GlobalId → the draft that brought it in first
}

// key is an entity of one of the drafts.
type key struct {
	draft int
	id    step.ID
}

// room is a room of the house with what is needed to find points in it.
type room struct {
	space
	id    house.ID
	level house.ID
	from  point // the box around the outline
	to    point
}

// nearBox tells whether a place is in the box around the room, or within a distance of it.
func (r *room) nearBox(p point, d float64) bool {
	return p.X >= r.from.X-d && p.X <= r.to.X+d && p.Y >= r.from.Y-d && p.Y <= r.to.Y+d
}

func newRoom(s space, id, level house.ID) room {
	r := room{space: s, id: id, level: level}
	r.from.X, r.to.X = extent(s.outline.edge, point{}, point{1, 0})
	r.from.Y, r.to.Y = extent(s.outline.edge, point{}, point{0, 1})
	return r
}

// sameLevel is the difference of height, in metres, up to which storeys of two models are one.
const sameLevel = 0.3

func assemble(drafts []*draft, opts Options) *Result {
	b := &builder{opts: opts, names: newNames(opts.Keep), house: &house.House{Format: house.FormatName},
		result: &Result{drafts: drafts}, storeys: map[key]house.ID{}, levels: map[house.ID]float64{},
		roomOf: map[key]house.ID{}, wallOf: map[key][]house.ID{}, first: map[string]int{}, walls: map[house.ID]int{}}
	b.result.House = b.house
	for i, d := range drafts {
		b.general(d)
		b.addStoreys(i, d)
	}
	b.finishStoreys()
	for i, d := range drafts {
		b.addRooms(i, d)
	}
	for i, d := range drafts {
		b.addWalls(i, d)
		b.addOpenings(i, d)
		b.addSlabs(i, d)
	}
	b.outerWalls()
	b.addElectrical(drafts)
	return b.result
}

// general takes title, site, schema and counts; the first model that states something wins.
func (b *builder) general(d *draft) {
	r, h := b.result, b.house
	if r.Schema == "" {
		r.Schema = d.schema
	}
	if h.Title == "" {
		h.Title = d.title
	}
	if h.Site.Latitude == 0 && h.Site.Longitude == 0 {
		h.Site.Latitude, h.Site.Longitude = d.site.Latitude, d.site.Longitude
	}
	if h.Site.North == 0 {
		h.Site.North = d.site.North
	}
	r.Counts.add(d.counts)
	r.Unread = append(r.Unread, d.unread...)
}

// isTwin tells whether an earlier model brought in the same entity.
func (b *builder) isTwin(draft int, s source) bool {
	if s.globalID == "" {
		return false
	}
	if at, ok := b.first[s.globalID]; ok {
		return at != draft
	}
	b.first[s.globalID] = draft
	return false
}

// leave lists a piece of a draft that does not enter the house.
func (b *builder) leave(d *draft, s source, reason string) {
	b.result.Unread = append(b.result.Unread, Item{File: d.name, Entity: s.id.String(), Line: s.line, Class: s.class,
		Name: s.name, GlobalID: s.globalID, Reason: reason})
}

func (b *builder) addStoreys(i int, d *draft) {
	for _, s := range d.storeys {
		if id, ok := b.levelAt(i, s.elevation); ok {
			b.storeys[key{i, s.id}] = id
			continue
		}
		id := b.names.give("storey", s.globalID, orElse(slug(s.name), slug("storey "+s.name)))
		b.storeys[key{i, s.id}] = id
		b.levels[id] = s.elevation
		b.house.Storeys = append(b.house.Storeys, house.Storey{ID: id, Title: s.name, Elevation: metres(s.elevation), Source: s.globalID})
	}
}

// levelAt finds the storey that an earlier model has at a height.
func (b *builder) levelAt(draft int, z float64) (house.ID, bool) {
	if draft == 0 {
		return "", false
	}
	for _, s := range b.house.Storeys {
		if math.Abs(b.levels[s.ID]-z) <= sameLevel {
			return s.ID, true
		}
	}
	return "", false
}

// finishStoreys sorts the storeys from below and gives each the height up to the next.
func (b *builder) finishStoreys() {
	list := b.house.Storeys
	stableSort(list, func(a, c house.Storey) bool { return a.Elevation < c.Elevation })
	for i := range list {
		if i+1 < len(list) {
			list[i].Height = list[i+1].Elevation - list[i].Elevation
		}
	}
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// metres makes a length of metres, in whole steps of 0.1 mm.
func metres(v float64) unit.Length { return unit.Metres(grid(v)) }

func xy(p point) house.XY { return house.XY{X: grid(p.X), Y: grid(p.Y)} }

func ring(p polygon) []house.XY {
	out := make([]house.XY, len(p))
	for i, q := range p {
		out[i] = xy(q)
	}
	return out
}

func rings(list []polygon) [][]house.XY {
	var out [][]house.XY
	for _, p := range list {
		out = append(out, ring(p))
	}
	return out
}

func (b *builder) addRooms(i int, d *draft) {
	uses := builtinUses()
	numbered := titlesRepeat(d.spaces)
	for _, s := range d.spaces {
		level := b.storeys[key{i, s.storey}]
		if twin := b.sameRoom(i, s, level); twin != "" {
			b.roomOf[key{i, s.id}] = twin
			b.leave(d, s.source, "the room "+string(twin)+" of the first model is at its place")
			continue
		}
		if level == "" {
			b.leave(d, s.source, "it stands on no storey")
			continue
		}
		base := slug(s.title)
		if numbered && s.number != s.title {
			base = slug(s.number + " " + s.title)
		}
		id := b.names.give("room", s.globalID, orElse(base, slug("room "+s.number)))
		b.roomOf[key{i, s.id}] = id
		b.rooms = append(b.rooms, newRoom(s, id, level))
		r := house.Room{ID: id, Title: s.title, Storey: level, Use: uses.find(s.title), Outline: ring(s.outline.edge),
			Holes: rings(s.outline.holes), Floor: metres(s.low), Height: metres(s.high - s.low), Area: grid(s.area),
			Source: s.globalID, Note: s.remark}
		if s.number != s.title {
			r.Number = s.number
		}
		b.house.Rooms = append(b.house.Rooms, r)
	}
}

// titlesRepeat tells whether two rooms of a model have the same title, so that numbers must tell them apart.
func titlesRepeat(list []space) bool {
	seen := map[string]bool{}
	for _, s := range list {
		t := slug(s.title)
		if seen[t] {
			return true
		}
		seen[t] = true
	}
	return false
}

// sameRoom finds the room of an earlier model at the place of a space: the same GlobalId, or the same storey and an outline
// around the middle of the space's outline.
func (b *builder) sameRoom(draft int, s space, level house.ID) house.ID {
	if draft == 0 {
		return ""
	}
	inside := s.outline.inner()
	for _, r := range b.rooms {
		if r.globalID == s.globalID && s.globalID != "" || r.level == level && r.outline.holds(inside) {
			return r.id
		}
	}
	return ""
}

// inner returns a point inside the outline: the middle of the widest run of a line across its middle.
func (o outline) inner() point {
	low, high := extent(o.edge, point{}, point{0, 1})
	y := low + (high-low)*0.5000917 // off the corners
	var xs []float64
	for _, p := range append([]polygon{o.edge}, o.holes...) {
		for i, a := range p {
			c := p[(i+1)%len(p)]
			if (a.Y > y) != (c.Y > y) {
				xs = append(xs, a.X+(y-a.Y)/(c.Y-a.Y)*(c.X-a.X))
			}
		}
	}
	stableSort(xs, func(a, b float64) bool { return a < b })
	best, at := -1.0, point{}
	for i := 0; i+1 < len(xs); i += 2 {
		if w := xs[i+1] - xs[i]; w > best {
			best, at = w, point{(xs[i] + xs[i+1]) / 2, y}
		}
	}
	return at
}

func (b *builder) addWalls(i int, d *draft) {
	for _, w := range d.walls {
		level := b.storeys[key{i, w.storey}]
		if b.isTwin(i, w.source) {
			b.wallOf[key{i, w.id}] = b.wallsOf(w.globalID)
			continue
		}
		if level == "" {
			b.leave(d, w.source, "it stands on no storey")
			continue
		}
		id := b.named("wall", w.globalID, w.name, string(level)+".wall-")
		b.wallOf[key{i, w.id}] = append(b.wallOf[key{i, w.id}], id)
		out := house.Wall{ID: id, Title: w.name, Storey: level, From: xy(w.from), To: xy(w.to), Base: metres(w.base),
			Height: metres(w.height), Thickness: metres(w.thickness), Layers: w.layers, Source: w.globalID, Note: w.remark}
		if w.external != nil {
			out.External = *w.external
		}
		b.walls[id] = len(b.house.Walls)
		b.house.Walls = append(b.house.Walls, out)
	}
}

// wallsOf finds the walls made of one entity.
func (b *builder) wallsOf(globalID string) []house.ID {
	var out []house.ID
	for _, w := range b.house.Walls {
		if w.Source == globalID {
			out = append(out, w.ID)
		}
	}
	return out
}

// named gives an identity by a short name, or by a number after the prefix.
func (b *builder) named(kind, source, name, prefix string) house.ID {
	if s := shortSlug(name); s != "" {
		return b.names.give(kind, source, s)
	}
	return b.names.numbered(kind, source, prefix)
}

func (b *builder) addOpenings(i int, d *draft) {
	for _, o := range d.openings {
		if b.isTwin(i, o.source) {
			continue
		}
		level := b.storeys[key{i, o.storey}]
		if level == "" {
			b.leave(d, o.source, "it stands on no storey")
			continue
		}
		out := house.Opening{ID: b.named("opening", o.globalID, o.name, string(level)+"."+string(o.kind)+"-"), Title: o.name,
			Kind: o.kind, Storey: level, From: xy(o.from), To: xy(o.to), Sill: metres(o.sill), Width: metres(o.width),
			Height: metres(o.height), Hinge: o.hinge, Source: o.globalID, Note: o.remark}
		if o.hostWall {
			out.Wall = b.hostOf(key{i, o.host}, o)
		}
		out.Rooms = b.joins(i, o, out.Wall)
		b.house.Openings = append(b.house.Openings, out)
	}
}

// hostOf picks, of the walls made of the host, the one that the opening lies in.
func (b *builder) hostOf(host key, o opening) house.ID {
	mid := o.from.plus(o.to).times(0.5)
	var best house.ID
	least := math.Inf(1)
	for _, id := range b.wallOf[host] {
		w := b.house.Walls[b.walls[id]]
		if d := segmentDistance(mid, point(w.From), point(w.To)); d < least {
			best, least = id, d
		}
	}
	return best
}

func (b *builder) addSlabs(i int, d *draft) {
	for _, s := range d.slabs {
		if b.isTwin(i, s.source) {
			continue
		}
		level := b.storeys[key{i, s.storey}]
		if level == "" {
			b.leave(d, s.source, "it stands on no storey")
			continue
		}
		b.house.Slabs = append(b.house.Slabs, house.Slab{ID: b.named("slab", s.globalID, s.name, string(level)+".slab-"),
			Title: s.name, Storey: level, Outline: ring(s.outline.edge), Holes: rings(s.outline.holes), Top: metres(s.top),
			Layers: s.layers, Source: s.globalID, Note: s.remark})
	}
}
