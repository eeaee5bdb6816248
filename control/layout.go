package control

import "slices"

// layout says where each thing stands in a State. In order: one word that is 1 once EventStart came; the slots; the
// clocks (remaining ms, 0 where nothing runs), of which the debouncing of keys comes first so that a contact counts as
// settled before a press becomes long at the same moment; then the rest of each thing's memory.
type layout struct {
	clocks, nClocks int // all clocks: the runs below down to regulators
	debounce        int // one a gesture
	timer           int // one a timer
	phase           int // one a gesture
	motor           int // one a motor
	level           int // one a level
	regulator       int // two a regulator: sample, pulse

	heard    int // one a peer, and one before them for the workbench
	sent     int // one a peer
	set      int // one a timer: time taken at its start, 0 where ET is 0
	bits     int // IN memory of the timers, then latches of CauseAbove and CauseBelow; 31 a word
	gesture  int // gestureWords a gesture
	motion   int // motorWords a motor
	light    int // levelWords a level
	hold     int // one a hold: its value, Unknown where it does not stand
	asked    int // one a slot that can be held
	scene    int // one an item of a stored scene
	regulate int // regulatorWords a regulator
	size     int

	scenes []int // by scene: its first word, -1 where not stored
}

// slotBase is where the slots begin in a State.
const slotBase = 1

// bitsPerWord leaves the sign alone, so that a word of bits is never Unknown.
const bitsPerWord = 31

// newLayout gives everything its place.
func newLayout(p *Program) layout {
	var l layout
	motors, levels, latches, held := p.census()
	next := slotBase + len(p.Slots)
	take := func(n int) int {
		at := next
		next += n
		return at
	}
	l.clocks = next
	l.debounce = take(len(p.Gestures))
	l.timer = take(len(p.Timers))
	l.phase = take(len(p.Gestures))
	l.motor = take(motors)
	l.level = take(levels)
	l.regulator = take(2 * len(p.Regulators))
	l.nClocks = next - l.clocks
	l.heard = take(1 + len(p.Peers))
	l.sent = take(len(p.Peers))
	l.set = take(len(p.Timers))
	l.bits = take((len(p.Timers) + latches + bitsPerWord - 1) / bitsPerWord)
	l.gesture = take(gestureWords * len(p.Gestures))
	l.motion = take(motorWords * motors)
	l.light = take(levelWords * levels)
	l.hold = take(len(p.Holds))
	l.asked = take(held)
	l.scene = next
	for _, s := range p.Scenes {
		at := -1
		if s.Stored {
			at = take(int(s.Items.Count))
		}
		l.scenes = append(l.scenes, at)
	}
	l.regulate = take(regulatorWords * len(p.Regulators))
	l.size = next
	return l
}

// census counts what needs room in the state beside the tables: motors, levels, latches, and slots that can be held.
func (p *Program) census() (motors, levels, latches, held int) {
	for _, s := range p.Slots {
		switch s.Kind {
		case SlotMotor:
			motors++
		case SlotLevel:
			levels++
		}
	}
	for _, r := range p.Rules {
		for _, c := range p.Causes[r.Causes.First : r.Causes.First+r.Causes.Count] {
			if c.Kind == CauseAbove || c.Kind == CauseBelow {
				latches++
			}
		}
	}
	seen := make([]bool, len(p.Slots))
	for _, h := range p.Holds {
		if !seen[h.Slot] {
			seen[h.Slot] = true
			held++
		}
	}
	return motors, levels, latches, held
}

// NewState returns the state before EventStart: nothing is known, nothing runs. It is nil before Check.
func (p *Program) NewState() State {
	if p.ix == nil {
		return nil
	}
	s := make(State, p.ix.lay.size)
	p.clear(s)
	return s
}

// clear makes s the state before EventStart.
func (p *Program) clear(s State) {
	l := &p.ix.lay
	clear(s)
	for i := range p.Slots {
		s[slotBase+i] = Unknown
	}
	for i := l.motion; i < l.light; i += motorWords {
		clearMotor(s[i : i+motorWords])
	}
	for i := l.hold; i < l.scene; i++ {
		s[i] = Unknown
	}
	for i, at := range l.scenes {
		if at < 0 {
			continue
		}
		items := p.Scenes[i].Items
		for k, item := range p.SceneItems[items.First : items.First+items.Count] {
			s[at+k] = item.Value
		}
	}
}

// Equal tells whether two states are the same; then every further event has the same effects on both.
func (s State) Equal(t State) bool { return slices.Equal(s, t) }

// Clone returns a copy of the state.
func (s State) Clone() State { return slices.Clone(s) }

// Value returns the value of a slot: of a motor, the position when it last started or stopped.
func (p *Program) Value(s State, slot int16) int32 {
	if !p.has(s, slot) {
		return Unknown
	}
	return s[slotBase+int(slot)]
}

// has tells whether the state belongs to the program and the slot exists.
func (p *Program) has(s State, slot int16) bool {
	return p.ix != nil && len(s) == p.ix.lay.size && slot >= 0 && int(slot) < len(p.Slots)
}

// Clocks returns the words of the state that count down ms, 0 where nothing runs: everything in a state that depends
// on the passing of time alone. A prover that abstracts from time may change the values that are not 0.
func (p *Program) Clocks(s State) []int32 {
	return s[p.ix.lay.clocks : p.ix.lay.clocks+p.ix.lay.nClocks]
}

// Sent returns the words of the state that hold the number of the last command sent to each peer, and Heard those of
// the last command taken from each sender, the workbench first and then the peers. They are the only words that grow
// without end; a prover that moves both ends and the commands under way by the same amount changes nothing.
func (p *Program) Sent(s State) []int32 {
	return s[p.ix.lay.sent : p.ix.lay.sent+len(p.Peers)]
}

// Heard returns the numbers of the last commands taken; see Sent.
func (p *Program) Heard(s State) []int32 {
	return s[p.ix.lay.heard : p.ix.lay.heard+1+len(p.Peers)]
}
