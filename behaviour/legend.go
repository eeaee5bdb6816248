package behaviour

import (
	"slices"
	"strings"

	"wirewright/behaviour/syntax"
	"wirewright/house"
)

// KeyLine is what one gesture at one key does, in plain words for the owner.
type KeyLine struct {
	Key     int
	Gesture string // "press", "press twice", "hold", "let go"
	Text    string // "hall ceiling light on/off"
	Rule    string
}

// gestureOrder is the order in which a legend tells the gestures, with their words.
var gestureOrder = []struct {
	kind syntax.CauseKind
	word string
}{{syntax.CausePressed, "press"}, {syntax.CauseTwice, "press twice"}, {syntax.CauseHeld, "hold"}, {syntax.CauseLetGo, "let go"}}

// KeyLegend tells what each key of a keypad does, key by key; nothing for a point that is no keypad.
func (c *Compiled) KeyLegend(point house.ID) []KeyLine {
	var lines []KeyLine
	pt := c.from.index.Point(point)
	if pt == nil || pt.Kind != house.Keypad {
		return nil
	}
	for key := range max(1, len(pt.Keys)) {
		for _, g := range gestureOrder {
			for i := range c.from.rules {
				w := &c.from.rules[i]
				if c.from.causedBy(w, g.kind, point, key+1) && !w.wrong {
					lines = append(lines, KeyLine{key + 1, g.word, c.from.plainWords(w), w.info.Name})
				}
			}
		}
	}
	return lines
}

// causedBy tells whether a gesture at a key is a cause of a rule.
func (c *compiler) causedBy(w *ruleWork, kind syntax.CauseKind, point house.ID, key int) bool {
	return slices.ContainsFunc(w.rule.Causes, func(cause *syntax.Cause) bool {
		if cause.Kind != kind {
			return false
		}
		t := c.causeThing(cause)
		return t != nil && t.kind == thingKey && t.point.ID == point && t.key == key
	})
}

// plainWords says what a rule does, for the owner.
func (c *compiler) plainWords(w *ruleWork) string {
	var parts []string
	for i := range w.effects {
		parts = append(parts, c.plainEffect(&w.effects[i]))
	}
	s := strings.Join(parts, ", ")
	switch {
	case w.rule.If == nil:
	case w.rule.Unless:
		s += " (unless " + syntax.Cond(w.rule.If) + ")"
	default:
		s += " (if " + syntax.Cond(w.rule.If) + ")"
	}
	return s
}

// plainEffect says what one effect does, for the owner.
func (c *compiler) plainEffect(w *effectWork) string {
	e := w.effect
	switch e.Verb {
	case syntax.SetScene:
		return "scene " + e.Scene.Text
	case syntax.Notify:
		return "tells you " + e.Text
	}
	s := c.plainTargets(e.Targets) + " " + effectWord(e)
	switch {
	case e.For != nil:
		s += " for " + e.For.String()
	case e.Until != nil:
		s += " until " + e.Until.String() + " after it ends"
	case e.After != nil:
		s += " after " + e.After.String()
	}
	return s
}

// effectWord is the word for an effect in legends and in the cause-and-effect matrix.
func effectWord(e *syntax.Effect) string {
	switch e.Verb {
	case syntax.TurnOn:
		return "on"
	case syntax.TurnOff:
		return "off"
	case syntax.Toggle:
		return "on/off"
	case syntax.SetLevel:
		return e.Value.String()
	case syntax.SetMode:
		return e.Word.Text
	case syntax.Brighten:
		return "brighter"
	case syntax.Darken:
		return "darker"
	case syntax.Vary:
		return "brighter/darker"
	case syntax.Raise:
		return "up"
	case syntax.Lower:
		return "down"
	case syntax.Reverse:
		return "up/stop/down"
	case syntax.Stop:
		return "stop"
	case syntax.Move:
		return "to " + e.Value.String()
	case syntax.Tilt:
		return "slats " + e.Slats.String()
	case syntax.Hold:
		return "held " + e.State.String()
	case syntax.Release:
		return "released"
	}
	return ""
}

// plainTargets names the targets as the house does: by title where a point has one.
func (c *compiler) plainTargets(list []*syntax.Target) string {
	var names []string
	for _, t := range list {
		names = append(names, c.plainTarget(t))
	}
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

func (c *compiler) plainTarget(t *syntax.Target) string {
	if t.Kind == syntax.TargetAll {
		return t.String()
	}
	th := c.things[t.Name.Text]
	switch {
	case th == nil || th.point == nil:
		return t.Name.Text
	case th.point.Title != "":
		return th.point.Title
	}
	s := strings.NewReplacer(".", " ", "-", " ").Replace(string(th.point.ID))
	if th.point.Kind == house.Lamp && !strings.Contains(s, "lamp") {
		s += " light"
	}
	return s
}
