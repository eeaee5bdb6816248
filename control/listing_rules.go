package control

import (
	"fmt"
	"strconv"
	"strings"
)

// rule describes a rule.
func (l *lister) rule(i int) {
	r := l.p.Rules[i]
	name := "rule " + strconv.Itoa(i)
	if r.Name >= 0 {
		name += " " + l.text(r.Name)
	}
	if r.Rank != RankNone {
		name += " (" + rank(r.Rank) + ")"
	}
	l.line("  %s", name)
	for k, c := range rows(l.p.Causes, r.Causes) {
		word := "when"
		if k > 0 {
			word = "or when"
		}
		l.line("    %s %s", word, l.cause(c))
	}
	if r.Cond.Count > 0 {
		l.line("    if %s", l.code(r.Cond))
	}
	for _, a := range rows(l.p.Actions, r.Actions) {
		l.line("    then %s", l.action(a))
	}
}

// happenings are the words for the kinds of cause; %s is the slot, list or timer.
var happenings = [...]string{
	CauseStart: "the controller starts", CauseRise: "%s goes on", CauseFall: "%s goes off", CauseChange: "%s changes",
	CauseKnown: "%s becomes known", CauseForgot: "%s becomes unknown", CauseAbove: "%s rises above", CauseBelow: "%s sinks below",
	CausePress: "%s is pressed", CauseRelease: "%s is released", CauseShort: "%s is pressed briefly", CauseLong: "%s is held",
	CauseLetGo: "%s is let go after a hold", CauseDouble: "%s is pressed twice", CauseChord: "%s are pressed together",
	CauseTimerOn: "%s goes on", CauseTimerOff: "%s goes off", CauseExpired: "%s runs out", CauseMoves: "%s begins to move",
	CauseStops: "%s stops",
}

// cause describes a cause.
func (l *lister) cause(c Cause) string {
	if int(c.Kind) >= causeKinds {
		return fmt.Sprintf("(kind %d)", c.Kind)
	}
	words := happenings[c.Kind]
	switch s, _ := at(l.p.Slots, int(c.Slot)); c.Kind {
	case CauseStart:
		return words
	case CauseChord:
		return fmt.Sprintf(words, l.list(c.List))
	case CauseTimerOn, CauseTimerOff, CauseExpired:
		return fmt.Sprintf(words, l.timer(c.Timer))
	case CauseRise, CauseFall:
		return l.rises(c, s, words)
	case CauseAbove, CauseBelow:
		q := s.Quantity
		return fmt.Sprintf(words+" %s (armed again %s away)", l.slot(c.Slot), figure(c.Level, q), figure(c.Band, q))
	}
	return fmt.Sprintf(words, l.slot(c.Slot))
}

// rises says a rise or a fall in the words of the kind of slot.
func (l *lister) rises(c Cause, s Slot, words string) string {
	switch up := c.Kind == CauseRise; {
	case s.Kind == SlotMessage:
		words = "the message %s comes"
	case s.Kind == SlotClock && up:
		words = "%s begins"
	case s.Kind == SlotClock:
		words = "%s ends"
	case s.Kind == SlotLink && up:
		words = "%s is back"
	case s.Kind == SlotLink:
		words = "%s is lost"
	}
	return fmt.Sprintf(words, l.slot(c.Slot))
}

// deeds are the words for the kinds of action; %s is what is driven, then the operand.
var deeds = [...]string{
	ActionSet: "set %s to %s", ActionOn: "switch %s on", ActionOff: "switch %s off", ActionToggle: "toggle %s",
	ActionRaise: "raise %s", ActionLower: "lower %s", ActionStop: "stop %s", ActionSlats: "turn the slats of %s to %s",
	ActionAdd: "add to %s %s", ActionHold: "hold %s at %s", ActionRelease: "release %s",
}

// action describes an action.
func (l *lister) action(a Action) string {
	switch {
	case int(a.Kind) >= actionKinds:
		return fmt.Sprintf("(kind %d)", a.Kind)
	case a.Kind == ActionStartTimer:
		if a.Value.Count > 0 || a.Const > 0 {
			return fmt.Sprintf("start %s for %s ms", l.timer(a.Index), l.operand(a, QuantityCount))
		}
		return "start " + l.timer(a.Index)
	case a.Kind == ActionCancelTimer:
		return "cancel " + l.timer(a.Index)
	case a.Kind == ActionRecall:
		return "recall " + l.sceneName(a.Index)
	case a.Kind == ActionCapture:
		return "capture " + l.sceneName(a.Index)
	case a.Kind == ActionNotify:
		return "tell: " + l.text(a.Index)
	}
	return l.deed(a)
}

// deed describes an action that drives something.
func (l *lister) deed(a Action) string {
	what, q := "", QuantityCount
	switch a.To {
	case TargetSlot:
		what, q = l.slot(a.Index), l.quantityOf(a.Index)
		if s, ok := at(l.p.Slots, int(a.Index)); ok && s.Kind == SlotMirror {
			what += " (at " + l.peer(s.Peer) + ")"
		}
	case TargetList:
		what = l.list(a.Index)
		if r, ok := at(l.p.Lists, int(a.Index)); ok {
			if members := rows(l.p.Members, r); len(members) > 0 {
				q = l.quantityOf(members[0])
			}
		}
	case TargetPeer:
		what = fmt.Sprintf("slot %d of %s", a.Index, l.peer(a.Peer))
	case TargetHold:
		what = l.holdName(a.Index)
		if h, ok := at(l.p.Holds, int(a.Index)); ok {
			q = l.quantityOf(h.Slot)
		}
	}
	words := deeds[a.Kind]
	args := []any{what}
	if strings.Count(words, "%s") == 2 {
		args = append(args, l.operand(a, q))
	}
	s := fmt.Sprintf(words, args...)
	if a.To != TargetHold && (a.Kind == ActionHold || a.Kind == ActionRelease) {
		s += " (" + rank(a.Rank) + ")"
	}
	if a.Time > 0 {
		s += " over " + duration(a.Time)
	}
	return s
}

