package prove

import (
	"slices"
	"strings"

	"wirewright/behaviour"
	"wirewright/control"
)

// slice is what has a say in one point: programs, and what may happen to them.
type slice struct {
	point    string
	owner    int // index of the program that moves the point
	slot     int16
	programs []*control.Program
	stimuli  []stimulus
	hand     bool // some key can reach the point
	reads    bool // some rule of the slice reads the position of a motor, which is abstracted
}

// stimulus is one thing that the world may do to one program.
type stimulus struct {
	program int
	slot    int16
	kind    control.EventKind
	values  []int32
	key     bool
	name    string
}

// cut finds what has a say in a point: the rules that write it, what they read, the rules that write that, and so on.
func cut(c *behaviour.Compiled, point string) (*slice, bool) {
	controller, slot, ok := c.Place(point)
	if !ok || c.Program(controller) == nil {
		return nil, false
	}
	names, rules := influence(c, point)
	s := &slice{point: point, slot: slot}
	take := map[string]bool{controller: true}
	for i := range c.Rules {
		if rules[i] {
			for _, k := range c.Rules[i].Controllers {
				take[k] = true
			}
		}
	}
	for n := range names {
		if k, _, ok := c.Place(n); ok {
			take[k] = true
		}
	}
	for _, p := range c.Programs {
		if take[p.Controller] {
			if p.Controller == controller {
				s.owner = len(s.programs)
			}
			s.programs = append(s.programs, p)
		}
	}
	s.stimulate(names)
	return s, true
}

// influence is the closure over writes and reads, from a point backwards.
func influence(c *behaviour.Compiled, point string) (names map[string]bool, rules []bool) {
	names, rules = map[string]bool{point: true}, make([]bool, len(c.Rules))
	for grown := true; grown; {
		grown = false
		for i := range c.Rules {
			r := &c.Rules[i]
			if rules[i] || !slices.ContainsFunc(r.Writes, func(n string) bool { return names[n] }) {
				continue
			}
			rules[i], grown = true, true
			for _, n := range r.Reads {
				names[n] = true
			}
		}
	}
	return names, rules
}

// stimulate lists what the world may do: every input, key, clock entry and message of the slice that a name of the
// closure stands for.
func (s *slice) stimulate(names map[string]bool) {
	for i, p := range s.programs {
		for k := range p.Slots {
			slot := &p.Slots[k]
			st := stimulus{program: i, slot: int16(k), name: slot.Name, values: []int32{0, 1}}
			switch slot.Kind {
			case control.SlotKey:
				st.kind, st.key = control.EventInput, true
			case control.SlotInput:
				st.kind = control.EventInput
				if slot.Quantity != control.QuantityBool {
					st.values = s.levels(int16(k), p)
				}
			case control.SlotClock:
				st.kind = control.EventClock
			case control.SlotMessage:
				st.kind, st.values = control.EventMessage, []int32{1}
			case control.SlotMotor:
				s.reads = s.reads || (names[slot.Name] && slot.Name != s.point)
				continue
			default:
				continue
			}
			if !names[slot.Name] && slot.Kind != control.SlotClock && slot.Kind != control.SlotMessage {
				continue
			}
			if slot.Kind == control.SlotClock && !s.clockMatters(p, int16(k)) {
				continue
			}
			s.hand = s.hand || st.key
			s.stimuli = append(s.stimuli, st)
		}
	}
}

// clockMatters is true for every clock entry that a cause or condition of the program names: whether it has a say in the
// point is not asked, which costs states but loses nothing.
func (s *slice) clockMatters(p *control.Program, slot int16) bool {
	return slices.ContainsFunc(p.Causes, func(c control.Cause) bool { return c.Slot == slot }) ||
		slices.ContainsFunc(p.Code, func(i control.Instr) bool { return i.Arg == int32(slot) })
}

// levels are the values that matter of a measured quantity: on either side of every threshold of its causes, and of every
// constant that the conditions hold.
func (s *slice) levels(slot int16, p *control.Program) []int32 {
	var list []int32
	for _, c := range p.Causes {
		if c.Slot == slot && (c.Kind == control.CauseAbove || c.Kind == control.CauseBelow) {
			list = append(list, c.Level-c.Band-1, c.Level, c.Level+c.Band+1)
		}
	}
	if len(list) == 0 {
		for _, i := range p.Code {
			if i.Arg > 1 && int(i.Arg) >= len(p.Slots) {
				list = append(list, i.Arg-1, i.Arg, i.Arg+1)
			}
		}
	}
	slices.Sort(list)
	list = slices.Compact(list)
	if len(list) == 0 {
		return []int32{0}
	}
	return list
}

// describe says in words what a stimulus does.
func (st *stimulus) describe(p *control.Program, value int32) string {
	name := p.Slots[st.slot].Name
	switch {
	case st.key && value == 1:
		return name + " goes down"
	case st.key:
		return name + " is let go"
	case st.kind == control.EventClock:
		return strings.TrimSpace(name+" ") + [2]string{" ends", " comes"}[value&1]
	case st.kind == control.EventMessage:
		return "message " + name + " arrives"
	}
	return name + " reads " + reading(p.Slots[st.slot].Quantity, value)
}
