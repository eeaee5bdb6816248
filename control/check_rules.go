package control

import "fmt"

// rules checks every rule with its causes, condition and actions.
func (c *checker) rules() {
	for i, r := range c.p.Rules {
		what := fmt.Sprintf("rule %d", i)
		if r.Name >= 0 && int(r.Name) < len(c.p.Texts) {
			what = fmt.Sprintf("rule %d (%s)", i, c.p.Texts[r.Name])
		}
		c.name(what, r.Name)
		if r.Rank >= RankCount {
			c.say("%s: rank %d does not exist", what, r.Rank)
		}
		if c.within(what+", causes", r.Causes, len(c.p.Causes)) && c.share(0, what, r.Causes.Count, MaxCauses) {
			for _, cause := range c.p.Causes[r.Causes.First : r.Causes.First+r.Causes.Count] {
				c.cause(what+", cause", cause)
			}
		}
		c.code(what+", condition", r.Cond)
		if c.within(what+", actions", r.Actions, len(c.p.Actions)) && c.share(2, what, r.Actions.Count, MaxActions) {
			for _, a := range c.p.Actions[r.Actions.First : r.Actions.First+r.Actions.Count] {
				c.action(what+", action", a)
			}
		}
	}
}

// cause checks one cause.
func (c *checker) cause(what string, a Cause) {
	switch k := a.Kind; {
	case int(k) >= causeKinds:
		c.say("%s: kind %d does not exist", what, k)
	case k == CauseStart:
	case k == CauseTimerOn, k == CauseTimerOff, k == CauseExpired:
		c.index(what, "timer", int(a.Timer), len(c.p.Timers))
	case k == CauseChord:
		c.chord(what, a.List)
	case c.index(what, "slot", int(a.Slot), len(c.p.Slots)):
		kind := c.p.Slots[a.Slot].Kind
		if k >= CausePress && k <= CauseDouble && kind != SlotKey {
			c.say("%s: slot %d (%s) is not a key", what, a.Slot, c.p.Slots[a.Slot].Name)
		}
		if k >= CauseShort && k <= CauseDouble && kind == SlotKey {
			c.recognised(what, k, a.Slot)
		}
		if (k == CauseMoves || k == CauseStops) && kind != SlotMotor {
			c.say("%s: slot %d (%s) is not a motor", what, a.Slot, c.p.Slots[a.Slot].Name)
		}
		if (k == CauseAbove || k == CauseBelow) && a.Band < 0 {
			c.say("%s: hysteresis %d is below 0", what, a.Band)
		}
	}
}

// recognised checks that a key has the gesture that a cause waits for; without it the rule could never fire.
func (c *checker) recognised(what string, k CauseKind, slot int16) {
	for _, g := range c.p.Gestures {
		if g.Slot == slot && (k == CauseShort || k == CauseDouble && g.Gap > 0 || k <= CauseLetGo && g.Long > 0) {
			return
		}
	}
	c.say("%s: key %s has no gesture that recognises this", what, c.p.Slots[slot].Name)
}

// chord checks that a list is two keys or more.
func (c *checker) chord(what string, list int16) {
	if !c.index(what, "list", int(list), len(c.p.Lists)) {
		return
	}
	if !c.follow(what, list) {
		return
	}
	members := c.p.list(list)
	if len(members) < 2 {
		c.say("%s: a chord needs two keys or more", what)
	}
	for _, m := range members {
		if c.p.Slots[m].Kind != SlotKey {
			c.say("%s: slot %d (%s) is not a key", what, m, c.p.Slots[m].Name)
		}
	}
}

// soundList tells whether a list can be followed at all; what is wrong with it has been said by lists.
func (c *checker) soundList(list int16) bool {
	r := c.p.Lists[list]
	if r.First < 0 || r.Count < 0 || int64(r.First)+int64(r.Count) > int64(len(c.p.Members)) {
		return false
	}
	for _, m := range c.p.list(list) {
		if m < 0 || int(m) >= len(c.p.Slots) {
			return false
		}
	}
	return true
}

