package control

import (
	"fmt"
	"sort"
)

// naive is the whole core once more, written as plainly as can be: values in maps, a condition as recursion over a tree,
// time as single milliseconds, an instant as three lists. It knows inputs, keys without gestures, mirrors, clocks, links,
// messages, switches, levels without fades, variables, timers, lists, holds, scenes and commands; not motors, gestures,
// fades and regulators, which have twins of their own.
type naive struct {
	p       *Program
	started bool
	val     map[int16]int32
	timer   map[int16]*naiveTimer
	ran     map[int16]int32 // ms that an action-driven timer has run, by timer
	pt      map[int16]int32
	seen    map[[2]int]bool // armed crossings that have fired, by rule and cause
	lastOn  map[int16]int32
	holds   map[int16]int32
	asked   map[int16]int32
	scenes  map[[2]int]int32
	heard   map[int16]uint32
	sent    map[int16]uint32
	pending map[int16]bool
	beat    int16
	out     []string
}

func newNaive(p *Program) *naive {
	n := &naive{p: p, val: map[int16]int32{}, timer: map[int16]*naiveTimer{}, ran: map[int16]int32{}, pt: map[int16]int32{}, seen: map[[2]int]bool{},
		lastOn: map[int16]int32{}, holds: map[int16]int32{}, asked: map[int16]int32{}, scenes: map[[2]int]int32{}, heard: map[int16]uint32{}, sent: map[int16]uint32{},
		pending: map[int16]bool{}, beat: -1}
	for i := range p.Slots {
		n.val[int16(i)] = Unknown
	}
	for i, s := range p.Scenes {
		for k := range s.Items.Count {
			n.scenes[[2]int{i, int(k)}] = p.SceneItems[s.Items.First+k].Value
		}
	}
	return n
}

func (n *naive) say(format string, args ...any) { n.out = append(n.out, fmt.Sprintf(format, args...)) }

// causes calls do for every cause of every rule.
func (n *naive) causes(do func(rule, cause int, c Cause)) {
	for i, r := range n.p.Rules {
		for k := range r.Causes.Count {
			do(i, int(k), n.p.Causes[r.Causes.First+k])
		}
	}
}

// become gives a slot a value, and finds the causes by looking through all of them.
func (n *naive) become(slot int16, v int32) {
	old := n.val[slot]
	if old == v {
		return
	}
	n.val[slot] = v
	if n.p.Slots[slot].Publish {
		n.say("publish %d %d", slot, v)
	}
	n.causes(func(rule, cause int, c Cause) {
		if c.Slot != slot || c.Kind == CauseChord || c.Kind == CauseStart || c.Kind >= CauseTimerOn && c.Kind <= CauseExpired {
			return
		}
		known := old != Unknown && v != Unknown
		beyond := c.Kind == CauseAbove && v > c.Level || c.Kind == CauseBelow && v < c.Level
		back := c.Kind == CauseAbove && v <= c.Level-c.Band || c.Kind == CauseBelow && v >= c.Level+c.Band
		fires := false
		switch c.Kind {
		case CauseRise:
			fires = known && old == 0
		case CauseFall:
			fires = known && v == 0
		case CauseChange:
			fires = known
		case CauseKnown:
			fires = old == Unknown
		case CauseForgot:
			fires = v == Unknown
		case CauseAbove, CauseBelow:
			key := [2]int{rule, cause}
			switch {
			case v == Unknown:
			case old == Unknown:
				n.seen[key] = beyond
			case beyond && !n.seen[key]:
				n.seen[key], fires = true, true
			case back:
				n.seen[key] = false
			}
		}
		if fires {
			n.pending[int16(rule)] = true
		}
	})
	for i, timer := range n.p.Timers {
		if timer.In == slot {
			n.timerSees(int16(i), v != Unknown && (v != 0) != timer.Invert, old == Unknown)
		}
	}
}

// timerOf returns the naive timer of a row.
func (n *naive) timerOf(i int16) *naiveTimer {
	if n.timer[i] == nil {
		n.timer[i] = &naiveTimer{kind: n.p.Timers[i].Kind, pt: n.p.Timers[i].Time, since: -1}
	}
	return n.timer[i]
}

