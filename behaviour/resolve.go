package behaviour

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"wirewright/behaviour/syntax"
	"wirewright/control"
	"wirewright/house"
	"wirewright/unit"
)

// thing returns what a name stands for; nil, with the mistake reported, if there is none.
func (c *compiler) thing(n syntax.Name, what string) *thing {
	if t := c.things[n.Text]; t != nil {
		return t
	}
	if n.Text == "" {
		return nil
	}
	if pt := c.index.Point(house.ID(n.Text)); pt != nil && pt.Kind == house.Keypad {
		if len(pt.Keys) <= 1 {
			return c.things[n.Text+".1"]
		}
		c.problems.say(n.At, fmt.Sprintf("write %s.1 to %s.%d", n.Text, n.Text, len(pt.Keys)), "%s has %d keys; say which", n.Text, len(pt.Keys))
		return nil
	}
	if at := strings.LastIndexByte(n.Text, '.'); at > 0 {
		if pt := c.index.Point(house.ID(n.Text[:at])); pt != nil && pt.Kind == house.Keypad {
			c.problems.say(n.At, "", "%s has %d keys, there is no key %s", pt.ID, max(1, len(pt.Keys)), n.Text[at+1:])
			return nil
		}
	}
	others := c.names
	if len(c.hours) > 0 {
		others = slices.Concat(c.names, slices.Sorted(maps.Keys(c.hours)))
	}
	c.problems.unknown(n, what, others)
	return nil
}

// targets resolves a list of targets to things, each once, in the order of the text and of the house.
func (c *compiler) targets(list []*syntax.Target) []*thing {
	var things []*thing
	seen := map[*thing]bool{}
	for _, t := range list {
		for _, th := range c.target(t, 0) {
			if !seen[th] {
				seen[th] = true
				things = append(things, th)
			}
		}
	}
	return things
}

// groupDepth bounds groups of groups.
const groupDepth = 8

// target resolves one target; depth counts groups within groups.
func (c *compiler) target(t *syntax.Target, depth int) []*thing {
	if t.Kind == syntax.TargetAll {
		return c.all(t, depth)
	}
	if g := c.groups[t.Name.Text]; g != nil {
		if depth >= groupDepth {
			c.problems.say(t.At, "name the points", "groups stand within one another more than %d deep, or in a ring", groupDepth)
			return nil
		}
		var things []*thing
		for _, m := range g.Members {
			things = append(things, c.target(m, depth+1)...)
		}
		return things
	}
	if t.Name.Text == "" {
		return nil
	}
	if c.things[t.Name.Text] == nil && c.index.Point(house.ID(t.Name.Text)) == nil {
		hint := slices.Concat(c.names, slices.Sorted(maps.Keys(c.groups)))
		if c.index.Room(house.ID(t.Name.Text)) != nil {
			c.problems.say(t.At, "write for example all lamps of "+t.Name.Text, "%s is a room; say what of it is meant", t.Name.Text)
			return nil
		}
		c.problems.unknown(t.Name, "point or group", hint)
		return nil
	}
	if th := c.thing(t.Name, "point or group"); th != nil {
		return []*thing{th}
	}
	return nil
}

// kindOf are the points that each plural means.
var kindOf = map[string]house.Kind{
	"lamps": house.Lamp, "shutters": house.Shutter, "awnings": house.Awning, "valves": house.Valve, "sockets": house.Socket,
	"fans": house.Fan, "gates": house.Gate, "contactors": house.Contactor,
}

// sectors are the directions in which a facade may face, clockwise from north, each an eighth of the circle.
var sectors = []string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}

// all resolves: all lamps of a place, facing somewhere, except some.
func (c *compiler) all(t *syntax.Target, depth int) []*thing {
	key := t.String()
	if things, ok := c.cache[key]; ok {
		return things
	}
	inPlace, ok := c.inPlace(t)
	if !ok {
		return nil
	}
	out := map[*thing]bool{}
	for i := range t.Except {
		for _, th := range c.target(&t.Except[i], depth) {
			out[th] = true
		}
	}
	var things []*thing
	for i := range c.house.Points {
		pt := &c.house.Points[i]
		if pt.Kind != kindOf[t.Plural] || !inPlace(pt) || t.Facing != "" && facing(pt.Facing) != t.Facing {
			continue
		}
		if th := c.things[string(pt.ID)]; th != nil && !out[th] {
			things = append(things, th)
		}
	}
	if len(things) == 0 {
		c.problems.say(t.At, "", "the house has no point that is meant by %s", key)
	}
	c.cache[key] = things
	return things
}

