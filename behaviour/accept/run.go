package accept

import (
	"context"
	"errors"
	"fmt"
	"time"

	"wirewright/control"
	"wirewright/house"
	"wirewright/unit"
)

// The steps in which time passes while an expectation is awaited: fine at first, where a person would notice, coarser
// for what takes long.
const (
	pollFine   = unit.Duration(10)
	pollCoarse = unit.Duration(100)
	fineUntil  = unit.Duration(2000)
)

// How far a value may lie from what is expected, in thousandths: levels are rounded on the way, positions are estimated
// from times.
const (
	levelSlack    = 10
	positionSlack = 20
)

// Run tries the tests one after the other, each from a reset world, and tells progress, which may be nil, after each.
// When the context ends, the tests that are left are reported as not tried.
func Run(ctx context.Context, tests []Test, w World, progress func(done, total int, r Result)) []Result {
	results := make([]Result, 0, len(tests))
	for i := range tests {
		r := runner{ctx: ctx, world: w, test: &tests[i]}
		results = append(results, r.run())
		if progress != nil {
			progress(i+1, len(tests), results[i])
		}
	}
	return results
}

// runner tries one test.
type runner struct {
	ctx   context.Context
	world World
	test  *Test
	took  unit.Duration
	free  unit.Duration // when a key may go down again, so that two presses are two
}

// stop ends a test before its end.
type stop struct {
	outcome Outcome
	text    string
}

func (r *runner) run() Result {
	t := r.test
	result := Result{Test: t.Name, Rule: t.Rule, Wishes: t.Wishes, Outcome: Passed, Step: -1, Line: t.Line}
	end := func(step int, s *stop) Result {
		result.Step, result.Outcome, result.Text, result.Took = step, s.outcome, s.text, r.took
		if step >= 0 && t.Steps[step].Line > 0 {
			result.Line = t.Steps[step].Line
		}
		return result
	}
	if t.Cannot != "" {
		return end(-1, &stop{NotTried, t.Cannot})
	}
	if r.ctx.Err() != nil {
		return end(-1, &stop{NotTried, "the run was stopped before"})
	}
	if err := r.world.Reset(); err != nil {
		return end(-1, &stop{NotTried, "the world could not be brought to its start: " + err.Error()})
	}
	for i := range t.Steps {
		if s := r.step(&t.Steps[i]); s != nil {
			return end(i, s)
		}
	}
	result.Took = r.took
	return result
}

// step does one step; nil means that the test goes on.
func (r *runner) step(s *Step) *stop {
	if r.ctx.Err() != nil {
		return &stop{NotTried, "the run was stopped here"}
	}
	switch s.Kind {
	case StepPress:
		return r.press(s)
	case StepHold:
		return r.all(s, r.rest, r.key(s, true), func() error { return r.pass(holdTime) })
	case StepLetGo:
		return r.all(s, r.key(s, false))
	case StepSet:
		return r.set(s)
	case StepMessage:
		return r.all(s, func() error { return r.world.Message(s.Name) })
	case StepWait:
		return r.all(s, func() error { return r.pass(s.Time) })
	case StepAt:
		return r.all(s, func() error { return r.world.Clock(r.local(s.Clock)) })
	case StepBreak:
		return r.all(s, func() error { return r.world.Break(s.Name) })
	case StepMend:
		return r.all(s, func() error { return r.world.Mend(s.Name) })
	case StepStays:
		return r.stays(s)
	}
	return r.await(s)
}

// all does actions in order; one that fails ends the test.
func (r *runner) all(s *Step, actions ...func() error) *stop {
	for _, do := range actions {
		if err := do(); err != nil {
			return r.cannot(s, err)
		}
	}
	return nil
}

// cannot is the end of a test whose step could not be done.
func (r *runner) cannot(s *Step, err error) *stop {
	if errors.Is(err, ErrCannot) {
		return &stop{NotTried, s.String() + ": this world cannot do that"}
	}
	return &stop{NotTried, s.String() + ": " + err.Error()}
}

// pass lets time pass.
func (r *runner) pass(d unit.Duration) error {
	r.took += d
	return r.world.Advance(d)
}

// local reads a clock time as local time of the house.
func (r *runner) local(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), 0, r.world.Now().Location())
}

// key moves a key.
func (r *runner) key(s *Step, down bool) func() error {
	return func() error {
		r.free = r.took + pressTime
		return r.world.Key(house.ID(s.Name), s.Key, down)
	}
}

// rest lets as much time pass as a person needs between two presses.
func (r *runner) rest() error {
	if r.free > r.took {
		return r.pass(r.free - r.took)
	}
	return nil
}

