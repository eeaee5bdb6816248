package prove

import (
	"encoding/binary"
	"fmt"
	"strconv"
	"strings"

	"wirewright/control"
)

// perChannel is how many messages may be under way from one program to another; a move that would need more is not
// explored, and the answer says so.
const perChannel = 2

// message is a command or a published value under way.
type message struct {
	publish bool
	verb    control.Verb
	slot    int16 // of the receiver
	value   int32
	expiry  int32
}

// world is the product of the programs of a slice and the channels between them. It implements space.
//
// A state names the local state of each program by its number in a table (a house has many programs with few local
// states each) and holds what is under way. Sequence numbers of commands are left out: channels here neither repeat nor
// overtake, so every command that arrives is a new one.
type world struct {
	s        *slice
	peers    [][]int  // by program, by peer of it: index of the program, -1 for one that is cut away
	mirrors  [][]link // by program: who mirrors its slots
	crowded  bool     // a channel was full somewhere
	locals   [][]control.State
	numbers  []map[string]int32
	out      []control.Effect
	key      []byte
	work     []control.State // by program: where it is stepped
	occurred string          // what must never happen, in the move under way
}

// link is a mirror of a slot in another program.
type link struct {
	slot    int16 // of the owner
	program int
	mirror  int16
}

// state is one state of the product: numbers of local states, and what is under way by channel (from·n + to).
type state struct {
	programs []int32
	channels [][]message
}

func newWorld(s *slice) *world {
	n := len(s.programs)
	w := &world{s: s, peers: make([][]int, n), mirrors: make([][]link, n), locals: make([][]control.State, n), numbers: make([]map[string]int32, n)}
	at := map[string]int{}
	for i, p := range s.programs {
		at[p.Controller] = i
		w.numbers[i], w.work = map[string]int32{}, append(w.work, p.NewState())
	}
	for i, p := range s.programs {
		for _, name := range p.Peers {
			k, ok := at[name]
			if !ok {
				k = -1
			}
			w.peers[i] = append(w.peers[i], k)
		}
		for m := range p.Slots {
			slot := &p.Slots[m]
			if slot.Kind == control.SlotMirror && slot.Peer >= 0 && w.peers[i][slot.Peer] >= 0 && s.used[i][int16(m)] {
				owner := w.peers[i][slot.Peer]
				w.mirrors[owner] = append(w.mirrors[owner], link{slot.Remote, i, int16(m)})
			}
		}
	}
	return w
}

// number stores a local state, exactly, and returns its number.
func (w *world) number(i int, s control.State) int32 {
	clear(w.s.programs[i].Sent(s))
	clear(w.s.programs[i].Heard(s))
	w.key = w.key[:0]
	for _, v := range s {
		w.key = binary.LittleEndian.AppendUint32(w.key, uint32(v))
	}
	n, known := w.numbers[i][string(w.key)]
	if !known {
		n = int32(len(w.locals[i]))
		w.numbers[i][string(w.key)] = n
		w.locals[i] = append(w.locals[i], s.Clone())
	}
	return n
}

// local is a local state of a program of a state; it must not be changed.
func (w *world) local(st *state, i int) control.State { return w.locals[i][st.programs[i]] }

// fresh is every program before its start, with empty channels.
func (w *world) fresh() state {
	n := len(w.s.programs)
	st := state{programs: make([]int32, n), channels: make([][]message, n*n)}
	for i, p := range w.s.programs {
		st.programs[i] = w.number(i, p.NewState())
	}
	return st
}

// start powers every program and lets all inputs that matter come to rest, as on the day of commissioning: what the first
// values cause is part of the start.
func (w *world) start() string {
	st := w.fresh()
	for i := range w.s.programs {
		w.step(&st, i, control.Event{Kind: control.EventStart, Slot: -1, Peer: -1}, false)
	}
	w.drain(&st)
	for _, x := range w.s.stimuli {
		if x.kind == control.EventInput || x.kind == control.EventClock {
			w.step(&st, x.program, control.Event{Kind: x.kind, Slot: x.slot, Peer: -1, Value: x.values[0]}, false)
			w.drain(&st)
		}
	}
	for quiet := false; !quiet; w.drain(&st) {
		quiet = true
		for i, p := range w.s.programs {
			if due, ok := p.Due(w.local(&st, i)); ok {
				w.step(&st, i, control.Event{Kind: control.EventAdvance, Slot: -1, Peer: -1, Elapsed: due}, false)
				quiet = false
			}
		}
	}
	w.occurred = ""
	return w.encode(&st)
}

// drain delivers everything that is under way, in order.
func (w *world) drain(st *state) {
	for moved := true; moved; {
		moved = false
		for ch := range st.channels {
			for len(st.channels[ch]) > 0 {
				w.deliver(st, ch)
				moved = true
			}
		}
	}
}

