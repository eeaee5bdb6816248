package control

import "math"

// holdsTrue evaluates a condition: empty is true, unknown is not.
func (r *run) holdsTrue(code Range) bool {
	if code.Count == 0 {
		return true
	}
	v := r.eval(code)
	return v != Unknown && v != 0
}

// eval runs a piece of stack code on the present snapshot. Check has made sure that the stack works out.
func (r *run) eval(code Range) int32 {
	var stack [MaxStack + 1]int32 // row 0 stays unused: top counts the values
	top := 0
	for _, in := range r.p.Code[code.First : code.First+code.Count] {
		if in.Op <= OpSum {
			top++
			stack[top] = r.load(in)
			continue
		}
		b := stack[top]
		switch in.Op {
		case OpNot:
			stack[top] = not(b)
		case OpKnown:
			stack[top] = truth(b != Unknown)
		case OpNeg:
			stack[top] = arithmetic(OpSub, 0, b)
		case OpPick:
			top -= 2
			stack[top] = pick(stack[top], stack[top+1], b)
		default:
			top--
			stack[top] = combine(in.Op, stack[top], b)
		}
	}
	return stack[1]
}

// load is what the instructions push that take nothing from the stack.
func (r *run) load(in Instr) int32 {
	switch in.Op {
	case OpSlot:
		return r.s[slotBase+int(in.Arg)]
	case OpPosition:
		pos, _ := r.estimate(int16(in.Arg))
		return thousandths(pos)
	case OpSlats:
		_, slat := r.estimate(int16(in.Arg))
		return thousandths(slat)
	case OpMotion:
		return r.motorWords(int16(in.Arg))[motorDir]
	case OpAsked:
		return r.asked(int16(in.Arg))
	case OpHeld:
		return r.heldRank(int16(in.Arg))
	case OpTimerQ:
		return truth(r.timerQ(int16(in.Arg)))
	case OpTimerRuns:
		return truth(r.s[r.ix.lay.timer+int(in.Arg)] != 0)
	case OpTimerET:
		return r.timerET(int16(in.Arg))
	case OpAny:
		return r.anyOn(int16(in.Arg))
	case OpAll:
		return r.allOn(int16(in.Arg))
	case OpSum:
		return r.countOn(int16(in.Arg))
	}
	return in.Arg
}

// combine is what the instructions do that take two values.
func combine(op Op, a, b int32) int32 {
	switch op {
	case OpAnd:
		return and(a, b)
	case OpOr:
		return or(a, b)
	case OpElse:
		if a == Unknown {
			return b
		}
		return a
	}
	if a == Unknown || b == Unknown {
		return Unknown
	}
	switch op {
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
	case OpMin:
		return min(a, b)
	case OpMax:
		return max(a, b)
	}
	return arithmetic(op, a, b)
}

// arithmetic saturates at the largest and the smallest number that is not Unknown.
func arithmetic(op Op, a, b int32) int32 {
	if a == Unknown || b == Unknown {
		return Unknown
	}
	var v int64
	switch op {
	case OpAdd:
		v = int64(a) + int64(b)
	case OpSub:
		v = int64(a) - int64(b)
	case OpMul:
		v = int64(a) * int64(b)
	case OpDiv:
		if b == 0 {
			return Unknown
		}
		v = int64(a) / int64(b)
	}
	return int32(max(-math.MaxInt32, min(v, math.MaxInt32)))
}

// truth is 1 for true and 0 for false.
func truth(b bool) int32 {
	if b {
		return 1
	}
	return 0
}

// not is the three-valued opposite.
func not(a int32) int32 {
	if a == Unknown {
		return Unknown
	}
	return truth(a == 0)
}

// and is false if either is false, else unknown if either is unknown.
func and(a, b int32) int32 {
	switch {
	case a == 0 || b == 0:
		return 0
	case a == Unknown || b == Unknown:
		return Unknown
	}
	return 1
}

// or is true if either is true, else unknown if either is unknown.
func or(a, b int32) int32 {
	switch {
	case a != 0 && a != Unknown || b != 0 && b != Unknown:
		return 1
	case a == Unknown || b == Unknown:
		return Unknown
	}
	return 0
}

// pick is a or b as c says.
func pick(c, a, b int32) int32 {
	switch c {
	case Unknown:
		return Unknown
	case 0:
		return b
	}
	return a
}

// anyOn is the three-valued "or" over a list.
func (r *run) anyOn(list int16) int32 {
	v := int32(0)
	for _, m := range r.p.list(list) {
		switch r.value(m) {
		case 0:
		case Unknown:
			v = Unknown
		default:
			return 1
		}
	}
	return v
}

// allOn is the three-valued "and" over a list.
func (r *run) allOn(list int16) int32 {
	v := int32(1)
	for _, m := range r.p.list(list) {
		switch r.value(m) {
		case 0:
			return 0
		case Unknown:
			v = Unknown
		}
	}
	return v
}

// countOn counts the slots of a list that are on.
func (r *run) countOn(list int16) int32 {
	n := int32(0)
	for _, m := range r.p.list(list) {
		switch r.value(m) {
		case 0:
		case Unknown:
			return Unknown
		default:
			n++
		}
	}
	return n
}
