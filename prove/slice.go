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
	used     []map[int16]bool // by program: slots that what is left of it looks at
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
}

// cut finds what has a say in a point: the rules that write it, what they look at, the rules that write that, and so on,
// until nothing more is added. Each program is reduced to that.
func cut(c *behaviour.Compiled, point string) (*slice, bool) {
	controller, slot, ok := c.Place(point)
	if !ok || c.Program(controller) == nil {
		return nil, false
	}
	names := map[string]bool{point: true}
	for {
		programs, looked := reduceAll(c, names)
		grown := false
		for n := range looked {
			grown = grown || !names[n]
			names[n] = true
		}
		if grown {
			continue
		}
		s := &slice{point: point, slot: slot}
		for _, p := range programs {
			if len(p.Rules) == 0 && len(p.Regulators) == 0 && !owns(c, p, names) {
				continue
			}
			if p.Controller == controller {
				s.owner = len(s.programs)
			}
			s.programs = append(s.programs, p)
			s.used = append(s.used, uses(p))
		}
		s.stimulate()
		return s, true
	}
}

// reduceAll reduces every program to some names, and lists the names of all slots that what is left looks at.
func reduceAll(c *behaviour.Compiled, names map[string]bool) ([]*control.Program, map[string]bool) {
	looked := map[string]bool{}
	var list []*control.Program
	for _, p := range c.Programs {
		r, err := reduce(p, names, func(peer, slot int16) string {
			if q := c.Program(p.Peers[peer]); q != nil && int(slot) < len(q.Slots) {
				return q.Slots[slot].Name
			}
			return ""
		})
		if err != nil { // a reduced program is made of rows of a sound one
			panic("invariant: a reduced program is not sound: " + err.Error())
		}
		for slot := range uses(r) {
			looked[r.Slots[slot].Name] = true
		}
		list = append(list, r)
	}
	return list, looked
}

// owns tells whether a program is the owner of one of the names.
func owns(c *behaviour.Compiled, p *control.Program, names map[string]bool) bool {
	for n := range names {
		if k, _, ok := c.Place(n); ok && k == p.Controller {
			return true
		}
	}
	return false
}

// stimulate lists what the world may do: every input, key, clock entry and message that any program of the slice looks
// at, at its own controller or through a mirror.
func (s *slice) stimulate() {
	looked := map[string]bool{}
	for i, p := range s.programs {
		for slot := range s.used[i] {
			looked[p.Slots[slot].Name] = true
		}
	}
	for i, p := range s.programs {
		for k := range p.Slots {
			slot := &p.Slots[k]
			st := stimulus{program: i, slot: int16(k), values: []int32{0, 1}}
			here := s.used[i][int16(k)] || looked[slot.Name]
			switch slot.Kind {
			case control.SlotKey:
				st.kind, st.key = control.EventInput, true
			case control.SlotInput:
				st.kind = control.EventInput
				if slot.Quantity != control.QuantityBool {
					st.values = s.levels(slot.Name)
				}
			case control.SlotClock:
				st.kind, here = control.EventClock, s.used[i][int16(k)]
			case control.SlotMessage:
				st.kind, st.values, here = control.EventMessage, []int32{1}, s.used[i][int16(k)]
			case control.SlotMotor:
				s.reads = s.reads || (looked[slot.Name] && slot.Name != s.point)
				continue
			default:
				continue
			}
			if here {
				s.hand = s.hand || st.key
				s.stimuli = append(s.stimuli, st)
			}
		}
	}
}

// levels are the values that matter of a measured quantity: on either side of every threshold of the causes that look at
// it, in whatever program, and of every constant beside it in a condition.
func (s *slice) levels(name string) []int32 {
	list := []int32{0}
	for _, p := range s.programs {
		for _, r := range p.Rules {
			for _, c := range p.Causes[r.Causes.First : r.Causes.First+r.Causes.Count] {
				if (c.Kind == control.CauseAbove || c.Kind == control.CauseBelow) && p.Slots[c.Slot].Name == name {
					list = append(list, c.Level-c.Band-1, c.Level, c.Level+c.Band+1)
				}
			}
			code := p.Code[r.Cond.First : r.Cond.First+r.Cond.Count]
			if slices.ContainsFunc(code, func(i control.Instr) bool { return readsSlot(i.Op) && p.Slots[i.Arg].Name == name }) {
				for _, i := range code {
					if i.Op == control.OpConst {
						list = append(list, i.Arg-1, i.Arg, i.Arg+1)
					}
				}
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
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