// moves implements space.
func (w *world) moves(from string, visit func(act, next, note string)) {
	at := w.decode(from)
	try := func(act string, do func(st *state) bool) {
		st := at.copy()
		w.occurred = ""
		if do(&st) {
			visit(act, w.encode(&st), w.occurred)
		}
	}
	busy := w.hands(&at)
	for i := range w.s.stimuli {
		x := &w.s.stimuli[i]
		if x.key && busy != -1 && busy != i {
			continue
		}
		now := w.s.programs[x.program].Value(w.local(&at, x.program), x.slot)
		for _, v := range x.values {
			if v != now || x.kind == control.EventMessage {
				try("s"+strconv.Itoa(i)+"="+strconv.Itoa(int(v)), func(st *state) bool { return w.stimulate(st, x, v) })
			}
		}
	}
	for i := range w.s.programs {
		for k, c := range w.s.programs[i].Clocks(w.local(&at, i)) {
			if c > 0 {
				try("t"+strconv.Itoa(i)+"."+strconv.Itoa(k), func(st *state) bool { return w.expire(st, i, k) })
			}
		}
	}
	for ch, list := range at.channels {
		if len(list) > 0 {
			try("d"+strconv.Itoa(ch), func(st *state) bool { return w.deliver(st, ch) })
			if !list[0].publish { // a lost report is repeated, for it is retained; a lost command is gone
				try("l"+strconv.Itoa(ch), func(st *state) bool { st.channels[ch] = st.channels[ch][1:]; return true })
			}
		}
	}
}

// anyKey is what hands answers while a contact settles: no key can be moved within those milliseconds.
const anyKey = -2

// hands is the key that is down, -1 for none, anyKey while a contact still settles: keys are moved one at a time, which
// keeps the number of states small and is told with every proof.
func (w *world) hands(st *state) int {
	for i, p := range w.s.programs {
		for _, c := range p.Clocks(w.local(st, i))[:len(p.Gestures)] { // the clocks of debouncing stand first
			if c > 0 {
				return anyKey
			}
		}
	}
	for i := range w.s.stimuli {
		if x := &w.s.stimuli[i]; x.key && w.s.programs[x.program].Value(w.local(st, x.program), x.slot) == 1 {
			return i
		}
	}
	return -1
}

func (w *world) stimulate(st *state, x *stimulus, v int32) bool {
	return w.step(st, x.program, control.Event{Kind: x.kind, Slot: x.slot, Peer: -1, Value: v}, true)
}

// expire lets one clock run out while all others stand where they are.
func (w *world) expire(st *state, i, k int) bool {
	p, before := w.s.programs[i], w.s.programs[i].Clocks(w.local(st, i))
	prepare := func(s control.State) {
		clocks := p.Clocks(s)
		for n := range clocks {
			if n != k && clocks[n] > 0 {
				clocks[n] = max(clocks[n], 2)
			}
		}
		clocks[k] = 1
	}
	settle := func(s control.State) {
		clocks := p.Clocks(s)
		for n, c := range clocks {
			if n != k && before[n] > 0 && c == max(before[n], 2)-1 {
				clocks[n] = before[n]
			}
		}
	}
	return w.stepWith(st, i, control.Event{Kind: control.EventAdvance, Slot: -1, Peer: -1, Elapsed: 1}, true, prepare, settle)
}

func (w *world) deliver(st *state, ch int) bool {
	m := st.channels[ch][0]
	st.channels[ch] = st.channels[ch][1:]
	n := len(w.s.programs)
	from, to := ch/n, ch%n
	if m.publish {
		return w.step(st, to, control.Event{Kind: control.EventMirror, Slot: m.slot, Peer: -1, Value: m.value}, true)
	}
	peer := w.peerOf(to, from)
	return w.step(st, to, control.Event{Kind: control.EventCommand, Slot: m.slot, Peer: peer, Verb: m.verb, Value: m.value, Seq: 1, Expiry: m.expiry}, true)
}

// peerOf is how a program calls another one, -1 where it does not know it.
func (w *world) peerOf(program, other int) int16 {
	for i, k := range w.peers[program] {
		if k == other {
			return int16(i)
		}
	}
	return -1
}

// step steps one program and puts what it sends into the channels; false where a channel is full. What must never happen
// is noted in occurred.
func (w *world) step(st *state, i int, e control.Event, bounded bool) bool {
	return w.stepWith(st, i, e, bounded, nil, nil)
}

// stepWith is step with something done to the local state before and after.
func (w *world) stepWith(st *state, i int, e control.Event, bounded bool, before, after func(control.State)) bool {
	p, s := w.s.programs[i], w.work[i]
	copy(s, w.local(st, i))
	if before != nil {
		before(s)
	}
	w.out = p.Step(s, e, w.out[:0])
	if after != nil {
		after(s)
	}
	if wrong := p.Invariant(s); wrong != "" && w.occurred == "" {
		w.occurred = wrong
	}
	st.programs[i] = w.number(i, s)
	for _, f := range w.out {
		switch f.Kind {
		case control.EffectFault:
			w.fault(p, f)
		case control.EffectPublish:
			for _, l := range w.mirrors[i] {
				if l.slot == f.Slot && !w.send(st, i, l.program, message{publish: true, slot: l.mirror, value: f.Value}, bounded) {
					return false
				}
			}
		case control.EffectSend:
			to := w.peers[i][f.Peer]
			if to >= 0 && !w.send(st, i, to, message{verb: f.Verb, slot: f.Slot, value: f.Value, expiry: f.Time}, bounded) {
				return false
			}
		}
	}
	return true
}