// timerSees lets a slot-driven timer look at its input, without time passing.
func (n *naive) timerSees(i int16, in, first bool) {
	t := n.timerOf(i)
	was := *t
	if first && in && t.kind != TimerOnDelay {
		t.in, t.since, t.everFallen = true, -1, false // no edge
		t.q = t.kind == TimerOffDelay
		if t.kind == TimerPulse || t.kind == TimerRunOn {
			t.since, t.q = was.since, was.q
		}
		return
	}
	kind := t.kind
	if kind == TimerWait {
		t.kind = TimerRunOn // the same by a slot
	}
	t.scan(0, in)
	t.kind = kind
	expired := t.pt == 0 && (in && !was.in && (kind == TimerOnDelay || kind == TimerRunOn || kind == TimerWait) || !in && was.in && kind == TimerOffDelay)
	restarted := in && !was.in && t.pt == 0 && (kind == TimerRunOn || kind == TimerWait)
	n.timerSays(i, was.q, t.q || restarted, expired)
	if restarted {
		n.timerSays(i, true, false, false)
		t.since = -1
	}
}

// timerSays notes what follows from a change of Q.
func (n *naive) timerSays(i int16, was, q, expired bool) {
	n.causes(func(rule, _ int, c Cause) {
		if c.Timer == i && (c.Kind == CauseTimerOn && q && !was || c.Kind == CauseTimerOff && was && !q || c.Kind == CauseExpired && expired) {
			n.pending[int16(rule)] = true
		}
	})
}

// millisecond lets one pass: each timer that runs out has its own instant, in the order of the table.
func (n *naive) millisecond() {
	// A timer that is stopped or begun anew before its turn in this very millisecond does not run out.
	due := map[int16]bool{}
	for i := range n.p.Timers {
		t := n.timerOf(int16(i))
		if t.since >= 0 && t.since < t.pt {
			t.since++
			due[int16(i)] = t.since >= t.pt
		}
		t.et = max(t.et, t.since)
	}
	for i := range n.p.Timers {
		t := n.timerOf(int16(i))
		if !due[int16(i)] || t.since < t.pt {
			continue
		}
		was := t.q
		switch t.kind {
		case TimerOnDelay:
			t.q = true
		case TimerOffDelay:
			t.q = false
		default:
			t.q, t.since = false, -1
		}
		n.timerSays(int16(i), was, t.q, true)
		n.settle()
	}
}

// settle runs instants until nothing is pending, eight at most.
func (n *naive) settle() {
	for range MaxChain {
		if len(n.pending) == 0 {
			return
		}
		n.instant()
	}
	if len(n.gather()) > 0 {
		n.say("fault chain")
	}
	n.pending = map[int16]bool{}
}

// naiveWrite is one thing to be done.
type naiveWrite struct {
	on    string // what it is done to
	does  string // what it comes to, for comparison
	rank  int
	turn  int
	adds  bool
	do    func()
	fault string
	place int // among the writes of the instant
}

func (n *naive) instant() {
	writes := n.gather()
	n.pending = map[int16]bool{}
	if n.beat >= 0 {
		slot := n.beat
		n.beat = -1
		n.val[slot] = 0
		if n.p.Slots[slot].Publish {
			n.say("publish %d 0", slot)
		}
		for i, timer := range n.p.Timers {
			if timer.In == slot {
				n.timerSees(int16(i), timer.Invert, false)
			}
		}
	}
	var done []naiveWrite
	taken := map[string]bool{}
	for _, w := range writes {
		if taken[w.on] {
			continue
		}
		taken[w.on] = true
		var rivals []naiveWrite
		top := 0
		for _, o := range writes {
			if o.on == w.on {
				rivals = append(rivals, o)
				top = max(top, o.rank)
			}
		}
		best := []naiveWrite{}
		for _, o := range rivals {
			if o.rank == top {
				best = append(best, o)
			}
		}
		agree := true
		for _, o := range best {
			agree = agree && o.does == best[0].does
		}
		switch {
		case allAdd(rivals):
			done = append(done, rivals...)
		case agree && !best[0].adds:
			done = append(done, best[0])
		case agree && len(best) == 1:
			done = append(done, best[0])
		default:
			n.say("fault conflict %s", w.fault)
		}
	}
	sort.SliceStable(done, func(i, j int) bool { return done[i].place < done[j].place })
	for turn := range 4 {
		for _, w := range done {
			if w.turn == turn {
				w.do()
			}
		}
	}
}

