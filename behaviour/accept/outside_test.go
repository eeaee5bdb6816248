package accept

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"wirewright/unit"
)

// interval is a time in which something is on, in ms from the start.
type interval struct{ from, to unit.Duration }

// watch drives the presence sensor of the porch by intervals and returns the intervals in which the porch lamp is on.
func watch(t *testing.T, text string, in []interval, until unit.Duration) []interval {
	t.Helper()
	w := newTiny(t, sample(t, text))
	var out []interval
	present, lit := false, false
	for now := unit.Duration(0); now <= until; now += 10 {
		want := false
		for _, i := range in {
			want = want || now >= i.from && now < i.to
		}
		if want != present {
			present = want
			if err := w.Input("porch.presence", map[bool]int32{true: 1}[want]); err != nil {
				t.Fatal(err)
			}
		}
		v, _ := w.Value("porch.lamp")
		if on := v != 0; on != lit {
			if lit = on; on {
				out = append(out, interval{now, until})
			} else {
				out[len(out)-1].to = now
			}
		}
		if err := w.Advance(10); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// TestTimersAreThoseOfIEC61131 holds the two delays of the language against the timers of IEC 61131-3, on the diagrams
// T1 to T3: "and stays so for" is the on-delay TON, "until … after it ends" the off-delay TOF. The outputs expected are
// computed from the standard's definition of the timers (quoted from memory).
func TestTimersAreThoseOfIEC61131(t *testing.T) {
	ton := "when porch.presence begins and stays so for %s: turn on porch.lamp\nwhen porch.presence ends: turn off porch.lamp\n"
	tof := "when porch.presence begins: turn on porch.lamp until %s after it ends\n"
	for _, c := range []struct {
		name, text, time string
		in, want         []interval
	}{
		{"T1 TON", ton, "5 s", []interval{{1000, 4000}, {6500, 14000}, {15000, 16000}}, []interval{{11500, 14000}}},
		{"T1 TOF", tof, "5 s", []interval{{1000, 4000}, {6500, 14000}, {15000, 16000}}, []interval{{1000, 21000}}},
		{"T2 TON", ton, "5 s", []interval{{1000, 2000}, {3000, 4000}}, nil},
		{"T2 TOF", tof, "5 s", []interval{{1000, 2000}, {3000, 4000}}, []interval{{1000, 9000}}},
		{"T3 TOF", tof, "2 s", []interval{{1000, 3000}}, []interval{{1000, 5000}}},
	} {
		got := watch(t, fmt.Sprintf(c.text, c.time), c.in, 25_000)
		if len(got) != len(c.want) {
			t.Errorf("%s: on %v, want %v", c.name, got, c.want)
			continue
		}
		for i := range got {
			if near := func(a, b unit.Duration) bool { return a-b <= 10 && b-a <= 10 }; !near(got[i].from, c.want[i].from) || !near(got[i].to, c.want[i].to) {
				t.Errorf("%s: on %v, want %v", c.name, got, c.want)
			}
		}
	}
}

// TestSunRulesFollowTheSun holds sunrise and sunset of the language against times that an independent program gives for
// Vienna, where the sample house stands (npm astronomy-engine 2.1.19, sun's centre at -0.833°): 2025-03-20 rise
// 04:57:16 and set 17:07:23 UTC, 2025-12-21 rise 06:42:28 and set 15:02:52 UTC. Local time is UTC+1 on both dates.
func TestSunRulesFollowTheSun(t *testing.T) {
	c := sample(t, "at sunset: turn on hall.ceiling\nat sunrise: turn off hall.ceiling\n")
	text := ""
	for _, s := range []struct{ date, before, word, not string }{
		{"2025-03-20", "18:06:53", "on", "off"},
		{"2025-12-21", "16:02:22", "on", "off"},
		{"2025-03-20", "05:56:46", "off", "on"},
		{"2025-12-21", "07:41:58", "off", "on"},
	} {
		text += fmt.Sprintf("test \"%s %s\"\n", s.date, s.word)
		if s.not == "on" {
			text += "  set hall.ceiling to on\n  wait 1 s\n"
		}
		text += fmt.Sprintf("  at %s %s\n  expect hall.ceiling %s within 1 s\n  expect hall.ceiling %s within 1 min\n", s.date, s.before, s.not, s.word)
	}
	for _, r := range Run(context.Background(), parsed(t, "", text), newTiny(t, c), nil) {
		if r.Outcome != Passed {
			t.Errorf("%s: %s", r.Test, r.Text)
		}
	}
}

// TestEveryVerbHasItsStep: each kind of step is written by Format and read again by Parse.
func TestEveryVerbHasItsStep(t *testing.T) {
	const text = `test "every step"
  press hall.keys.1
  press hall.keys.1 twice
  hold hall.keys.1
  let go hall.keys.1
  set hall.light to 40 lx
  set mode away to on
  message "door \"bell\""
  wait 1 h 30 min
  at 2025-01-15 06:30:15
  expect hall.ceiling on
  expect hall.ceiling stays on for 3 s
  expect living.shutter moves down within 2 s
  expect notice "text"
  break module porch.box
  mend access-point ap1  # at last
`
	tests := parsed(t, "", text)
	if got := Format(tests); got != text {
		t.Errorf("got\n%s\nwant\n%s", got, text)
	}
	kinds := map[StepKind]bool{}
	for _, s := range tests[0].Steps {
		kinds[s.Kind] = true
	}
	for k := StepPress; k <= StepMend; k++ {
		if !kinds[k] {
			t.Errorf("no step of kind %d", k)
		}
	}
	moving := parsed(t, "", strings.Replace(text, "moves down", "moving down", 1))
	if Format(moving) != text {
		t.Error("moving is not read as moves")
	}
}
