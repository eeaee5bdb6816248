package behaviour

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/behaviour/syntax"
)

// turn is a change of a thing: to on, to off, or to a word.
type turn struct {
	thing *thing
	value string
}

func (t turn) String() string { return t.thing.slotName() + " " + t.value }

// step is a rule that leads from one turn to another.
type step struct {
	to   turn
	rule *ruleWork
	slow bool // it takes time
}

// findCycles looks for rings of rules that set each other off: changes that lead to changes and back. A ring in which no
// thing takes two different values comes to rest by itself, since what is on already does not turn on.
func (c *compiler) findCycles() {
	steps := map[turn][]step{}
	var order []turn
	for i := range c.rules {
		w := &c.rules[i]
		if w.wrong {
			continue
		}
		for _, cause := range w.rule.Causes {
			from, ok := c.turnOf(cause)
			if !ok {
				continue
			}
			if steps[from] == nil {
				order = append(order, from)
			}
			steps[from] = append(steps[from], c.stepsOf(w, cause)...)
		}
	}
	reported := map[string]bool{}
	for _, from := range order {
		ring := restlessRing(steps, from, order)
		key := ringKey(ring)
		if ring == nil || reported[key] {
			continue
		}
		reported[key] = true
		c.reportRing(ring)
	}
}

// restlessRing is a ring through a turn and another turn of the same thing, nil if there is none.
func restlessRing(steps map[turn][]step, from turn, all []turn) []step {
	for _, other := range all {
		if other.thing != from.thing || other == from {
			continue
		}
		there := path(steps, from, other)
		if there == nil {
			continue
		}
		if back := path(steps, other, from); back != nil {
			return append(there, back...)
		}
	}
	return nil
}

// turnOf is the change that a cause waits for, where rules can bring it about.
func (c *compiler) turnOf(cause *syntax.Cause) (turn, bool) {
	t := c.things[cause.Point.Text]
	switch cause.Kind {
	case syntax.CauseTurnsOn:
		return turn{t, "on"}, t != nil
	case syntax.CauseTurnsOff:
		return turn{t, "off"}, t != nil
	case syntax.CauseBecomes:
		return turn{t, cause.Value.Text}, t != nil
	}
	return turn{}, false
}

// stepsOf lists the changes that a rule brings about.
func (c *compiler) stepsOf(w *ruleWork, cause *syntax.Cause) []step {
	var list []step
	for i := range w.effects {
		e := w.effects[i].effect
		slow := e.After != nil || cause.Stays != nil
		for _, d := range c.doings(&w.effects[i]) {
			late := slow || e.For != nil || e.Until != nil
			if d.thing.kind == thingMode && !d.thing.twoState() {
				list = append(list, step{turn{d.thing, e.Word.Text}, w, slow})
				continue
			}
			if d.on {
				list = append(list, step{turn{d.thing, "on"}, w, slow || late && e.Verb == syntax.TurnOff})
			}
			if d.off {
				list = append(list, step{turn{d.thing, "off"}, w, slow || late && e.Verb != syntax.TurnOff})
			}
		}
	}
	return list
}

// path finds the shortest way from one turn to another, breadth first; nil if there is none.
func path(steps map[turn][]step, from, to turn) []step {
	type node struct {
		before int
		step   step
	}
	nodes := []node{{before: -1, step: step{to: from}}}
	seen := map[turn]bool{from: true}
	for i := 0; i < len(nodes); i++ {
		for _, s := range steps[nodes[i].step.to] {
			if s.to == to {
				way := []step{s}
				for n := i; n > 0; n = nodes[n].before {
					way = append(way, nodes[n].step)
				}
				slices.Reverse(way)
				return way
			}
			if !seen[s.to] {
				seen[s.to] = true
				nodes = append(nodes, node{i, s})
			}
		}
	}
	return nil
}

// ringKey is the same for rings of the same things, wherever they are entered.
func ringKey(ring []step) string {
	var parts []string
	for _, s := range ring {
		parts = append(parts, s.to.thing.slotName())
	}
	slices.Sort(parts)
	return strings.Join(slices.Compact(parts), ";")
}

func (c *compiler) reportRing(ring []step) {
	var parts, lines []string
	slow, conditional := false, false
	for _, s := range ring {
		parts = append(parts, s.to.String())
		lines = append(lines, fmt.Sprint(s.rule.info.Line))
		slow = slow || s.slow
		conditional = conditional || s.rule.rule.If != nil
	}
	f := Finding{Slug: "rule/cycle", Severity: Fault, Rule: ring[0].rule.info.Name, Line: ring[0].rule.info.Line,
		Text:   fmt.Sprintf("rules set each other off for ever: %s, and again (lines %s)", strings.Join(parts, ", then "), strings.Join(lines, ", ")),
		Remedy: "break the ring: one of the rules needs a condition that ends it, or another cause"}
	if slow || conditional {
		f.Severity = Caution
	}
	c.finding(f)
}