func (r *runner) press(s *Step) *stop {
	once := []func() error{r.rest, r.key(s, true), func() error { return r.pass(pressTime) }, r.key(s, false)}
	if s.Twice {
		once = append(once, once...)
	}
	return r.all(s, once...)
}

// set gives a sensor a value, or commands a mode or an output.
func (r *runner) set(s *Step) *stop {
	v, ok := s.State.Value()
	if s.State.Word == "unknown" {
		v, ok = control.Unknown, true
	}
	if !ok {
		return &stop{NotTried, fmt.Sprintf("%s: the word %s has no value; check the test against its house first", s, s.State.Word)}
	}
	err := r.world.Input(house.ID(s.Name), v)
	if err == nil {
		return nil
	}
	if c, can := r.world.(Commander); can {
		if e := c.Command(s.Name, v); e == nil {
			return nil
		} else if !errors.Is(e, ErrCannot) {
			err = e
		}
	}
	return r.cannot(s, err)
}

// await waits until an expectation is met.
func (r *runner) await(s *Step) *stop {
	for passed := unit.Duration(0); ; {
		ok, seen := r.look(s)
		if ok {
			return nil
		}
		if seen == cannotSee {
			return &stop{NotTried, s.String() + ": this world cannot see that"}
		}
		if passed >= s.Time {
			return &stop{Failed, fmt.Sprintf("%s: after %s it is %s", s, passed, seen)}
		}
		if r.ctx.Err() != nil {
			return &stop{NotTried, "the run was stopped here"}
		}
		d := min(poll(passed), s.Time-passed)
		if err := r.pass(d); err != nil {
			return r.cannot(s, err)
		}
		passed += d
	}
}

func poll(passed unit.Duration) unit.Duration {
	if passed < fineUntil {
		return pollFine
	}
	return pollCoarse
}

// stays watches that a state lasts.
func (r *runner) stays(s *Step) *stop {
	for passed := unit.Duration(0); ; {
		if ok, seen := r.look(s); !ok {
			return &stop{Failed, fmt.Sprintf("%s: after %s it is %s", s, passed, seen)}
		}
		if passed >= s.Time {
			return nil
		}
		if r.ctx.Err() != nil {
			return &stop{NotTried, "the run was stopped here"}
		}
		d := min(poll(passed), s.Time-passed)
		if err := r.pass(d); err != nil {
			return r.cannot(s, err)
		}
		passed += d
	}
}

// cannotSee is what is seen where the world shows nothing.
const cannotSee = "not to be seen"

// look compares the world with an expectation and says what is seen.
func (r *runner) look(s *Step) (bool, string) {
	switch s.Kind {
	case StepNotice:
		return r.notice(s)
	case StepMoves:
		v, known := r.world.Motion(house.ID(s.Name))
		if !known {
			return false, "unknown"
		}
		for w, d := range directions {
			if d == v {
				return w == s.State.Word, map[string]string{"up": "moving up", "down": "moving down", "still": "still"}[w]
			}
		}
		return false, fmt.Sprint(v)
	}
	v, known := r.world.Value(s.Name)
	if !known || v == control.Unknown {
		return s.State.Word == "unknown", "unknown"
	}
	return matches(s.State, v), seenText(s.State, v)
}

// matches tells whether a value is what is expected. On means anything but off; a level or position may lie a little
// beside.
func matches(s State, v int32) bool {
	want, ok := s.Value()
	switch {
	case !ok:
		return false
	case s.Index != nil:
		return v == want
	case s.Word == "on":
		return v != 0
	case s.Word == "raised" || s.Word == "lowered":
		return near(v, want, positionSlack)
	case s.Quantity != nil:
		return near(v, want, levelSlack)
	}
	return v == want
}

func near(a, b, slack int32) bool { return a-b <= slack && b-a <= slack }

// seenText says a value in the words of the expectation.
func seenText(s State, v int32) string {
	switch {
	case s.Word == "raised" || s.Word == "lowered" || s.Quantity != nil && s.Quantity.Unit() == "%":
		return fmt.Sprintf("%d.%d %%", v/10, max(v%10, -v%10))
	case s.Word == "on" || s.Word == "off":
		if v == 0 {
			return "off"
		}
		return "on"
	}
	for _, pair := range [][2]string{{"closed", "open"}, {"empty", "occupied"}, {"dry", "wet"}} {
		if (s.Word == pair[0] || s.Word == pair[1]) && (v == 0 || v == 1) {
			return pair[v]
		}
	}
	return fmt.Sprint(v)
}

// notice looks for what people were told.
func (r *runner) notice(s *Step) (bool, string) {
	a, can := r.world.(Announcer)
	if !can {
		return false, cannotSee
	}
	told := a.Told()
	for _, text := range told {
		if text == s.Name {
			return true, ""
		}
	}
	return false, fmt.Sprintf("not among %d notices", len(told))
}
