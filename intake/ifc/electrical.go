package ifc

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"wirewright/house"
	"wirewright/unit"
)

// addElectrical makes boards, circuits and points of the devices of all drafts.
func (b *builder) addElectrical(drafts []*draft) {
	boards := b.addBoards(drafts)
	circuits := b.addCircuits(drafts, boards)
	b.supply(drafts)
	numbers := b.countKinds(drafts)
	for i, d := range drafts {
		for _, v := range d.devices {
			if b.isTwin(i, v.source) {
				continue
			}
			m := Mapping{File: d.name, Entity: v.id.String(), Line: v.line, Class: v.class, Type: v.typeClass, Name: v.name,
				GlobalID: v.globalID, Tag: v.tag, Role: v.role, Why: v.why, Room: b.roomOfDevice(i, v)}
			if v.role.Kind() != "" {
				m.Circuit = circuits[circuitKey{v.panel, v.circuit}]
			}
			switch {
			case v.role == RoleBoard:
				m.Taken = boards[v.boardKey()]
			case v.role.Kind() != "":
				m.Taken = b.addPoint(b.storeys[key{i, v.storey}], v, m, numbers)
			case v.role == RoleNone:
				b.leave(d, v.source, "the system neither moves nor reads it: told by "+v.why)
			default:
				b.leave(d, v.source, v.why+"; say what it is in the mapping")
			}
			b.result.Mapped = append(b.result.Mapped, m)
		}
	}
}

// roomOfDevice finds the room of a device: it looks a hand's breadth in front of it, along its own axis, because devices
// stand in the face of the wall.
func (b *builder) roomOfDevice(draft int, v device) house.ID {
	front := 0.1
	p := v.at.plus(v.facing.times(front))
	level := b.storeys[key{draft, v.storey}]
	if id, ok := b.roomAt(p.flat(), v.at.Z, level); ok {
		return id
	}
	best, least := house.ID(""), 0.5
	for i := range b.rooms { // set deep into a wall: the nearest room
		r := &b.rooms[i]
		if !r.spans(v.at.Z) || !r.nearBox(p.flat(), least) {
			continue
		}
		if d := r.outline.distance(p.flat()); d < least {
			best, least = r.id, d
		}
	}
	return best
}

// boardKey is the name by which circuits name a board.
func (v device) boardKey() string {
	if v.boardName != "" {
		return v.boardName
	}
	return v.globalID
}

// addBoards makes the boards of the model, then those that only circuits name.
func (b *builder) addBoards(drafts []*draft) map[string]house.ID {
	boards := map[string]house.ID{}
	for i, d := range drafts {
		for _, v := range d.devices {
			if v.role != RoleBoard || boards[v.boardKey()] != "" {
				continue
			}
			title := orElse(v.boardName, v.name)
			id := b.names.give("board", v.globalID, shortSlug(title))
			boards[v.boardKey()] = id
			b.house.Boards = append(b.house.Boards, house.Board{ID: id, Title: title, Room: b.roomOfDevice(i, v), At: at(v.at), Source: v.globalID})
		}
	}
	for _, d := range drafts {
		for _, v := range d.devices {
			if v.panel == "" || boards[v.panel] != "" || !feeds(v.role.Kind()) {
				continue
			}
			id := b.names.give("board", "panel "+v.panel, shortSlug(v.panel))
			boards[v.panel] = id
			b.house.Boards = append(b.house.Boards, house.Board{ID: id, Title: v.panel, Source: "panel " + v.panel,
				Note: "named by circuits of the model, which does not show the board itself"})
		}
	}
	return boards
}

// feeds tells whether a point of the kind hangs on a mains circuit. What only reads may name a panel of another trade (a fire
// alarm panel), which is no distribution board.
func feeds(k house.Kind) bool { return k.Moved() || k == house.Keypad }

func at(v vec) *house.XYZ { return &house.XYZ{X: grid(v.X), Y: grid(v.Y), Z: grid(v.Z)} }

type circuitKey struct{ panel, number string }