func allAdd(ws []naiveWrite) bool {
	for _, w := range ws {
		if !w.adds {
			return false
		}
	}
	return true
}

// gather decides what the pending rules do, on the values as they are.
func (n *naive) gather() []naiveWrite {
	var rules []int
	for r := range n.pending {
		rules = append(rules, int(r))
	}
	sort.Ints(rules)
	var writes []naiveWrite
	for _, i := range rules {
		r := n.p.Rules[i]
		if v := n.worth(r.Cond); r.Cond.Count > 0 && (v == 0 || v == Unknown) {
			continue
		}
		for k := range r.Actions.Count {
			writes = append(writes, n.decide(n.p.Actions[r.Actions.First+k], 2*int(r.Rank))...)
		}
	}
	for i := range writes {
		writes[i].place = i
	}
	return writes
}

// worth evaluates code by recursion from its end.
func (n *naive) worth(code Range) int32 {
	if code.Count == 0 {
		return 1
	}
	instrs := n.p.Code[code.First : code.First+code.Count]
	at := len(instrs) - 1
	var value func() int32
	value = func() int32 {
		in := instrs[at]
		at--
		switch in.Op.needs() {
		case 0:
			return n.leaf(in)
		case 1:
			a := value()
			switch in.Op {
			case OpKnown:
				return truth(a != Unknown)
			case OpNot:
				return map[bool]int32{true: Unknown, false: truth(a == 0)}[a == Unknown]
			}
			return map[bool]int32{true: Unknown, false: -a}[a == Unknown]
		case 3:
			c, b, a := value(), value(), value()
			return map[bool]int32{true: Unknown, false: map[bool]int32{true: b, false: c}[a != 0]}[a == Unknown]
		}
		b, a := value(), value()
		return n.both(in.Op, a, b)
	}
	return value()
}

// leaf is an instruction that takes nothing.
func (n *naive) leaf(in Instr) int32 {
	i := int16(in.Arg)
	switch in.Op {
	case OpConst:
		return in.Arg
	case OpSlot:
		return n.val[i]
	case OpAsked:
		if v, ok := n.asked[i]; ok && n.canBeHeld(i) {
			return v
		}
		return n.val[i]
	case OpHeld:
		if h := n.ruler(i); h >= 0 {
			return int32(n.p.Holds[h].Rank)
		}
		return 0
	case OpTimerQ:
		return truth(n.timerOf(i).q)
	case OpTimerRuns:
		t := n.timerOf(i)
		return truth(t.since >= 0 && t.since < t.pt)
	}
	on, off, unknown := int32(0), int32(0), int32(0)
	for _, m := range n.p.list(i) {
		switch n.val[m] {
		case 0:
			off++
		case Unknown:
			unknown++
		default:
			on++
		}
	}
	switch {
	case in.Op == OpAny && on > 0:
		return 1
	case in.Op == OpAll && off > 0:
		return 0
	case unknown > 0:
		return Unknown
	case in.Op == OpSum:
		return on
	}
	return truth(in.Op == OpAll)
}

// both is an instruction that takes two values.
func (n *naive) both(op Op, a, b int32) int32 {
	isTrue := func(v int32) bool { return v != 0 && v != Unknown }
	switch {
	case op == OpAnd && (a == 0 || b == 0):
		return 0
	case op == OpOr && (isTrue(a) || isTrue(b)):
		return 1
	case op == OpElse && a == Unknown:
		return b
	case op == OpElse:
		return a
	case a == Unknown || b == Unknown || op == OpDiv && b == 0:
		return Unknown
	}
	x, y := float64(a), float64(b)
	switch op {
	case OpAnd:
		return 1
	case OpOr:
		return 0
	case OpEqual:
		return truth(a == b)
	case OpDiffers:
		return truth(a != b)
	case OpLess:
		return truth(a < b)
	case OpAtMost:
		return truth(a <= b)
	case OpMore:
		return truth(a > b)
	case OpAtLeast:
		return truth(a >= b)
	case OpAdd:
		x += y
	case OpSub:
		x -= y
	case OpMul:
		x *= y
	case OpDiv:
		x = float64(a / b)
	case OpMin:
		x = min(x, y)
	case OpMax:
		x = max(x, y)
	}
	return int32(max(-2147483647, min(x, 2147483647)))
}
