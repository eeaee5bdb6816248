package accept

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"wirewright/behaviour"
	"wirewright/behaviour/syntax"
	"wirewright/control"
	"wirewright/unit"
)

// The times that made tests allow.
const (
	promptly  = unit.Duration(1000)   // from a cause to its effect, over the network or not
	linkTime  = unit.Duration(90_000) // until the loss or return of a component is noticed
	startTime = unit.Duration(30_000) // until a controller that was without power works again
	marginMS  = unit.Duration(1000)   // before and after the end of a time
)

// Generate makes at least one test for every rule: one for each of its causes. A test brings about what the rule takes
// for granted (modes, sensors, the time of day), sets the cause off, and expects the effects at their time, the end of
// what lasts for a time included. A rule of which no test can be made gets one that says why.
func Generate(c *behaviour.Compiled) []Test {
	g := &generator{c: c, hours: newCalendar(c)}
	var tests []Test
	for i := range c.Rules {
		tests = append(tests, g.rule(&c.Rules[i])...)
	}
	for i := range tests {
		if i > 0 {
			tests[i].Lead = []string{""}
		}
	}
	return tests
}

// generator makes tests from compiled rules.
type generator struct {
	c     *behaviour.Compiled
	hours *calendar
}

// rule makes the tests of one rule.
func (g *generator) rule(info *behaviour.RuleInfo) []Test {
	r := info.Rule
	base := Test{Rule: info.Name, Wishes: info.Wishes}
	if len(info.Controllers) == 0 {
		base.Name = info.Text
		base.Cannot = "the rule is in no program, since what it reads or moves has not landed"
		return []Test{base}
	}
	if r.While != nil {
		return []Test{g.one(info, base, nil)}
	}
	var tests []Test
	for _, cause := range r.Causes {
		tests = append(tests, g.one(info, base, cause))
	}
	return tests
}

// one makes the test of one cause; nil stands for the condition of a while.
func (g *generator) one(info *behaviour.RuleInfo, t Test, cause *syntax.Cause) Test {
	t.Name = title(info, cause)
	d := &draft{g: g, info: info, cause: cause}
	d.make()
	if d.cannot != "" {
		t.Cannot = d.cannot
		return t
	}
	t.Steps = d.steps
	return t
}

// title says what a test shows.
func title(info *behaviour.RuleInfo, cause *syntax.Cause) string {
	text := info.Text
	if len(info.Rule.Causes) > 1 {
		var effects []string
		for _, e := range info.Rule.Effects {
			effects = append(effects, e.String())
		}
		text = cause.String() + ": " + strings.Join(effects, "; ")
	}
	const most = 120
	if r := []rune(text); len(r) > most {
		text = string(r[:most]) + "…"
	}
	return text
}

// draft is a test on its way.
type draft struct {
	g      *generator
	info   *behaviour.RuleInfo
	cause  *syntax.Cause
	steps  []Step
	cannot string
	before []Step     // what brings about the state in which the effect shows
	now    []Step     // what is expected at once
	later  []deferred // what is expected later
	span   unit.Duration
}

// deferred are expectations a time after the cause, or after its end.
type deferred struct {
	after    unit.Duration
	afterEnd bool
	steps    []Step
}

func (d *draft) fail(format string, args ...any) {
	if d.cannot == "" {
		d.cannot = fmt.Sprintf(format, args...)
	}
}

// make puts the test together: the clock, the state before, what the rule takes for granted, the cause, the effects.
func (d *draft) make() {
	for _, e := range d.info.Rule.Effects {
		d.effect(e)
	}
	if len(d.now) == 0 && len(d.later) == 0 && !d.whileHeld() {
		d.fail("none of its effects can be seen from outside")
	}
	needs := d.needs()
	if d.cannot != "" {
		return
	}
	cause := d.trigger()
	env, clock := d.solve(needs)
	env = slices.DeleteFunc(env, func(s Step) bool {
		return slices.ContainsFunc(d.before, func(b Step) bool { return b.String() == s.String() })
	})
	if d.cannot != "" {
		return
	}
	calendar := d.cause != nil && (d.cause.Kind == syntax.CauseMoment || d.cause.Kind == syntax.CauseEvery)
	if !calendar {
		d.steps = append(d.steps, clock...)
	}
	d.steps = append(d.steps, d.before...)
	if len(d.before) > 0 {
		d.steps = append(d.steps, Step{Kind: StepWait, Time: 2 * promptly})
	}
	if d.info.Rule.While == nil {
		d.steps = append(d.steps, env...)
		if len(env) > 0 {
			d.steps = append(d.steps, Step{Kind: StepWait, Time: promptly})
		}
	} else {
		cause = append(cause, env...)
		if l := d.info.Rule.Lasting; l != nil {
			cause = append(cause, Step{Kind: StepWait, Time: *l})
		}
	}
	if calendar {
		d.steps = append(d.steps, clock...)
	}
	d.steps = append(d.steps, cause...)
	d.steps = append(d.steps, d.now...)
	d.lateSteps()
	d.letGo()
}