func (w *world) fault(p *control.Program, f control.Effect) {
	if w.occurred != "" {
		return
	}
	name := ""
	if f.Slot >= 0 && int(f.Slot) < len(p.Slots) {
		name = p.Slots[f.Slot].Name
	}
	switch control.FaultCode(f.Value) {
	case control.FaultConflict:
		w.occurred = "two rules write different values to " + name + " in one instant"
	case control.FaultChain:
		w.occurred = "effects cause each other without end"
	default:
		w.occurred = fmt.Sprintf("fault %d at %s", f.Value, name)
	}
}

func (w *world) send(st *state, from, to int, m message, bounded bool) bool {
	ch := from*len(w.s.programs) + to
	if m.publish { // a newer report takes the place of an older one of the same slot that is still under way
		for k := range st.channels[ch] {
			if st.channels[ch][k].publish && st.channels[ch][k].slot == m.slot {
				list := append([]message(nil), st.channels[ch]...)
				list = append(list[:k], list[k+1:]...)
				st.channels[ch] = append(list, m)
				return true
			}
		}
	}
	if bounded && len(st.channels[ch]) >= perChannel+btoi(m.publish)*8 {
		w.crowded = true
		return false
	}
	st.channels[ch] = append(append([]message(nil), st.channels[ch]...), m)
	return true
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

func (st *state) copy() state {
	return state{append([]int32(nil), st.programs...), append([][]message(nil), st.channels...)}
}

// encode packs a state exactly.
func (w *world) encode(st *state) string {
	b := make([]byte, 0, 4*len(st.programs)+len(st.channels))
	for _, n := range st.programs {
		b = binary.AppendUvarint(b, uint64(n))
	}
	for _, list := range st.channels {
		b = binary.AppendUvarint(b, uint64(len(list)))
		for _, m := range list {
			b = binary.AppendVarint(b, int64(btoi(m.publish))<<8|int64(m.verb))
			b = binary.AppendVarint(b, int64(m.slot))
			b = binary.AppendVarint(b, int64(m.value))
			b = binary.AppendVarint(b, int64(m.expiry))
		}
	}
	return string(b)
}

// decode unpacks a state.
func (w *world) decode(text string) state {
	b := []byte(text)
	unsigned := func() int { v, n := binary.Uvarint(b); b = b[n:]; return int(v) }
	signed := func() int64 { v, n := binary.Varint(b); b = b[n:]; return v }
	n := len(w.s.programs)
	st := state{programs: make([]int32, n), channels: make([][]message, n*n)}
	for i := range st.programs {
		st.programs[i] = int32(unsigned())
	}
	for ch := range st.channels {
		for range unsigned() {
			head := signed()
			st.channels[ch] = append(st.channels[ch], message{publish: head>>8 == 1, verb: control.Verb(head & 255), slot: int16(signed()), value: int32(signed()), expiry: int32(signed())})
		}
	}
	return st
}

// value is what the point of the slice stands at in a state.
func (w *world) value(text string) int32 {
	st := w.decode(text)
	return w.s.programs[w.s.owner].Value(w.local(&st, w.s.owner), w.s.slot)
}

// byHand tells whether a move belongs to people or comes by itself: keys, expiries and deliveries, but no sensors, clocks
// or losses.
func (w *world) byHand(act string) bool {
	switch act[0] {
	case 't', 'd':
		return true
	case 's':
		i, _ := strconv.Atoi(act[1:strings.IndexByte(act, '=')])
		return w.s.stimuli[i].key
	}
	return false
}

// words says in plain words what a move does.
func (w *world) words(act string) string {
	n := len(w.s.programs)
	switch act[0] {
	case 's':
		name, value, _ := strings.Cut(act[1:], "=")
		i, _ := strconv.Atoi(name)
		v, _ := strconv.Atoi(value)
		x := &w.s.stimuli[i]
		return x.describe(w.s.programs[x.program], int32(v))
	case 't':
		i, _ := strconv.Atoi(act[1:strings.IndexByte(act, '.')])
		return "a time runs out at " + w.s.programs[i].Controller
	}
	ch, _ := strconv.Atoi(act[1:])
	from, to := w.s.programs[ch/n].Controller, w.s.programs[ch%n].Controller
	if act[0] == 'l' {
		return "a command from " + from + " to " + to + " is lost"
	}
	return "what " + from + " sent reaches " + to
}

// reading prints a value of a quantity.
func reading(q control.Quantity, v int32) string {
	switch q {
	case control.QuantityBool:
		return [2]string{"off", "on"}[v&1]
	case control.QuantityTemperature:
		return fmt.Sprintf("%d.%02d °C", v/100, max(v%100, -v%100))
	case control.QuantityWind:
		return fmt.Sprintf("%d.%d m/s", v/10, v%10)
	case control.QuantityLight:
		return fmt.Sprintf("%d lx", v)
	}
	return strconv.Itoa(int(v))
}
