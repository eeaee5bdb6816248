package prove

import (
	"slices"

	"wirewright/control"
)

// reducer makes a program of the rules and actions of another one that can influence some names, and drops the rest. It
// drops no cause and no condition of what it keeps, so the kept slots behave as in the whole program; what is lost are
// faults that only dropped writes can cause, and those belong to the questions about their own points.
type reducer struct {
	p      *control.Program
	names  map[string]bool
	slotOf func(peer, slot int16) string // name of a slot of a peer
	rules  []bool
	timers []bool
	out    control.Program
}

// reduce returns the reduced program; it has the same slots, so numbers of slots hold in both.
func reduce(p *control.Program, names map[string]bool, slotOf func(peer, slot int16) string) (*control.Program, error) {
	r := &reducer{p: p, names: names, slotOf: slotOf, rules: make([]bool, len(p.Rules)), timers: make([]bool, len(p.Timers))}
	r.choose()
	r.out = *p
	r.out.Rules, r.out.Actions = nil, nil
	r.out.Lists, r.out.Members = slices.Clone(p.Lists), slices.Clone(p.Members)
	r.out.Scenes, r.out.SceneItems = slices.Clone(p.Scenes), slices.Clone(p.SceneItems)
	r.out.Regulators = slices.DeleteFunc(slices.Clone(p.Regulators), func(g control.Regulator) bool { return !names[p.Slots[g.Output].Name] })
	for i, keep := range r.rules {
		if keep {
			r.copyRule(&p.Rules[i])
		}
	}
	for i := range r.out.Regulators {
		r.out.Regulators[i].Rule = -1
	}
	return &r.out, r.out.Check()
}

// choose marks the rules that write a name, and those that start a timer that a marked rule waits for, and so on.
func (r *reducer) choose() {
	for grown := true; grown; {
		grown = false
		for i := range r.p.Rules {
			rule := &r.p.Rules[i]
			if r.rules[i] || !slices.ContainsFunc(r.actions(rule), func(a control.Action) bool { return r.matters(&a) }) {
				continue
			}
			r.rules[i], grown = true, true
			r.waits(rule)
		}
	}
}

func (r *reducer) actions(rule *control.Rule) []control.Action {
	return r.p.Actions[rule.Actions.First : rule.Actions.First+rule.Actions.Count]
}

// waits marks the timers that a rule looks at, in its causes, its condition and its operands.
func (r *reducer) waits(rule *control.Rule) {
	for _, c := range r.p.Causes[rule.Causes.First : rule.Causes.First+rule.Causes.Count] {
		if c.Kind == control.CauseTimerOn || c.Kind == control.CauseTimerOff || c.Kind == control.CauseExpired {
			r.timers[c.Timer] = true
		}
	}
	codes := []control.Range{rule.Cond}
	for _, a := range r.actions(rule) {
		codes = append(codes, a.Value)
	}
	for _, c := range codes {
		for _, i := range r.p.Code[c.First : c.First+c.Count] {
			if i.Arg >= 0 && int(i.Arg) < len(r.timers) && readsTimer(i.Op) {
				r.timers[i.Arg] = true
			}
		}
	}
}

// matters tells whether an action writes a name, or drives a timer that matters.
func (r *reducer) matters(a *control.Action) bool {
	switch a.Kind {
	case control.ActionNotify:
		return false
	case control.ActionStartTimer, control.ActionCancelTimer:
		return r.timers[a.Index]
	case control.ActionRecall, control.ActionCapture:
		s := r.p.Scenes[a.Index].Items
		return slices.ContainsFunc(r.p.SceneItems[s.First:s.First+s.Count], func(i control.SceneItem) bool { return r.named(i.Slot) })
	}
	switch a.To {
	case control.TargetList:
		return slices.ContainsFunc(r.members(a.Index), r.named)
	case control.TargetPeer:
		return r.names[r.slotOf(a.Peer, a.Index)]
	case control.TargetHold:
		return r.named(r.p.Holds[a.Index].Slot)
	}
	return r.named(a.Index)
}

func (r *reducer) named(slot int16) bool { return r.names[r.p.Slots[slot].Name] }

func (r *reducer) members(list int16) []int16 {
	l := r.p.Lists[list]
	return r.p.Members[l.First : l.First+l.Count]
}

// copyRule copies a rule with the actions that matter; lists and scenes are cut down to the names, save where a toggle
// looks at the whole list.
func (r *reducer) copyRule(rule *control.Rule) {
	kept := *rule
	kept.Actions.First = int32(len(r.out.Actions))
	for _, a := range r.actions(rule) {
		if !r.matters(&a) {
			continue
		}
		switch {
		case a.To == control.TargetList && a.Kind != control.ActionToggle && a.Kind <= control.ActionRelease:
			a.Index = r.cutList(a.Index)
		case a.Kind == control.ActionRecall && !r.p.Scenes[a.Index].Stored:
			a.Index = r.cutScene(a.Index)
		}
		r.out.Actions = append(r.out.Actions, a)
	}
	kept.Actions.Count = int32(len(r.out.Actions)) - kept.Actions.First
	r.out.Rules = append(r.out.Rules, kept)
}

func (r *reducer) cutList(list int16) int16 {
	first := int32(len(r.out.Members))
	for _, m := range r.members(list) {
		if r.named(m) {
			r.out.Members = append(r.out.Members, m)
		}
	}
	r.out.Lists = append(r.out.Lists, control.Range{First: first, Count: int32(len(r.out.Members)) - first})
	return int16(len(r.out.Lists) - 1)
}

func (r *reducer) cutScene(scene int16) int16 {
	s := r.p.Scenes[scene]
	first := int32(len(r.out.SceneItems))
	for _, i := range r.p.SceneItems[s.Items.First : s.Items.First+s.Items.Count] {
		if r.named(i.Slot) {
			r.out.SceneItems = append(r.out.SceneItems, i)
		}
	}
	s.Items = control.Range{First: first, Count: int32(len(r.out.SceneItems)) - first}
	r.out.Scenes = append(r.out.Scenes, s)
	return int16(len(r.out.Scenes) - 1)
}