// lateSteps adds what is expected later, in the order of its time. What lasts until after the end of the cause comes
// last, behind that end.
func (d *draft) lateSteps() {
	sort.SliceStable(d.later, func(i, j int) bool {
		a, b := d.later[i], d.later[j]
		if a.afterEnd != b.afterEnd {
			return b.afterEnd
		}
		return a.after < b.after
	})
	ended := false
	passed := unit.Duration(0)
	for _, l := range d.later {
		if l.afterEnd && !ended {
			d.steps = append(d.steps, d.end()...)
			ended, passed = true, 0
		}
		if wait := l.after - marginMS - passed; wait > 0 {
			d.steps = append(d.steps, Step{Kind: StepWait, Time: wait})
			passed += wait
		}
		d.steps = append(d.steps, l.steps...)
		passed = max(passed, l.after) // what is expected comes at its time, not when the wait ends
	}
}

// letGo lets go the key that was held.
func (d *draft) letGo() {
	if d.cause != nil && d.cause.Kind == syntax.CauseHeld {
		key := d.key()
		d.steps = append(d.steps, Step{Kind: StepLetGo, Name: key.Name, Key: key.Key})
		for _, e := range d.info.Rule.Effects {
			if !e.WhileHeld {
				continue
			}
			for _, t := range d.g.c.Targets(e) {
				if t.SlotKind == control.SlotMotor {
					d.steps = append(d.steps, Step{Kind: StepMoves, Name: t.Name, State: State{Word: "still"}, Time: promptly})
				} else {
					d.steps = append(d.steps, Step{Kind: StepExpect, Name: t.Name, State: State{Word: "on"}, Time: promptly})
				}
			}
		}
	}
}

// whileHeld tells whether an effect shows when the key is let go.
func (d *draft) whileHeld() bool {
	return slices.ContainsFunc(d.info.Rule.Effects, func(e *syntax.Effect) bool { return e.WhileHeld })
}

// key is the key of the cause.
func (d *draft) key() Step {
	t, _ := d.g.c.Thing(d.cause.Point.Text)
	return Step{Name: string(t.Point), Key: t.Key}
}

// set is a step that brings a point or a mode to a value.
func (d *draft) set(t behaviour.Thing, v int32) Step {
	return Step{Kind: StepSet, Name: t.Name, State: stateOf(t, v)}
}

// stateOf says a value of a thing in words.
func stateOf(t behaviour.Thing, v int32) State {
	if t.Values != nil {
		if int(v) < len(t.Values) && v >= 0 {
			return State{Word: t.Values[v], Index: &v}
		}
	}
	q := func(kind syntax.QuantityKind, step int64) State {
		return State{Quantity: &syntax.Quantity{Kind: kind, Value: int64(v) * step}}
	}
	switch t.Quantity {
	case control.QuantityLevel:
		return q(syntax.Percent, 100_000)
	case control.QuantityPosition:
		if v == 0 || v == 1000 {
			return State{Word: map[int32]string{0: "raised", 1000: "lowered"}[v]}
		}
		return q(syntax.Percent, 100_000)
	case control.QuantityTemperature:
		return q(syntax.Temperature, 10_000)
	case control.QuantityLight:
		return q(syntax.Illuminance, 1_000_000)
	case control.QuantityWind:
		return q(syntax.Speed, 100_000)
	case control.QuantityCount:
		return q(syntax.Number, 1_000_000)
	}
	return State{Word: boolWord(t, v)}
}

// boolWord is the word of a thing of two states.
func boolWord(t behaviour.Thing, v int32) string {
	pair := [2]string{"off", "on"}
	switch t.Kind {
	case "contact":
		pair = [2]string{"closed", "open"}
	case "presence":
		pair = [2]string{"empty", "occupied"}
	case "rain":
		pair = [2]string{"dry", "wet"}
	}
	if v != 0 {
		return pair[1]
	}
	return pair[0]
}

// expect is a step that expects a value.
func (d *draft) expect(t behaviour.Thing, v int32, within unit.Duration) Step {
	return Step{Kind: StepExpect, Name: t.Name, State: stateOf(t, v), Time: within}
}

// mode finds the thing of a mode or point by the name in the text.
func (d *draft) thing(name string) behaviour.Thing {
	t, ok := d.g.c.Thing(name)
	if !ok {
		d.fail("%s is not known", name)
	}
	return t
}

// controllerOf is the module that must fail for the power of a rule to return: where the rule lives.
func (d *draft) controllerOf() string { return "module " + d.info.Controllers[0] }

// own tells whether a thing is moved by the first controller of the rule.
func (d *draft) own(t behaviour.Thing) bool {
	return slices.Contains(d.info.Controllers[:1], t.Controller)
}
