package accept

import (
	"context"
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"wirewright/house"
	"wirewright/unit"
)

func TestOutcomesSayWhatWasSeen(t *testing.T) {
	c := sample(t, readFile(t, "testdata/language.behaviour"))
	tests := parsed(t, "", `test "wrong state"
  press hall.keys.1
  expect hall.ceiling off within 200 ms
test "wrong for a while"
  press hall.keys.2
  expect stairs.lamp stays on for 15 s
test "wrong level"
  press living.keys.1
  expect living.ceiling 40 %
test "wrong motion"
  expect living.shutter moves up within 100 ms
test "unknown position"
  expect living.shutter lowered within 100 ms
test "no such point"
  set hall.sofa to on
test "a component that this world cannot break"
  break broker
test "nobody is told"
  expect notice "fire"
test "unknown is what is expected"
  expect living.shutter unknown
`)
	want := []struct {
		outcome Outcome
		line    int
		text    string
	}{
		{Failed, 3, "expect hall.ceiling off within 200 ms: after 200 ms it is on"},
		{Failed, 6, "expect stairs.lamp stays on for 15 s: after 10 s it is off"},
		{Failed, 9, "expect living.ceiling 40 %: after 1 s it is 100.0 %"},
		{Failed, 11, "expect living.shutter moves up within 100 ms: after 100 ms it is still"},
		{Failed, 13, "expect living.shutter lowered within 100 ms: after 100 ms it is unknown"},
		{NotTried, 15, "set hall.sofa to on: there is no hall.sofa"},
		{NotTried, 17, "break broker: this world cannot do that"},
		{Failed, 19, `expect notice "fire": after 1 s it is not among 0 notices`},
		{Passed, 20, ""},
	}
	count := 0
	results := Run(context.Background(), tests, newTiny(t, c), func(done, total int, _ Result) {
		if count++; done != count || total != len(tests) {
			t.Errorf("progress %d of %d, want %d of %d", done, total, count, len(tests))
		}
	})
	for i, r := range results {
		if r.Outcome != want[i].outcome || r.Line != want[i].line || r.Text != want[i].text {
			t.Errorf("%s: got %s line %d %q, want %v", r.Test, r.Outcome, r.Line, r.Text, want[i])
		}
	}
	if again := Run(context.Background(), tests, newTiny(t, c), nil); !reflect.DeepEqual(again, results) {
		t.Error("the same tests on the same world come out differently")
	}
}

func TestRunStopsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	c := sample(t, "")
	tests := Generate(c)
	results := Run(ctx, tests, newTiny(t, c), func(done, _ int, _ Result) {
		if done == 2 {
			cancel()
		}
	})
	for i, r := range results {
		if (i < 2) != (r.Outcome == Passed) {
			t.Errorf("test %d: %s", i, r.Outcome)
		}
	}
}

// mute is a world that can do the least that a world must.
type mute struct{ World }

func (mute) Reset() error { return nil }
func (mute) Input(house.ID, int32) error {
	return ErrCannot
}
func (mute) Advance(unit.Duration) error { return nil }
func (mute) Clock(time.Time) error       { return errors.New("the clock is broken") }
func (mute) Now() time.Time              { return time.Unix(0, 0).UTC() }

func TestWhatAWorldCannotDoIsNotTried(t *testing.T) {
	tests := parsed(t, "", `test "command"
  set mode away to on
test "hear"
  expect notice "hello"
test "clock"
  at 2025-01-15 06:30
`)
	tests = append(tests, Test{Name: "made of nothing", Cannot: "nothing can be seen"})
	for i, want := range []string{"this world cannot do that", "this world cannot see that", "the clock is broken", "nothing can be seen"} {
		if r := Run(context.Background(), tests[i:i+1], mute{}, nil)[0]; r.Outcome != NotTried || !strings.Contains(r.Text, want) {
			t.Errorf("%s: got %s %q, want not tried, %q", r.Test, r.Outcome, r.Text, want)
		}
	}
}

func TestRulesWithoutATestSayWhy(t *testing.T) {
	c := sample(t, `when hall.keys.1 is pressed: tilt living.shutter to 40 %
when hall.keys.2 is pressed, if hall.light is above 3 lx and hall.light is below 2 lx: toggle hall.ceiling
when hall.keys.3 is pressed: toggle attic.lamp
`)
	tests := Generate(c)
	want := []string{"none of its effects can be seen", "no state and time of the house were found", "the rule is in no program"}
	if len(tests) != len(want) {
		t.Fatalf("%d tests", len(tests))
	}
	for i, test := range tests {
		if !strings.Contains(test.Cannot, want[i]) {
			t.Errorf("%s: got %q, want %q", test.Name, test.Cannot, want[i])
		}
	}
}
