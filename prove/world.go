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
	seq     uint32
	expiry  int32
}

// world is the product of the programs of a slice and the channels between them. It implements space.
type world struct {
	s        *slice
	peers    [][]int  // by program, by peer of it: index of the program, -1 for one that is cut away
	mirrors  [][]link // by program: who mirrors its slots
	crowded  bool     // a channel was full somewhere
	out      []control.Effect
	decoded  state
	scratch  []control.State
	occurred string // what must never happen, in the move under way
}

// link is a mirror of a slot in another program.
type link struct {
	slot    int16 // of the owner
	program int
	mirror  int16
}

// state is one state of the product, decoded.
type state struct {
	programs []control.State
	channels [][]message // from·n + to
}

func newWorld(s *slice) *world {
	w := &world{s: s, peers: make([][]int, len(s.programs)), mirrors: make([][]link, len(s.programs))}
	at := map[string]int{}
	for i, p := range s.programs {
		at[p.Controller] = i
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
			if slot.Kind == control.SlotMirror && slot.Peer >= 0 && w.peers[i][slot.Peer] >= 0 {
				owner := w.peers[i][slot.Peer]
				w.mirrors[owner] = append(w.mirrors[owner], link{slot.Remote, i, int16(m)})
			}
		}
	}
	return w
}

// fresh is every program before its start, with empty channels.
func (w *world) fresh() state {
	n := len(w.s.programs)
	st := state{channels: make([][]message, n*n)}
	for _, p := range w.s.programs {
		st.programs = append(st.programs, p.NewState())
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
			if due, ok := p.Due(st.programs[i]); ok {
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
	w.decode(from)
	try := func(act string, do func(st *state) bool) {
		st := w.copy()
		w.occurred = ""
		if do(&st) {
			visit(act, w.encode(&st), w.occurred)
		}
	}
	for i := range w.s.stimuli {
		x := &w.s.stimuli[i]
		now := w.s.programs[x.program].Value(w.decoded.programs[x.program], x.slot)
		for _, v := range x.values {
			if v != now || x.kind == control.EventMessage {
				try("s"+strconv.Itoa(i)+"="+strconv.Itoa(int(v)), func(st *state) bool { return w.stimulate(st, x, v) })
			}
		}
	}
	for i := range w.s.programs {
		for k, c := range w.s.programs[i].Clocks(w.decoded.programs[i]) {
			if c > 0 {
				try("t"+strconv.Itoa(i)+"."+strconv.Itoa(k), func(st *state) bool { return w.expire(st, i, k) })
			}
		}
	}
	for ch, list := range w.decoded.channels {
		if len(list) > 0 {
			try("d"+strconv.Itoa(ch), func(st *state) bool { return w.deliver(st, ch) })
			if !list[0].publish { // a lost report is repeated, for it is retained; a lost command is gone
				try("l"+strconv.Itoa(ch), func(st *state) bool { st.channels[ch] = st.channels[ch][1:]; return true })
			}
		}
	}
}

func (w *world) stimulate(st *state, x *stimulus, v int32) bool {
	return w.step(st, x.program, control.Event{Kind: x.kind, Slot: x.slot, Peer: -1, Value: v}, true)
}

// expire lets one clock run out while all others stand where they are.
func (w *world) expire(st *state, i, k int) bool {
	p, s := w.s.programs[i], st.programs[i]
	clocks := p.Clocks(s)
	before := append([]int32(nil), clocks...)
	for n := range clocks {
		if n != k && clocks[n] > 0 {
			clocks[n] = max(clocks[n], 2)
		}
	}
	clocks[k] = 1
	ok := w.step(st, i, control.Event{Kind: control.EventAdvance, Slot: -1, Peer: -1, Elapsed: 1}, true)
	for n, c := range p.Clocks(s) {
		if n != k && before[n] > 0 && c == max(before[n], 2)-1 {
			clocks[n] = before[n]
		}
	}
	return ok
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
	return w.step(st, to, control.Event{Kind: control.EventCommand, Slot: m.slot, Peer: peer, Verb: m.verb, Value: m.value, Seq: m.seq, Expiry: m.expiry}, true)
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
	p := w.s.programs[i]
	w.out = p.Step(st.programs[i], e, w.out[:0])
	if wrong := p.Invariant(st.programs[i]); wrong != "" && w.occurred == "" {
		w.occurred = wrong
	}
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
			if to >= 0 && !w.send(st, i, to, message{verb: f.Verb, slot: f.Slot, value: f.Value, seq: f.Seq, expiry: f.Time}, bounded) {
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

func (w *world) copy() state {
	st := state{programs: make([]control.State, len(w.decoded.programs)), channels: append([][]message(nil), w.decoded.channels...)}
	for i, s := range w.decoded.programs {
		st.programs[i] = s.Clone()
	}
	return st
}

// encode packs a state exactly. Sequence numbers are moved so that equal situations are equal states: what counts is
// their order between one sender and one receiver.
func (w *world) encode(st *state) string {
	w.renumber(st)
	var b []byte
	for _, s := range st.programs {
		for _, v := range s {
			b = binary.AppendVarint(b, int64(v))
		}
	}
	for _, list := range st.channels {
		b = binary.AppendUvarint(b, uint64(len(list)))
		for _, m := range list {
			b = binary.AppendVarint(b, int64(btoi(m.publish))<<8|int64(m.verb))
			b = binary.AppendVarint(b, int64(m.slot))
			b = binary.AppendVarint(b, int64(m.value))
			b = binary.AppendVarint(b, int64(m.seq))
			b = binary.AppendVarint(b, int64(m.expiry))
		}
	}
	return string(b)
}

// renumber gives the commands under way from one program to another the numbers that follow the last one heard.
func (w *world) renumber(st *state) {
	n := len(w.s.programs)
	for from := range n {
		for peer, to := range w.peers[from] {
			if to < 0 {
				w.s.programs[from].Sent(st.programs[from])[peer] = 0
				continue
			}
			heard := w.s.programs[to].Heard(st.programs[to])
			back := w.peerOf(to, from)
			seq := int32(1)
			if heard[back+1] != 0 {
				heard[back+1] = 1
				seq = 2
			}
			list := append([]message(nil), st.channels[from*n+to]...)
			for i := range list {
				if !list[i].publish {
					list[i].seq = uint32(seq)
					seq++
				}
			}
			st.channels[from*n+to] = list
			w.s.programs[from].Sent(st.programs[from])[peer] = seq - 1
		}
	}
}

// decode unpacks a state into w.decoded, whose memory is used again.
func (w *world) decode(text string) {
	b := []byte(text)
	next := func() int64 {
		v, n := binary.Varint(b)
		b = b[n:]
		return v
	}
	w.decoded = w.fresh()
	for _, s := range w.decoded.programs {
		for i := range s {
			s[i] = int32(next())
		}
	}
	for ch := range w.decoded.channels {
		count, n := binary.Uvarint(b)
		b = b[n:]
		for range count {
			head := next()
			w.decoded.channels[ch] = append(w.decoded.channels[ch], message{publish: head>>8 == 1, verb: control.Verb(head & 255), slot: int16(next()), value: int32(next()), seq: uint32(next()), expiry: int32(next())})
		}
	}
}

// value is what the point of the slice stands at in a state.
func (w *world) value(text string) int32 {
	w.decode(text)
	return w.s.programs[w.s.owner].Value(w.decoded.programs[w.s.owner], w.s.slot)
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