// action checks one action.
func (c *checker) action(what string, a Action) {
	c.code(what+", operand", a.Value)
	if a.Time < 0 || a.Expiry < 0 {
		c.say("%s: times below 0 are not possible", what)
	}
	switch k := a.Kind; {
	case int(k) >= actionKinds:
		c.say("%s: kind %d does not exist", what, k)
	case k <= ActionRelease:
		c.target(what, a)
	case k == ActionStartTimer || k == ActionCancelTimer:
		if c.index(what, "timer", int(a.Index), len(c.p.Timers)) && c.p.Timers[a.Index].In >= 0 {
			c.say("%s: timer %d is driven by a slot", what, a.Index)
		}
	case k == ActionNotify:
		c.index(what, "text", int(a.Index), len(c.p.Texts))
	default:
		if c.index(what, "scene", int(a.Index), len(c.p.Scenes)) && k == ActionCapture && !c.p.Scenes[a.Index].Stored {
			c.say("%s: scene %d is not a stored one", what, a.Index)
		}
	}
}

// target checks what an action drives.
func (c *checker) target(what string, a Action) {
	holding := a.Kind == ActionHold || a.Kind == ActionRelease
	if holding && a.To != TargetHold && (a.Rank < RankAutomatic || a.Rank >= RankCount) {
		c.say("%s: rank %d cannot hold", what, a.Rank)
	}
	switch a.To {
	case TargetSlot:
		if c.index(what, "slot", int(a.Index), len(c.p.Slots)) {
			c.drive(what, a, a.Index)
		}
	case TargetList:
		if !c.index(what, "list", int(a.Index), len(c.p.Lists)) || !c.follow(what, a.Index) {
			return
		}
		for _, m := range c.p.list(a.Index) {
			c.drive(what, a, m)
		}
	case TargetPeer:
		c.index(what, "peer", int(a.Peer), len(c.p.Peers))
		if a.Index < 0 {
			c.say("%s: slot %d of a peer does not exist", what, a.Index)
		}
		if a.Kind == ActionAdd {
			c.say("%s: adding is for local variables only", what)
		}
	case TargetHold:
		if !holding {
			c.say("%s: only holds and releases name a hold", what)
		}
		c.index(what, "hold", int(a.Index), len(c.p.Holds))
	default:
		c.say("%s: target %d does not exist", what, a.To)
	}
}

// drive checks that an action fits the slot, and that a hold by slot has its row.
func (c *checker) drive(what string, a Action, slot int16) {
	c.drivable(what, a.Kind, slot)
	if a.Kind != ActionHold && a.Kind != ActionRelease || c.p.Slots[slot].Kind == SlotMirror {
		return
	}
	for _, h := range c.p.Holds {
		if h.Slot == slot && h.Rank == a.Rank && h.Peer == -1 {
			return
		}
	}
	c.say("%s: slot %d (%s) has no hold of rank %d", what, slot, c.p.Slots[slot].Name, a.Rank)
}

// drivable checks that a slot of this kind understands the action.
func (c *checker) drivable(what string, k ActionKind, slot int16) {
	s := c.p.Slots[slot]
	if !fits(k, s) {
		c.say("%s: slot %d (%s) cannot be driven so", what, slot, s.Name)
	}
}

// fits tells whether a slot understands an action; of a mirror its owner decides.
func fits(k ActionKind, s Slot) bool {
	switch s.Kind {
	case SlotMirror:
		return k != ActionAdd
	case SlotSwitch:
		return k <= ActionToggle || k == ActionHold || k == ActionRelease
	case SlotLevel:
		return k <= ActionStop || k == ActionHold || k == ActionRelease
	case SlotMotor:
		if k == ActionSlats {
			return s.Slats > 0
		}
		return k == ActionSet || k == ActionRaise || k == ActionLower || k == ActionStop || k == ActionHold || k == ActionRelease
	case SlotVar:
		return k <= ActionToggle || k == ActionAdd
	}
	return false
}

