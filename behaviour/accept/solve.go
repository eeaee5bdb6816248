package accept

import (
	"time"

	"wirewright/behaviour"
	"wirewright/behaviour/syntax"
	"wirewright/control"
)

// need is one way in which a condition comes true: values of things, and what the calendar must stand at.
type need struct {
	values  []valueNeed
	windows []windowNeed
	broken  []string // components that must be down
}

type valueNeed struct {
	thing behaviour.Thing
	value int32
}

type windowNeed struct {
	schedule control.Schedule
	inside   bool
}

// mostWays bounds the ways that are looked at.
const mostWays = 32

// needs lists the ways in which the condition of the rule comes true, the simplest first.
func (d *draft) needs() []need {
	r := d.info.Rule
	ways := []need{{}}
	if r.While != nil {
		ways = both(ways, d.ways(r.While, true))
	}
	if r.If != nil {
		ways = both(ways, d.ways(r.If, !r.Unless))
	}
	return ways
}

// both joins two lists of ways: one of the first and one of the second.
func both(a, b []need) []need {
	var list []need
	for _, x := range a {
		for _, y := range b {
			if len(list) == mostWays {
				return list
			}
			list = append(list, need{
				values:  append(append([]valueNeed{}, x.values...), y.values...),
				windows: append(append([]windowNeed{}, x.windows...), y.windows...),
				broken:  append(append([]string{}, x.broken...), y.broken...),
			})
		}
	}
	return list
}

// ways lists the ways in which a condition comes to be wanted.
func (d *draft) ways(c syntax.Condition, want bool) []need {
	switch c := c.(type) {
	case *syntax.Not:
		return d.ways(c.Term, !want)
	case *syntax.All:
		return d.terms(c.Terms, want, want)
	case *syntax.Any:
		return d.terms(c.Terms, want, !want)
	}
	return d.test(c.(*syntax.Test), want)
}

// terms joins the ways of several conditions: all of them must come, or any one will do.
func (d *draft) terms(terms []syntax.Condition, want, all bool) []need {
	var list []need
	if all {
		list = []need{{}}
	}
	for _, t := range terms {
		w := d.ways(t, want)
		if all {
			list = both(list, w)
		} else if list = append(list, w...); len(list) > mostWays {
			list = list[:mostWays]
		}
	}
	return list
}

// test lists the ways of one test.
func (d *draft) test(t *syntax.Test, want bool) []need {
	window := func(s control.Schedule) []need { return []need{{windows: []windowNeed{{s, want}}}} }
	switch t.Kind {
	case syntax.TestDark:
		return window(behaviour.Darkness())
	case syntax.TestWindow:
		return window(behaviour.WindowOf(t.Window))
	case syntax.TestNetwork, syntax.TestModule:
		if (t.Word.Text == "lost") != want {
			return []need{{}}
		}
		name := "router"
		if t.Kind == syntax.TestModule {
			name = "module " + t.Name.Text
		}
		return []need{{broken: []string{name}}}
	case syntax.TestName:
		if w := d.g.c.Hours(t.Name.Text); w != nil {
			return window(behaviour.WindowOf(w))
		}
	}
	th := d.thing(t.Name.Text)
	if t.Not {
		want = !want
	}
	var list []need
	for _, v := range d.values(th, t, want) {
		list = append(list, need{values: []valueNeed{{th, v}}})
	}
	if list == nil && t.Word.Text == "unknown" && !want {
		return []need{{}}
	}
	return list
}

// values lists values of a thing with which a test comes to be wanted.
func (d *draft) values(th behaviour.Thing, t *syntax.Test, want bool) []int32 {
	switch t.Kind {
	case syntax.TestName:
		return []int32{boolInt(want)}
	case syntax.TestAbove, syntax.TestBelow:
		level := t.Level.Steps()
		gap := max(level/5, -level/5, 2)
		if t.Back != nil {
			gap += max(level-t.Back.Steps(), t.Back.Steps()-level)
		}
		if (t.Kind == syntax.TestAbove) == want {
			return []int32{level + gap}
		}
		return []int32{level - gap}
	}
	if t.Word.Text == "unknown" {
		if want && !th.Moved() && th.Values == nil {
			return []int32{control.Unknown}
		}
		return nil
	}
	words := d.g.c.Words(th.Name)
	v, ok := words[t.Word.Text]
	switch {
	case !ok:
		return nil
	case want:
		return []int32{scaled(th, v)}
	case th.SlotKind == control.SlotMotor:
		return []int32{500}
	case th.Values != nil:
		return []int32{(v + 1) % int32(len(th.Values))}
	}
	return []int32{scaled(th, 1-v)}
}

func scaled(t behaviour.Thing, v int32) int32 {
	if t.SlotKind == control.SlotLevel {
		return v * 1000
	}
	return v
}

func boolInt(b bool) int32 {
	if b {
		return 1
	}
	return 0
}

// solve chooses the first way that does not contradict itself and for which a time can be found, and makes its steps.
func (d *draft) solve(ways []need) (env, clock []Step) {
	for _, w := range ways {
		if contradicts(w.values) {
			continue
		}
		at, ok := d.g.hours.find(d.cause, w.windows, d.span)
		if !ok {
			continue
		}
		if at != (time.Time{}) {
			clock = []Step{{Kind: StepAt, Clock: at}}
		}
		return d.environment(w), clock
	}
	d.fail("no state and time of the house were found in which its condition holds")
	return nil, nil
}

// contradicts tells whether one thing would need two values.
func contradicts(values []valueNeed) bool {
	seen := map[string]int32{}
	for _, v := range values {
		if old, ok := seen[v.thing.Name]; ok && old != v.value {
			return true
		}
		seen[v.thing.Name] = v.value
	}
	return false
}

// environment makes the steps that bring about what a way needs.
func (d *draft) environment(w need) []Step {
	var steps []Step
	done := map[string]bool{}
	for _, v := range w.values {
		if done[v.thing.Name] || v.thing.Values != nil && v.value == v.thing.Start {
			continue
		}
		done[v.thing.Name] = true
		if v.value == control.Unknown {
			steps = append(steps, Step{Kind: StepSet, Name: v.thing.Name, State: State{Word: "unknown"}})
			continue
		}
		if v.thing.SlotKind == control.SlotKey {
			kind := StepHold
			if v.value == 0 {
				continue
			}
			steps = append(steps, Step{Kind: kind, Name: string(v.thing.Point), Key: v.thing.Key})
			continue
		}
		steps = append(steps, d.set(v.thing, v.value))
		if v.thing.SlotKind == control.SlotMotor {
			steps = append(steps, Step{Kind: StepWait, Time: d.travelOf(v.thing)})
		}
	}
	for _, name := range w.broken {
		steps = append(steps, Step{Kind: StepBreak, Name: name}, Step{Kind: StepWait, Time: linkTime})
	}
	return steps
}
