package prove

import (
	"strconv"
	"strings"

	"wirewright/control"
)

// replay does the moves of a counterexample again with true times: before a time runs out, all clocks run on together by
// what it still has. It returns the story and whether the last move still does what must never happen.
func (w *world) replay(path []string) ([]string, bool) {
	st := w.decode(w.start())
	now := int64(0)
	var story []string
	for i, act := range path {
		w.occurred = ""
		if !w.again(&st, act, &now) {
			return nil, false
		}
		story = append(story, seconds(now)+"  "+w.words(act))
		if w.occurred != "" {
			return story, i == len(path)-1
		}
	}
	return nil, false
}

// again does one move with true times; false where it cannot be done any more.
func (w *world) again(st *state, act string, now *int64) bool {
	switch act[0] {
	case 's':
		name, value, _ := strings.Cut(act[1:], "=")
		i, _ := strconv.Atoi(name)
		v, _ := strconv.Atoi(value)
		return w.stimulate(st, &w.s.stimuli[i], int32(v))
	case 't':
		program, clock, _ := strings.Cut(act[1:], ".")
		i, _ := strconv.Atoi(program)
		k, _ := strconv.Atoi(clock)
		return w.pass(st, i, k, now)
	}
	ch, _ := strconv.Atoi(act[1:])
	if len(st.channels[ch]) == 0 {
		return false
	}
	if act[0] == 'l' {
		st.channels[ch] = st.channels[ch][1:]
		return true
	}
	return w.deliver(st, ch)
}

// pass lets all clocks of all programs run until clock k of program i has run out.
func (w *world) pass(st *state, i, k int, now *int64) bool {
	left := w.s.programs[i].Clocks(w.local(st, i))[k]
	if left == 0 {
		return false
	}
	*now += int64(left)
	for n := range w.s.programs {
		if !w.step(st, n, control.Event{Kind: control.EventAdvance, Slot: -1, Peer: -1, Elapsed: left}, true) {
			return false
		}
	}
	return true
}

// seconds prints ms as seconds.
func seconds(ms int64) string {
	return strconv.FormatFloat(float64(ms)/1000, 'f', 1, 64) + " s"
}
