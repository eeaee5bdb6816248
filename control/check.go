package control

import (
	"errors"
	"fmt"
)

// mistakesMost bounds how many mistakes Check tells at once.
const mistakesMost = 50

// checker gathers the mistakes of a program.
type checker struct {
	p        *Program
	mistakes []error
	used     [4]int64 // rows that ranges name in all: causes, instructions, actions, items of scenes
	reach    int64    // slots that lists reach in all, each use of a list counted
}

// say notes a mistake.
func (c *checker) say(format string, args ...any) {
	if len(c.mistakes) < mistakesMost {
		c.mistakes = append(c.mistakes, fmt.Errorf("control: "+format, args...))
	}
}

// Check reports every mistake that would make stepping the program unsafe: indices out of range, sizes beyond the bounds,
// code whose stack does not work out, motors without travel times. It also prepares the tables that Step uses, so it
// must be called once by whoever builds a Program, after which the Program must not be changed; Decode calls it. Without
// it Step answers FaultRange to everything.
func (p *Program) Check() error {
	p.ix = nil
	c := &checker{p: p}
	c.sizes()
	if len(c.mistakes) == 0 {
		c.texts()
		c.slots()
		c.schedules()
		c.lists()
		c.timers()
		c.gestures()
		c.scenes()
		c.holds()
		c.regulators()
		c.rules()
	}
	if len(c.mistakes) > 0 {
		return errors.Join(c.mistakes...)
	}
	p.ix = newIndex(p)
	return nil
}

// sizes checks the tables against the bounds.
func (c *checker) sizes() {
	p := c.p
	for _, t := range []struct {
		name      string
		len, most int
	}{
		{"slots", len(p.Slots), MaxSlots}, {"peers", len(p.Peers), MaxPeers}, {"schedules", len(p.Schedules), MaxSchedules},
		{"texts", len(p.Texts), MaxTexts}, {"rules", len(p.Rules), MaxRules}, {"causes", len(p.Causes), MaxCauses},
		{"instructions", len(p.Code), MaxCode}, {"actions", len(p.Actions), MaxActions}, {"lists", len(p.Lists), MaxLists},
		{"members of lists", len(p.Members), MaxMembers}, {"timers", len(p.Timers), MaxTimers},
		{"gestures", len(p.Gestures), MaxSlots}, {"scenes", len(p.Scenes), MaxScenes},
		{"items of scenes", len(p.SceneItems), MaxSceneItems}, {"holds", len(p.Holds), MaxHolds},
		{"regulators", len(p.Regulators), MaxRegulators},
	} {
		if t.len > t.most {
			c.say("%d %s, but a program has room for %d", t.len, t.name, t.most)
		}
	}
}

// texts checks the lengths of everything that is text.
func (c *checker) texts() {
	check := func(what string, i int, s string) {
		if len(s) > MaxTextBytes {
			c.say("%s %d is %d bytes long, at most %d are allowed", what, i, len(s), MaxTextBytes)
		}
	}
	check("controller", 0, c.p.Controller)
	for i, s := range c.p.Texts {
		check("text", i, s)
	}
	for i, s := range c.p.Peers {
		check("peer", i, s)
	}
	for i, s := range c.p.Slots {
		check("name of slot", i, s.Name)
		check("module of slot", i, s.Module)
		check("channel of slot", i, s.Channel)
	}
}

// slots checks every slot by its kind.
func (c *checker) slots() {
	for i, s := range c.p.Slots {
		if s.Kind > SlotVar {
			c.say("slot %d (%s): kind %d does not exist", i, s.Name, s.Kind)
			continue
		}
		if s.Quantity > QuantityCount {
			c.say("slot %d (%s): quantity %d does not exist", i, s.Name, s.Quantity)
		}
		if int(s.Peer) >= len(c.p.Peers) || s.Peer < -1 {
			c.say("slot %d (%s): peer %d does not exist", i, s.Name, s.Peer)
		}
		if s.Kind == SlotMirror && (s.Peer < 0 || s.Remote < 0) {
			c.say("slot %d (%s): a mirror needs a peer and a slot of it", i, s.Name)
		}
		if s.Kind == SlotClock && (int(s.Schedule) >= len(c.p.Schedules) || s.Schedule < -1) {
			c.say("slot %d (%s): schedule %d does not exist", i, s.Name, s.Schedule)
		}
		if s.Kind.Output() && s.Start != Unknown && !inRange(s.Kind, s.Start) {
			c.say("slot %d (%s): start value %d is out of range", i, s.Name, s.Start)
		}
		if s.Kind == SlotMotor {
			c.motor(i, s)
		}
		if s.Kind == SlotLevel && (s.Least < 0 || s.Least > 1000) {
			c.say("slot %d (%s): least level %d is not within 0 and 1000", i, s.Name, s.Least)
		}
	}
}

// motor checks the times of a motor.
func (c *checker) motor(i int, s Slot) {
	if s.Up < MotorTravelLeast || s.Up > MotorTravelMost || s.Down < MotorTravelLeast || s.Down > MotorTravelMost {
		c.say("slot %d (%s): travel times %d ms up and %d ms down must be within %d and %d",
			i, s.Name, s.Up, s.Down, MotorTravelLeast, MotorTravelMost)
	}
	if s.Slats < 0 || s.Slats > MotorSlatsMost {
		c.say("slot %d (%s): time of the slats %d ms must be within 0 and %d", i, s.Name, s.Slats, MotorSlatsMost)
	}
	if s.Pause < MotorPauseLeast || s.Pause > MotorPauseMost {
		c.say("slot %d (%s): pause before a reversal %d ms must be within %d and %d", i, s.Name, s.Pause, MotorPauseLeast, MotorPauseMost)
	}
}

