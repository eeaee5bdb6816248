package behaviour

import (
	"fmt"

	"wirewright/behaviour/syntax"
	"wirewright/house"
)

// SlugInfo explains one sort of finding.
type SlugInfo struct {
	Slug   string
	Title  string
	Why    string
	Source string
}

// Slugs lists every sort of finding that the compiler makes, sorted.
func Slugs() []SlugInfo {
	const custom = "common practice, no source"
	const fights = "classes of interference between rules: Chi et al., arXiv 1808.02125; Wang et al., CCS 2019, doi 10.1145/3319535.3345662"
	return []SlugInfo{
		{"key/no-rule", "a key does nothing", "a key that is landed and that no rule names puzzles whoever presses it", custom},
		{"landing/twice", "a point lands twice", "a rule moves one channel for one point; a second landing would be left out without a word", custom},
		{"mode/never-read", "a mode that no rule reads", "what is set and never looked at is a rule forgotten or a mode too many", custom},
		{"mode/never-set", "a mode that no rule sets", "it stays as it starts unless somebody sets it at the workbench", custom},
		{"motor/no-travel", "a motor without travel times", "positions are computed from travel times; without them they are guesses", custom},
		{"rule/conflict", "two rules fight", "two effects that differ on one output in one instant are a fault at run time, and none of them is done", fights},
		{"rule/cycle", "rules that set each other off for ever", "an effect that is itself a cause takes a later instant; a ring of them is cut only at the bound of the chain", fights},
		{"rule/double", "the same rule twice", "one of two equal rules is forgotten when the other is changed; a toggle done twice does nothing", fights},
		{"rule/missing-cause", "a condition that is looked at only at the cause",
			"what a condition says may come true while the cause lasts, and the rule does not look again",
			"Nandi and Ernst, PLAS 2016, doi 10.1145/2993600.2993601: 80 % of 96 rules written by residents had too few causes"},
		{"rule/no-sunset", "a day without sunrise or sunset", "beyond 65.7° of latitude there are days on which the sun does not rise or set, and the rule does nothing on them",
			"90° - 23.44° - 0.83°, obliquity of the ecliptic and refraction at the horizon"},
		{"rule/no-way-off", "what is turned on and never off", "a lamp that rules can turn on must have a rule that turns it off", custom},
		{"rule/unplaced", "a rule or an effect without a controller", "what has not landed can neither be read nor moved", custom},
		{"wish/no-rule", "a wish that no rule names", "what the client asked for is traced to the rules that fulfil it", custom},
	}
}

// find says what can be said without a proof.
func (c *compiler) find() {
	c.findNoWayOff()
	c.findDoubles()
	c.findConflicts()
	c.findMissingCauses()
	c.findCycles()
	c.findSun()
	c.findIdleKeys()
	c.findWishes()
	c.findIdleModes()
}

func (c *compiler) finding(f Finding) { c.out.Findings = append(c.out.Findings, f) }

// does is what an effect does to one thing: turn it on, turn it off, or to a value of its own.
type does struct {
	thing *thing
	on    bool // it can come on
	off   bool // it can go off
	value string
}

// doings lists what an effect does to each of its things.
func (c *compiler) doings(w *effectWork) []does {
	e := w.effect
	var list []does
	if e.Verb == syntax.SetScene {
		if s := c.scenes[e.Scene.Text]; s != nil {
			for _, v := range c.sceneValues(s) {
				list = append(list, does{v.thing, v.value > 0, v.value == 0, fmt.Sprint(v.value)})
			}
		}
		return list
	}
	for _, t := range w.things {
		d := does{thing: t, value: doing(e, t)}
		switch e.Verb {
		case syntax.TurnOn, syntax.Brighten, syntax.Vary:
			d.on = true
		case syntax.TurnOff:
			d.off = true
		case syntax.Toggle:
			d.on, d.off = true, true
		case syntax.SetLevel:
			d.on, d.off = e.Value.Value > 0, e.Value.Value == 0
		case syntax.SetMode:
			d.on, d.off = e.Word.Text != "off", e.Word.Text == "off"
		}
		if e.For != nil || e.Until != nil {
			d.on, d.off = d.on || d.off, d.on || d.off
		}
		list = append(list, d)
	}
	return list
}

// doing is what an effect does to a thing, as a text that is equal for what comes to the same.
func doing(e *syntax.Effect, t *thing) string {
	switch e.Verb {
	case syntax.TurnOn:
		return "on"
	case syntax.TurnOff:
		return "0"
	case syntax.SetLevel:
		return fmt.Sprint(share(e.Value))
	case syntax.Raise:
		return "0"
	case syntax.Lower:
		return "1000"
	case syntax.Move:
		return fmt.Sprint(share(e.Value))
	case syntax.SetMode:
		if t.kind == thingMode {
			return fmt.Sprint(setValue(t, e.Word.Text))
		}
		return map[bool]string{true: "on", false: "0"}[e.Word.Text == "on"]
	}
	s := *e
	s.Targets = nil
	return s.String()
}

// findNoWayOff looks for outputs that some rule turns on and none turns off.
func (c *compiler) findNoWayOff() {
	on, off := map[*thing]*ruleWork{}, map[*thing]bool{}
	for i := range c.rules {
		w := &c.rules[i]
		if w.wrong {
			continue
		}
		for j := range w.effects {
			for _, d := range c.doings(&w.effects[j]) {
				if d.on && on[d.thing] == nil {
					on[d.thing] = w
				}
				off[d.thing] = off[d.thing] || d.off
			}
		}
	}
	for _, name := range c.names {
		t := c.things[name]
		if t.kind != thingOutput || t.motor() || on[t] == nil || off[t] {
			continue
		}
		severity := Caution
		if t.point.Kind == house.Lamp {
			severity = Fault
		}
		c.finding(Finding{Slug: "rule/no-way-off", Severity: severity, Rule: on[t].info.Name, Point: t.point.ID, Line: on[t].info.Line,
			Text: fmt.Sprintf("%s is turned on here, and no rule turns it off", t.name), Remedy: "write a rule that turns it off, or let it be on for a time"})
	}
}