// addCircuits makes one circuit of each pair of board and number that feeds something, in the order of boards and numbers.
func (b *builder) addCircuits(drafts []*draft, boards map[string]house.ID) map[circuitKey]house.ID {
	type circuit struct {
		circuitKey
		board house.ID
		load  unit.Apparent
		poles int
		order int
	}
	var list []*circuit
	found := map[circuitKey]*circuit{}
	for _, d := range drafts {
		for _, v := range d.devices {
			k := circuitKey{v.panel, v.circuit}
			board := b.boardFor(v, boards)
			if v.circuit == "" || board == "" || !feeds(v.role.Kind()) {
				continue
			}
			c := found[k]
			if c == nil {
				c = &circuit{circuitKey: k, board: board, order: b.boardOrder(board)}
				found[k] = c
				list = append(list, c)
			}
			if v.apparent != nil {
				c.load += *v.apparent
			}
			c.poles = max(c.poles, v.poles)
		}
	}
	stableSort(list, func(x, y *circuit) bool {
		if x.order != y.order {
			return x.order < y.order
		}
		return naturalLess(x.number, y.number)
	})
	ids := map[circuitKey]house.ID{}
	for _, c := range list {
		src := "circuit " + c.panel + " " + c.number
		ids[c.circuitKey] = b.names.give("circuit", src, string(c.board)+"."+orElse(circuitSlug(c.number), "c"))
		out := house.Circuit{ID: ids[c.circuitKey], Title: strings.TrimSpace(c.panel + " " + c.number), Board: c.board, Source: src}
		if c.poles >= 3 {
			out.Phase = "all"
		}
		if c.load > 0 {
			out.Note = fmt.Sprintf("the model connects %s to it", c.load)
		}
		b.house.Circuits = append(b.house.Circuits, out)
	}
	return ids
}

// circuitSlug makes the last word of a circuit's identity: c3 of a number, f-3 of a name such as "F 3".
func circuitSlug(number string) string {
	if s := slug(number); s != "" && strings.IndexFunc(number, unicode.IsLetter) == 0 {
		return s
	}
	return slug("c" + number)
}

// boardFor is the board that a device names; where it names none and the house has only one, that one.
func (b *builder) boardFor(v device, boards map[string]house.ID) house.ID {
	if v.panel == "" && len(b.house.Boards) == 1 {
		return b.house.Boards[0].ID
	}
	return boards[v.panel]
}

func (b *builder) boardOrder(id house.ID) int {
	for i, x := range b.house.Boards {
		if x.ID == id {
			return i
		}
	}
	return len(b.house.Boards)
}

// naturalLess orders "2" before "10", and texts by their letters.
func naturalLess(a, b string) bool {
	x, errX := strconv.Atoi(a)
	y, errY := strconv.Atoi(b)
	if errX == nil && errY == nil {
		return x < y
	}
	if (errX == nil) != (errY == nil) {
		return errX == nil
	}
	return a < b
}

// supply takes the voltage that all single-pole devices state, if they agree.
func (b *builder) supply(drafts []*draft) {
	volts := 0.0
	for _, d := range drafts {
		for _, v := range d.devices {
			if v.poles != 1 || v.voltage == 0 {
				continue
			}
			if volts != 0 && volts != v.voltage {
				return
			}
			volts = v.voltage
		}
	}
	if volts > 0 && volts < 1000 {
		b.house.Site.Supply.Voltage = unit.Volts(volts)
	}
}

// stems are the last words of the identities of points, by kind.
var stems = map[house.Kind]string{house.Keypad: "keys"}

// smokeWords are in the names of smoke detectors, which get a stem of their own.
var smokeWords = []string{"smoke", "rauch", "дым", "fumée", "humo", "fumo"}

func stem(v device) string {
	k := v.role.Kind()
	if k == house.Contact {
		name := strings.ToLower(v.name + " " + v.typeName)
		for _, w := range smokeWords {
			if strings.Contains(name, w) {
				return "smoke"
			}
		}
	}
	return orElse(stems[k], string(k))
}