// inRange tells whether an output of the kind can have the value.
func inRange(k SlotKind, v int32) bool {
	if k == SlotSwitch {
		return v == 0 || v == 1
	}
	return v >= 0 && v <= 1000
}

// schedules checks the calendar entries as far as the control core cares: enumerations.
func (c *checker) schedules() {
	for i, s := range c.p.Schedules {
		if s.From.Kind > AnchorSunBelow || s.To.Kind > AnchorSunBelow {
			c.say("schedule %d: kind of anchor does not exist", i)
		}
	}
}

// lists checks that lists lie in Members and members are slots.
func (c *checker) lists() {
	for i, r := range c.p.Lists {
		c.within(fmt.Sprintf("list %d", i), r, len(c.p.Members))
	}
	for i, m := range c.p.Members {
		c.index(fmt.Sprintf("member %d", i), "slot", int(m), len(c.p.Slots))
	}
}

// share counts how many rows of a table the ranges name in all. Ranges may share rows, but not so often that a small
// program becomes a huge amount of work.
func (c *checker) share(table int, what string, n int32, most int64) bool {
	c.used[table] += int64(n)
	if c.used[table] > most {
		c.say("%s: rows are shared too often (%d uses, at most %d)", what, c.used[table], most)
		return false
	}
	return true
}

// follow counts the slots that a use of a list reaches, and tells whether the list may be followed.
func (c *checker) follow(what string, list int16) bool {
	if !c.soundList(list) {
		return false
	}
	c.reach += int64(c.p.Lists[list].Count)
	if c.reach > MaxReach {
		c.say("%s: lists reach more than %d slots in all", what, MaxReach)
		return false
	}
	return true
}

// within checks a range against the length of its table.
func (c *checker) within(what string, r Range, n int) bool {
	if r.First < 0 || r.Count < 0 || int64(r.First)+int64(r.Count) > int64(n) {
		c.say("%s: rows %d to %d do not exist (the table has %d)", what, r.First, int64(r.First)+int64(r.Count)-1, n)
		return false
	}
	return true
}

// index checks one index.
func (c *checker) index(what, of string, i, n int) bool {
	if i < 0 || i >= n {
		c.say("%s: %s %d does not exist (there are %d)", what, of, i, n)
		return false
	}
	return true
}

// name checks an index into the texts that may be -1.
func (c *checker) name(what string, i int16) {
	if i != -1 {
		c.index(what, "text", int(i), len(c.p.Texts))
	}
}

// slotOr checks an index of a slot that may be -1.
func (c *checker) slotOr(what string, i int16) {
	if i != -1 {
		c.index(what, "slot", int(i), len(c.p.Slots))
	}
}

// timers checks the timers.
func (c *checker) timers() {
	for i, t := range c.p.Timers {
		what := fmt.Sprintf("timer %d", i)
		if int(t.Kind) >= timerKinds {
			c.say("%s: kind %d does not exist", what, t.Kind)
		}
		if t.Time < 0 {
			c.say("%s: a time of %d ms is not possible", what, t.Time)
		}
		c.name(what, t.Name)
		c.slotOr(what, t.In)
	}
}

// gestures checks that each belongs to one key.
func (c *checker) gestures() {
	seen := make([]bool, len(c.p.Slots))
	for i, g := range c.p.Gestures {
		what := fmt.Sprintf("gesture %d", i)
		if !c.index(what, "slot", int(g.Slot), len(c.p.Slots)) {
			continue
		}
		if c.p.Slots[g.Slot].Kind != SlotKey {
			c.say("%s: slot %d (%s) is not a key", what, g.Slot, c.p.Slots[g.Slot].Name)
		}
		if seen[g.Slot] {
			c.say("%s: key %s has a gesture already", what, c.p.Slots[g.Slot].Name)
		}
		seen[g.Slot] = true
		if g.Debounce < 0 || g.Long < 0 || g.Gap < 0 {
			c.say("%s: times below 0 are not possible", what)
		}
	}
}

// scenes checks scenes and their items.
func (c *checker) scenes() {
	for i, s := range c.p.Scenes {
		what := fmt.Sprintf("scene %d", i)
		c.name(what, s.Name)
		if c.within(what, s.Items, len(c.p.SceneItems)) {
			c.share(3, what, s.Items.Count, MaxSceneItems)
		}
	}
	for i, item := range c.p.SceneItems {
		what := fmt.Sprintf("scene item %d", i)
		if !c.index(what, "slot", int(item.Slot), len(c.p.Slots)) {
			continue
		}
		kind := ActionSet
		if item.Slats {
			kind = ActionSlats
		}
		c.drivable(what, kind, item.Slot)
		if item.Time < 0 {
			c.say("%s: a fade of %d ms is not possible", what, item.Time)
		}
	}
}

// holds checks the holds.
func (c *checker) holds() {
	for i, h := range c.p.Holds {
		what := fmt.Sprintf("hold %d", i)
		c.name(what, h.Name)
		if h.Rank < RankAutomatic || h.Rank >= RankCount {
			c.say("%s: rank %d cannot hold", what, h.Rank)
		}
		if h.Peer < -1 || int(h.Peer) >= len(c.p.Peers) {
			c.say("%s: peer %d does not exist", what, h.Peer)
		}
		if c.index(what, "slot", int(h.Slot), len(c.p.Slots)) && !c.p.Slots[h.Slot].Kind.Output() {
			c.say("%s: slot %d (%s) is not a local output", what, h.Slot, c.p.Slots[h.Slot].Name)
		}
	}
}