// code checks a piece of stack code: instructions and arguments exist, the stack never runs dry or over, and one value
// is left. An empty piece is fine.
func (c *checker) code(what string, r Range) {
	if !c.within(what, r, len(c.p.Code)) || r.Count == 0 || !c.share(1, what, r.Count, MaxCode) {
		return
	}
	depth := 0
	for i, in := range c.p.Code[r.First : r.First+r.Count] {
		at := fmt.Sprintf("%s, instruction %d", what, i)
		if int(in.Op) >= opCount {
			c.say("%s: code %d does not exist", at, in.Op)
			return
		}
		c.argument(at, in)
		needs := in.Op.needs()
		if depth < needs {
			c.say("%s: %d values are needed, %d are on the stack", at, needs, depth)
			return
		}
		depth += 1 - needs
		if depth > MaxStack {
			c.say("%s: more than %d values are on the stack", at, MaxStack)
			return
		}
	}
	if depth != 1 {
		c.say("%s: %d values are left on the stack, there must be one", what, depth)
	}
}

// needs is how many values an instruction takes from the stack; each puts one back.
func (o Op) needs() int {
	switch {
	case o <= OpSum:
		return 0
	case o == OpNot, o == OpKnown, o == OpNeg:
		return 1
	case o == OpPick:
		return 3
	}
	return 2
}

// argument checks the argument of an instruction.
func (c *checker) argument(at string, in Instr) {
	i := int(in.Arg)
	switch in.Op {
	case OpSlot:
		c.index(at, "slot", i, len(c.p.Slots))
	case OpPosition, OpSlats, OpMotion:
		if c.index(at, "slot", i, len(c.p.Slots)) && c.p.Slots[i].Kind != SlotMotor {
			c.say("%s: slot %d (%s) is not a local motor", at, i, c.p.Slots[i].Name)
		}
	case OpAsked, OpHeld:
		if c.index(at, "slot", i, len(c.p.Slots)) && !c.p.Slots[i].Kind.Output() {
			c.say("%s: slot %d (%s) is not a local output", at, i, c.p.Slots[i].Name)
		}
	case OpTimerQ, OpTimerRuns, OpTimerET:
		c.index(at, "timer", i, len(c.p.Timers))
	case OpAny, OpAll, OpSum:
		if c.index(at, "list", i, len(c.p.Lists)) {
			c.follow(at, int16(i))
		}
	}
}

// regulators checks the regulators.
func (c *checker) regulators() {
	for i, r := range c.p.Regulators {
		what := fmt.Sprintf("regulator %d", i)
		c.name(what, r.Name)
		if r.Rule != -1 {
			c.index(what, "rule", int(r.Rule), len(c.p.Rules))
		}
		c.index(what, "slot", int(r.Sensor), len(c.p.Slots))
		c.index(what, "slot", int(r.SetPoint), len(c.p.Slots))
		c.slotOr(what, r.Enable)
		c.slotOr(what, r.Window)
		if c.index(what, "slot", int(r.Output), len(c.p.Slots)) {
			k := c.p.Slots[r.Output].Kind
			if k != SlotSwitch && !(k == SlotLevel && r.Kind == RegulatorProportional) {
				c.say("%s: slot %d (%s) cannot be regulated", what, r.Output, c.p.Slots[r.Output].Name)
			}
		}
		c.law(what, r)
	}
}

// law checks the figures of a regulator.
func (c *checker) law(what string, r Regulator) {
	if r.SetBack < 0 || r.Reset < 0 || r.Sample < 0 || r.Shortest < 0 || r.Period < 0 {
		c.say("%s: figures below 0 are not possible", what)
	}
	if r.Sample > 86_400_000 {
		c.say("%s: a step of more than a day between samples is not possible", what)
	}
	if r.Blind < 0 || r.Blind > 1000 {
		c.say("%s: %d thousandths while the sensor is unknown are not possible", what, r.Blind)
	}
	if r.Blind > 0 && r.Period < 1 {
		c.say("%s: pulses while the sensor is unknown need a period", what)
	}
	switch r.Kind {
	case RegulatorTwoPoint:
		if r.Half < 1 {
			c.say("%s: half of the hysteresis must be 1 or more", what)
		}
	case RegulatorProportional:
		if r.Band < 1 || r.Period < 1 {
			c.say("%s: the band and the period must be 1 or more", what)
		}
		if r.Shortest > r.Period/2 {
			c.say("%s: the shortest on-time %d ms is more than half of the period", what, r.Shortest)
		}
	default:
		c.say("%s: kind %d does not exist", what, r.Kind)
	}
}