// placeName names the room, or else the storey, of a device: the first part of its identity.
func placeName(room, level house.ID) string {
	return orElse(string(room), orElse(string(level), "house"))
}

// countKinds counts devices by place and stem, so that a single one gets no number.
func (b *builder) countKinds(drafts []*draft) map[string]int {
	n := map[string]int{}
	for i, d := range drafts {
		for _, v := range d.devices {
			if v.role.Kind() != "" {
				n[placeName(b.roomOfDevice(i, v), b.storeys[key{i, v.storey}])+"."+stem(v)]++
			}
		}
	}
	return n
}

func (b *builder) addPoint(level house.ID, v device, m Mapping, numbers map[string]int) house.ID {
	kind := v.role.Kind()
	base := placeName(m.Room, level) + "." + stem(v)
	id := house.ID("")
	if numbers[base] == 1 {
		id = b.names.give("point", v.globalID, base)
	} else {
		id = b.names.numbered("point", v.globalID, base+"-")
	}
	p := house.Point{ID: id, Title: pointTitle(v), Kind: kind, Room: m.Room, At: at(v.at), Circuit: m.Circuit, Source: v.globalID}
	if !feeds(kind) && v.panel != "" && m.Circuit == "" {
		p.Note = strings.TrimSpace("on " + v.panel + " " + v.circuit)
	}
	switch kind {
	case house.Lamp:
		p.Load = lampLoad(v)
	case house.Socket:
		p.Load = loadOf(v, house.Resistive, "category assumed: what is plugged in is not known")
		p.Plain = true // a model does not say that a socket is switched; whoever wants that says so
	case house.Keypad:
		p.Keys, p.Fitted = []string{"Light"}, true
		p.Note = joinNotes(p.Note, "a switch of the model, taken as a single push-button; which lamp it works, the model does not say")
	case house.Contact:
		p.Fitted = true
		p.Note = joinNotes(p.Note, "taken as a contact: its alarm contact is read, the system does not replace its alarm")
	case house.Thermometer:
		p.Note = joinNotes(p.Note, "a thermostat or temperature sensor of the model")
	}
	b.house.Points = append(b.house.Points, p)
	return id
}

func joinNotes(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}

// pointTitle is the name of the element without the numbers of its catalogue: its first part, without an underscore prefix.
func pointTitle(v device) string {
	title, _, _ := strings.Cut(v.name, ":")
	if i := strings.IndexByte(title, '_'); i >= 0 && i <= 2 {
		title = title[i+1:]
	}
	return strings.TrimSpace(title)
}

// lampWords tell the technology of a lamp by its name.
var lampWords = []struct {
	word     string
	category house.Category
}{{"led", house.LED}, {"fluorescent", house.Fluorescent}, {"leuchtstoff", house.Fluorescent}, {"люминесцент", house.Fluorescent},
	{"transformer", house.Transformer}, {"trafo", house.Transformer}, {"incandescent", house.Incandescent},
	{"glühlampe", house.Incandescent}, {"halogen", house.Incandescent}}

// filamentLeast is the load of one luminaire, in VA, from which it is taken for filament lamps where nothing says otherwise:
// one LED luminaire of a dwelling draws less (common practice, no source).
const filamentLeast = 40

func lampLoad(v device) *house.Load {
	text := plainWords(v.name + " " + v.typeName)
	for _, w := range lampWords {
		if at, _ := findWord(text, w.word); at >= 0 {
			return loadOf(v, w.category, "")
		}
	}
	category := house.LED
	if v.apparent != nil && v.apparent.VA() >= filamentLeast {
		category = house.Incandescent
	}
	return loadOf(v, category, "category assumed: the model does not state the kind of lamp")
}

func loadOf(v device, c house.Category, note string) *house.Load {
	l := &house.Load{Category: c, Note: note}
	switch {
	case v.apparent != nil && v.inWatts:
		l.Power = unit.Power(*v.apparent)
	case v.apparent != nil:
		l.Apparent = *v.apparent
	}
	return l
}