// operand describes the operand of an action.
func (l *lister) operand(a Action, q Quantity) string {
	switch {
	case a.Value.Count > 0:
		return l.code(a.Value)
	case a.Kind == ActionHold && a.Const == HoldStill:
		return "standstill"
	}
	return figure(a.Const, q)
}

// loads are the words for the instructions that push something.
var loads = map[Op]string{
	OpPosition: "position of %s", OpSlats: "slats of %s", OpMotion: "motion of %s", OpAsked: "what was asked of %s",
	OpHeld: "rank of the hold on %s", OpTimerQ: "%s is on", OpTimerRuns: "%s runs", OpTimerET: "elapsed of %s",
	OpAny: "any of %s", OpAll: "all of %s", OpSum: "number on of %s",
}

// infix are the signs between two values.
var infix = map[Op]string{
	OpEqual: "=", OpDiffers: "≠", OpLess: "<", OpAtMost: "≤", OpMore: ">", OpAtLeast: "≥", OpAnd: "and", OpOr: "or",
	OpElse: "else", OpAdd: "+", OpSub: "-", OpMul: "×", OpDiv: "/", OpMin: "min", OpMax: "max",
}

// phrase is a piece of code in words, with the quantity that a constant beside it is to be read in.
type phrase struct {
	words    string
	quantity Quantity
	constant bool
	value    int32
	compound bool
}

// listedMost bounds the length of a condition in words; sharing makes it grow with its depth only.
const listedMost = 4000

// code describes a piece of stack code.
func (l *lister) code(r Range) string {
	var stack []phrase
	for _, in := range rows(l.p.Code, r) {
		n := in.Op.needs()
		if int(in.Op) >= opCount || len(stack) < n {
			return "(code that does not work out)"
		}
		args := stack[len(stack)-n:]
		next := l.instr(in, args)
		if len(next.words) > listedMost {
			next.words = "(a long condition)"
		}
		stack = append(stack[:len(stack)-n], next)
	}
	if len(stack) != 1 {
		return "(code that does not work out)"
	}
	return l.bare(stack[0], QuantityCount)
}

// instr describes one instruction with its arguments.
func (l *lister) instr(in Instr, args []phrase) phrase {
	slot := int16(max(-1, min(in.Arg, MaxDelay>>16)))
	switch in.Op {
	case OpConst:
		return phrase{constant: true, value: in.Arg}
	case OpSlot:
		return phrase{words: l.slot(slot), quantity: l.quantityOf(slot)}
	case OpPosition, OpSlats, OpAsked:
		return phrase{words: fmt.Sprintf(loads[in.Op], l.slot(slot)), quantity: l.quantityOf(slot)}
	case OpMotion, OpHeld:
		return phrase{words: fmt.Sprintf(loads[in.Op], l.slot(slot)), quantity: QuantityCount}
	case OpTimerQ, OpTimerRuns, OpTimerET:
		return phrase{words: fmt.Sprintf(loads[in.Op], l.timer(slot)), quantity: QuantityCount}
	case OpAny, OpAll, OpSum:
		return phrase{words: fmt.Sprintf(loads[in.Op], l.list(slot)), quantity: QuantityCount}
	case OpNot:
		return phrase{words: "not " + l.inner(args[0]), compound: true}
	case OpKnown:
		return phrase{words: l.inner(args[0]) + " is known", compound: true}
	case OpNeg:
		return phrase{words: "-" + l.inner(args[0]), quantity: args[0].quantity, compound: true}
	case OpPick:
		return phrase{words: fmt.Sprintf("%s if %s, otherwise %s", l.inner(args[1]), l.inner(args[0]), l.inner(args[2])), quantity: args[1].quantity, compound: true}
	}
	return l.between(in.Op, args[0], args[1])
}

// between describes an instruction that stands between two values.
func (l *lister) between(op Op, a, b phrase) phrase {
	q := a.quantity
	if a.constant {
		q = b.quantity
	}
	switch op {
	case OpAnd, OpOr:
		q = QuantityBool
	case OpMul, OpDiv: // of a quantity and a plain number
		q = QuantityCount
	}
	side := func(p phrase) string {
		if p.compound {
			return "(" + l.bare(p, q) + ")"
		}
		return l.bare(p, q)
	}
	words := side(a) + " " + infix[op] + " " + side(b)
	if op == OpMul || op == OpDiv {
		q = a.quantity
	}
	return phrase{words: words, quantity: q, compound: true}
}

// inner describes an argument, in brackets where it is compound.
func (l *lister) inner(p phrase) string {
	if p.compound {
		return "(" + l.bare(p, p.quantity) + ")"
	}
	return l.bare(p, p.quantity)
}

// bare describes a phrase; a constant is read in the quantity of its neighbour.
func (l *lister) bare(p phrase, q Quantity) string {
	if p.constant {
		return figure(p.value, q)
	}
	return p.words
}