// inPlace makes the test of a target's place: a room, or a storey.
func (c *compiler) inPlace(t *syntax.Target) (func(*house.Point) bool, bool) {
	id := house.ID(t.Place.Text)
	switch {
	case id == "":
		return func(*house.Point) bool { return true }, true
	case !t.Storey && c.index.Room(id) != nil:
		return func(p *house.Point) bool { return p.Room == id }, true
	case c.index.Storey(id) != nil:
		return func(p *house.Point) bool {
			r := c.index.Room(p.Room)
			return r != nil && r.Storey == id
		}, true
	}
	var names []string
	for i := range c.house.Storeys {
		names = append(names, string(c.house.Storeys[i].ID))
	}
	what := "storey"
	if !t.Storey {
		what = "room or storey"
		for i := range c.house.Rooms {
			names = append(names, string(c.house.Rooms[i].ID))
		}
	}
	c.problems.unknown(t.Place, what, names)
	return nil, false
}

// facing is the direction of a facade as an eighth of the circle, "" where it is not known.
func facing(a *unit.Angle) string {
	if a == nil {
		return ""
	}
	const turn, eighth = 360_000_000, 45_000_000
	deg := (int64(*a)%turn + turn + eighth/2) % turn
	return sectors[deg/eighth]
}

// need is what an effect or a state wants of its targets.
type need struct {
	ok  func(*thing) bool
	say string // "cannot be dimmed"
}

var (
	needOnOff   = need{func(t *thing) bool { return t.kind == thingOutput && !t.motor() || t.twoState() }, "cannot be turned on or off"}
	needLevel   = need{func(t *thing) bool { return t.slotKind == control.SlotLevel }, "cannot be dimmed"}
	needMotor   = need{func(t *thing) bool { return t.motor() }, "cannot be raised or lowered"}
	needSlats   = need{func(t *thing) bool { return t.motor() && t.point.Travel != nil && t.point.Travel.Slats > 0 }, "has no slats that are known"}
	needOutput  = need{func(t *thing) bool { return t.kind == thingOutput }, "cannot be held"}
	needScalar  = need{func(t *thing) bool { return t.slotKind == control.SlotLevel || t.motor() }, "has no level or position"}
	needOutputs = need{func(t *thing) bool { return t.kind == thingOutput && !t.motor() }, "cannot be held on or off"}
)

// twoState tells whether the thing is a mode that is off or on.
func (t *thing) twoState() bool {
	return t.kind == thingMode && len(t.values) == 2 && t.values[0] == "off"
}

// stateNeed is what a state wants of its targets.
func stateNeed(s syntax.State) need {
	switch s.Kind {
	case syntax.StateRaised, syntax.StateLowered:
		return needMotor
	case syntax.StateAt:
		if s.Slats != nil {
			return needSlats
		}
		return needScalar
	}
	return needOnOff
}

// suitable returns the things that meet a need and reports those that do not.
func (c *compiler) suitable(things []*thing, at syntax.Pos, n need) []*thing {
	var good []*thing
	for _, t := range things {
		if n.ok(t) {
			good = append(good, t)
		} else {
			c.problems.say(at, "", "%s %s: it is a %s", t.name, n.say, t.what())
		}
	}
	return good
}

// what says in words what a thing is.
func (t *thing) what() string {
	switch {
	case t.kind == thingMode && !t.twoState():
		return "mode, one of " + strings.Join(t.values, ", ")
	case t.kind == thingMode:
		return "mode that is off or on"
	case t.kind == thingKey:
		return "key"
	case t.kind == thingOutput && t.slotKind == control.SlotSwitch && t.point.Kind == house.Lamp:
		return "switched lamp"
	case t.slotKind == control.SlotLevel:
		return "dimmed " + string(t.point.Kind)
	case t.kind == thingSensor:
		return map[house.Kind]string{house.Presence: "presence sensor", house.Thermometer: "thermometer", house.Light: "light sensor",
			house.Wind: "wind sensor", house.Rain: "rain sensor", house.Meter: "meter", house.Contact: "contact"}[t.point.Kind]
	}
	return string(t.point.Kind)
}
