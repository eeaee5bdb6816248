package control

// State is the whole memory of one controller as a flat vector: equal vectors are equal states. Timers stand in it as
// remaining time, so that a state does not depend on when it was reached.
type State []int32

// Program is the compiled behaviour of one controller. It is immutable once Check has found it sound.
type Program struct {
	Controller string     // module id of the controller
	Slots      []Slot     //
	Peers      []string   // module ids of the controllers that this one hears or commands
	Schedules  []Schedule //
	Texts      []string   // notifications, and the names that listing and trace use

	Rules      []Rule      // what the person wrote
	Causes     []Cause     // of rules, Rule.Causes
	Code       []Instr     // conditions and operands, Rule.Cond and Action.Value
	Actions    []Action    // of rules, Rule.Actions
	Lists      []Range     // groups and chords: rows of Members
	Members    []int16     // slots of the lists
	Timers     []Timer     //
	Gestures   []Gesture   // at most one a key
	Scenes     []Scene     //
	SceneItems []SceneItem // of scenes, Scene.Items
	Holds      []Hold      //
	Regulators []Regulator //

	ix *index // what Check prepared; nil before
}

// noRule is the cause of what no rule caused.
const noRule int16 = -1

// ruleWords holds one bit a rule.
type ruleWords [MaxRules / 64]uint64

// run is one Step under way.
type run struct {
	p     *Program
	ix    *index
	s     State
	out   []Effect
	cause int16     // rule whose writes are being carried out
	pulse int16     // slot that falls back after the first instant, -1 for none
	any   bool      // some rule or regulator is pending
	words int       // words of pending that the program's rules need
	regs  uint64    // regulators that are to look again
	pend  ruleWords // rules whose cause has happened
}

// Step takes one event and changes the state; it appends the effects to out, in order, and returns it. It allocates
// nothing when out has room. A malformed event yields EffectFault and changes nothing. It may be called by any number
// of goroutines at once, each with a state of its own.
func (p *Program) Step(s State, e Event, out []Effect) []Effect {
	if p.ix == nil || len(s) != p.ix.lay.size || !p.sound(&e) {
		return append(out, Effect{Kind: EffectFault, Slot: e.Slot, Value: int32(FaultRange), Cause: noRule})
	}
	r := run{p: p, ix: p.ix, s: s, out: out, cause: noRule, pulse: -1, words: (len(p.Rules) + 63) / 64}
	r.advance(e.Elapsed)
	r.take(&e)
	return r.out
}

// effect appends an effect.
func (r *run) effect(e Effect) {
	e.Cause = r.cause
	r.out = append(r.out, e)
}

// fault appends a fault at run time.
func (r *run) fault(code FaultCode, slot int16) {
	r.effect(Effect{Kind: EffectFault, Slot: slot, Value: int32(code)})
}

// value returns the value of a slot.
func (r *run) value(slot int16) int32 { return r.s[slotBase+int(slot)] }

// mark notes that the cause of a rule has happened.
func (r *run) mark(rule int16) {
	r.pend[rule>>6] |= 1 << (rule & 63)
	r.any = true
}

// settle runs instants until no rule is pending. What a rule changes is looked at in the next instant; a chain longer
// than MaxChain is cut, and the rule that would have gone on is named.
func (r *run) settle() {
	for n := 0; r.any; n++ {
		if n == MaxChain {
			r.cut()
			return
		}
		r.instant()
	}
}

// cut ends a chain: it is a fault if something pending would really have been done, and names the rule that would.
func (r *run) cut() {
	var first [1]write
	g := gather{r: r, w: first[:]}
	g.rules()
	r.forget()
	if g.n > 0 {
		r.cause = first[0].rule
		r.fault(FaultChain, -1)
		r.cause = noRule
	}
}

// forget clears what is pending.
func (r *run) forget() {
	r.pend = ruleWords{}
	r.regs = 0
	r.any = false
}

// Due returns after how many ms, without any other event, the next timer expires; false if none is running. The world
// sends EventAdvance then.
func (p *Program) Due(s State) (int32, bool) {
	if p.ix == nil || len(s) != p.ix.lay.size {
		return 0, false
	}
	due := soonest(p.Clocks(s))
	return due, due > 0
}

// soonest returns the least of the clocks that run, 0 if none does.
func soonest(clocks []int32) int32 {
	least := uint32(0) // 0-1 wraps to the largest, so that "nothing runs" loses against everything
	for _, c := range clocks {
		if uint32(c)-1 < least-1 {
			least = uint32(c)
		}
	}
	return int32(least)
}
