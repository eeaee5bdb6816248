package control

// Op is one instruction of the three-valued stack code in which conditions and operands are written.
//
// The code has no jumps, so it ends; Program.Check computes the depth of the stack. Truth of a number: Unknown is
// unknown, 0 is false, anything else is true. Unknown spreads through comparing and arithmetic; "unknown and false" is
// false, "unknown or true" is true. Arithmetic saturates at the 32-bit range (never reaching Unknown).
type Op uint8

// The instructions. In the comments, "pushes" adds one value; a and b are the two topmost, b the upper; they are
// replaced by the result.
const (
	OpConst     Op = iota // pushes Arg
	OpSlot                // pushes the value of slot Arg (motor: the position when it last started or stopped)
	OpPosition            // pushes the estimated position now of local motor Arg
	OpSlats               // pushes the estimated slat angle now of local motor Arg
	OpMotion              // pushes the direction of local motor Arg: -1 up, 0 still, 1 down
	OpAsked               // pushes what was last asked of local output Arg (differs from its value under a hold)
	OpHeld                // pushes the rank of the hold that stands on local output Arg, 0 for none
	OpTimerQ              // pushes output Q of timer Arg, 0 or 1
	OpTimerRuns           // pushes 1 while timer Arg runs, else 0
	OpTimerET             // pushes the elapsed time ET of timer Arg in ms
	OpAny                 // pushes "any slot of list Arg is on", three-valued
	OpAll                 // pushes "all slots of list Arg are on", three-valued
	OpSum                 // pushes how many slots of list Arg are on; unknown if one is unknown
	OpEqual               // a = b
	OpDiffers             // a ≠ b
	OpLess                // a < b
	OpAtMost              // a ≤ b
	OpMore                // a > b
	OpAtLeast             // a ≥ b
	OpAnd                 // a and b, three-valued
	OpOr                  // a or b, three-valued
	OpNot                 // not b, three-valued (replaces b alone)
	OpKnown               // 1 if b is known, else 0 (replaces b alone)
	OpElse                // a if a is known, else b
	OpAdd                 // a + b
	OpSub                 // a - b
	OpMul                 // a · b
	OpDiv                 // a / b towards zero; unknown where b is 0
	OpMin                 // the smaller
	OpMax                 // the larger
	OpNeg                 // -b (replaces b alone)
	OpPick                // of c, a, b on the stack: a if c is true, b if false, unknown if unknown

	opCount = int(OpPick) + 1
)

// Instr is one instruction with its argument.
type Instr struct {
	Op  Op
	Arg int32
}
