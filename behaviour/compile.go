package behaviour

import (
	"slices"
	"strings"

	"wirewright/behaviour/syntax"
	"wirewright/catalogue"
	"wirewright/control"
	"wirewright/house"
	"wirewright/internal/problem"
)

// TextName is the name that messages give to the behaviour text of a house.
const TextName = "behaviour"

// Compiled is the behaviour of one house, divided over its controllers.
type Compiled struct {
	House    *house.House
	File     *syntax.File       // the text as it was read
	Programs []*control.Program // one a controller, in the order of the modules of the house
	Rules    []RuleInfo         // one a rule of the text, in its order
	Modes    []ModeInfo         // in the order of the text
	Unplaced []Unplaced         // points that no program knows, with the reason
	Findings []Finding          // what can be said without a proof

	places  map[string]place
	origins map[string][]int // controller → for each rule of its program the index into Rules, -1 for none
	from    *compiler
}

// place is where a name lives.
type place struct {
	controller string
	slot       int16
}

// RuleInfo is what people want to know of one rule of the text.
type RuleInfo struct {
	Name        string       // its own, or one made of its cause
	Line        int          // of the behaviour text
	Text        string       // in canonical form, on one line
	Controller  string       // where it lives; of several, the first
	Controllers []string     // all of them: causes on several controllers, or holds at their outputs
	Causes      []string     // each in words
	Reads       []string     // points and modes that decide, causes included
	Writes      []string     // points and modes that it moves or sets
	Crosses     []string     // what needs the network, one sentence each; empty where it needs none
	Wishes      []string     // the wishes that it fulfils
	Commands    int          // most commands that one cause sends over the network
	Rule        *syntax.Rule // the tree

	crossings []crossing
}

// crossing is one sort of thing for which a rule needs the network, at one of its controllers.
type crossing struct {
	here, verb, joint, there string // "commands", "on", "porch.box"
	names                    []string
}

// String says it in words.
func (x crossing) String() string {
	return x.verb + " " + strings.Join(x.names, ", ") + x.joint + x.there
}

// ModeInfo is one mode of the house.
type ModeInfo struct {
	Name       string
	Values     []string // "off", "on", or its words; the value in the slot counts from 0
	Start      int      // index into Values
	Controller string   // empty where there is no controller
}

// Unplaced is a point that no program knows.
type Unplaced struct {
	Point  house.ID
	Reason string
}

// Severity is how much a finding matters, in the words of package check.
type Severity string

// The severities.
const (
	Fault   Severity = "fault"
	Caution Severity = "caution"
	Remark  Severity = "remark"
)

// Finding is one thing that the compiler says about a rule, or about a point that rules move.
type Finding struct {
	Slug     string
	Severity Severity
	Rule     string   // name of the rule; empty where it is about a point
	Point    house.ID // empty where it is about a rule
	Line     int      // of the behaviour text, 0 where no line is to blame
	Text     string
	Remedy   string
}

// Compile compiles the behaviour of a house. Rules with mistakes are left out of the programs and told in the list; a
// caller must load nothing while the list has any. Points that land nowhere are no mistake: they are listed in
// Compiled.Unplaced, and rules do without them. A house without behaviour gives programs of slots alone, which obey
// plain commands.
func Compile(h *house.House, cat *catalogue.Catalogue) (*Compiled, problem.List) {
	file, problems := syntax.Parse(TextName, h.Behaviour)
	c := newCompiler(h, cat, file)
	c.problems.list = problems
	c.declare()
	c.study()
	c.placeModes()
	for i := range c.rules {
		c.lower(&c.rules[i])
	}
	return c.finish()
}

// compiler is one compilation under way.
type compiler struct {
	*plan
	file     *syntax.File
	problems *problems
	builders []*builder // one a controller, as in plan.controllers
	rules    []ruleWork
	modes    []*thing
	out      *Compiled
	declared
}

// ruleWork is one rule on its way.
type ruleWork struct {
	rule    *syntax.Rule
	info    *RuleInfo
	targets []*thing // all that its effects move or set
	reads   []*thing // all that its causes and conditions look at
	effects []effectWork
	wrong   bool // it has a mistake and is left out
}

func newCompiler(h *house.House, cat *catalogue.Catalogue, file *syntax.File) *compiler {
	p := newPlan(h, cat)
	c := &compiler{
		plan: p, file: file, problems: &problems{},
		out: &Compiled{House: h, File: file, Unplaced: p.unplaced, Findings: p.findings,
			places: map[string]place{}, origins: map[string][]int{}},
	}
	c.out.from = c
	for i := range p.controllers {
		c.builders = append(c.builders, newBuilder(c, i))
	}
	return c
}

// finish checks every program against its bounds and hands out what was made.
func (c *compiler) finish() (*Compiled, problem.List) {
	out := c.out
	for _, b := range c.builders {
		b.finish()
		out.Programs = append(out.Programs, &b.p)
		out.origins[b.p.Controller] = b.origin
		c.checkProgram(b)
	}
	for _, name := range c.names {
		if t := c.things[name]; t.home >= 0 {
			out.places[t.slotName()] = place{c.builders[t.home].p.Controller, t.slot}
		}
	}
	c.countCommands()
	for i := range c.rules {
		for _, x := range c.rules[i].info.crossings {
			addName(&c.rules[i].info.Crosses, x.String())
		}
		out.Rules = append(out.Rules, *c.rules[i].info)
	}
	c.find()
	c.problems.list.Sort()
	slices.SortStableFunc(out.Findings, func(a, b Finding) int { return a.Line - b.Line })
	list := c.problems.list
	c.problems = &problems{} // what is asked of the result later finds nothing new
	return out, list
}

// checkProgram holds a program against the control core's rules and against the capacity of its module.
func (c *compiler) checkProgram(b *builder) {
	if err := b.p.Check(); err != nil {
		c.problems.say(syntax.Pos{}, "", "the program of controller %s cannot be stepped: %s", b.p.Controller, err)
		return
	}
	room := c.controllers[b.at].room
	if room == nil {
		return
	}
	over := func(found, limit int, what string) {
		if limit > 0 && found > limit {
			c.problems.say(syntax.Pos{}, "move rules or landings to another controller, or choose a larger type",
				"the program of controller %s has %d %s, a %s has room for %d", b.p.Controller, found, what, c.controllers[b.at].typeID, limit)
		}
	}
	over(len(b.p.Rules), room.Rules, "rules")
	over(len(b.p.Slots), room.Slots, "slots")
	over(len(b.p.Encode()), room.Bytes, "bytes")
}

// Program returns the program of a controller, nil if it has none.
func (c *Compiled) Program(controller string) *control.Program {
	for _, p := range c.Programs {
		if p.Controller == controller {
			return p
		}
	}
	return nil
}

// Place tells where a point ("hall.lamp"), a key ("hall.keys.2") or a mode ("mode away") lives: the controller, and
// the slot of its program.
func (c *Compiled) Place(name string) (controller string, slot int16, ok bool) {
	p, ok := c.places[name]
	return p.controller, p.slot, ok
}

// Origin tells which rule of the text a rule of a program comes from; nil where there is none.
func (c *Compiled) Origin(controller string, rule int) *RuleInfo {
	o := c.origins[controller]
	if rule < 0 || rule >= len(o) || o[rule] < 0 {
		return nil
	}
	return &c.Rules[o[rule]]
}

// Rule finds a rule by its name, nil if there is none.
func (c *Compiled) Rule(name string) *RuleInfo {
	for i := range c.Rules {
		if c.Rules[i].Name == name {
			return &c.Rules[i]
		}
	}
	return nil
}
