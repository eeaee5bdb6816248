package behaviour

import (
	"slices"

	"wirewright/behaviour/syntax"
	"wirewright/control"
	"wirewright/internal/problem"
)

func nearestOf(word string, words []string) string { return problem.DidYouMean(word, words) }

// studyEffect resolves the targets of an effect and checks that they can do what it says.
func (c *compiler) studyEffect(w *ruleWork, e *syntax.Effect) {
	work := effectWork{effect: e}
	switch e.Verb {
	case syntax.Notify:
	case syntax.SetScene:
		work.things = c.studyScene(e)
	default:
		things := c.targets(e.Targets)
		c.effectNeeds(e, things)
		work.things = things
	}
	if w.rule.While != nil && e.Verb != syntax.Hold {
		c.problems.say(e.At, "write when instead of while, or hold", "while goes with hold: what stands only as long as something lasts")
	}
	if e.WhileHeld {
		c.studyWhileHeld(w, e)
	}
	if e.Until != nil {
		c.studyUntil(w, e)
	}
	for _, t := range work.things {
		addThing(&w.targets, t)
	}
	w.effects = append(w.effects, work)
}

func (c *compiler) studyScene(e *syntax.Effect) []*thing {
	s := c.scenes[e.Scene.Text]
	if s == nil {
		var names []string
		for n := range c.scenes {
			names = append(names, n)
		}
		slices.Sort(names)
		c.problems.unknown(e.Scene, "scene", names)
		return nil
	}
	var things []*thing
	for _, set := range s.Settings {
		for _, t := range c.targets(set.Targets) {
			addThing(&things, t)
		}
	}
	return things
}

// effectNeeds checks the targets of an effect against its verb.
func (c *compiler) effectNeeds(e *syntax.Effect, things []*thing) {
	at := e.At
	if len(e.Targets) > 0 {
		at = e.Targets[0].At
	}
	switch e.Verb {
	case syntax.TurnOn, syntax.TurnOff, syntax.Toggle:
		c.suitable(things, at, needOnOff)
	case syntax.SetLevel, syntax.Brighten, syntax.Darken, syntax.Vary:
		c.suitable(things, at, needLevel)
	case syntax.Raise, syntax.Lower, syntax.Reverse, syntax.Stop, syntax.Move:
		c.suitable(things, at, needMotor)
		if e.Slats != nil {
			c.suitable(things, at, needSlats)
		}
	case syntax.Tilt:
		c.suitable(things, at, needSlats)
	case syntax.SetMode:
		c.modeWord(e, things)
	case syntax.Hold:
		c.suitable(things, e.State.At, stateHold(e.State))
	case syntax.Release:
		c.suitable(things, at, needOutput)
	}
	if e.Over != nil && e.Verb != syntax.SetScene {
		c.suitable(things, at, needLevel)
	}
}

// stateHold is what a held state wants.
func stateHold(s syntax.State) need {
	if s.Kind == syntax.StateOn || s.Kind == syntax.StateOff {
		return needOutputs
	}
	if s.Slats != nil {
		return need{func(*thing) bool { return false }, "cannot be held at an angle of its slats"}
	}
	return stateNeed(s)
}

// modeWord checks the word of: set x to word.
func (c *compiler) modeWord(e *syntax.Effect, things []*thing) {
	for _, t := range things {
		onOff := e.Word.Text == "on" || e.Word.Text == "off"
		switch {
		case t.kind == thingMode && slices.Contains(t.values, e.Word.Text):
		case t.kind == thingMode:
			c.problems.say(e.Word.At, hintOf(e.Word.Text, t.values), "mode %s is never %s", t.name, e.Word.Text)
		case onOff && needOnOff.ok(t):
		default:
			c.problems.say(e.Word.At, "", "%s cannot be set to %s: it is a %s", t.name, e.Word.Text, t.what())
		}
	}
}

// studyWhileHeld checks that a key is held, whose letting go will end the effect.
func (c *compiler) studyWhileHeld(w *ruleWork, e *syntax.Effect) {
	for _, cause := range w.rule.Causes {
		if cause.Kind != syntax.CauseHeld {
			c.problems.say(e.At, "write when … is held", "while held needs a key that is held, found the cause %s", cause)
			return
		}
	}
	if w.rule.While != nil {
		c.problems.say(e.At, "write when … is held", "while held needs a key that is held")
	}
}

// studyUntil checks that every cause of the rule has an end.
func (c *compiler) studyUntil(w *ruleWork, e *syntax.Effect) {
	for _, cause := range w.rule.Causes {
		switch cause.Kind {
		case syntax.CausePressed, syntax.CauseTwice, syntax.CauseHeld, syntax.CauseLetGo, syntax.CauseMoment, syntax.CauseEvery,
			syntax.CausePower, syntax.CauseMessage:
			c.problems.say(e.At, "write for instead of until", "until … after it ends needs a cause that lasts, and %s is over at once", cause)
		}
	}
	if w.rule.While != nil {
		c.problems.say(e.At, "", "a hold ends with the condition of its while")
	}
}

// setValue is the value that a word gives to a thing.
func setValue(t *thing, word string) int32 {
	if i := slices.Index(t.values, word); t.kind == thingMode && i >= 0 {
		return int32(i)
	}
	if word == "on" {
		return full(t)
	}
	return 0
}

// full is the value of a thing that is wholly on.
func full(t *thing) int32 {
	if t.slotKind == control.SlotLevel {
		return 1000
	}
	return 1
}
