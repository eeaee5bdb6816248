package control

// The bounds of a program. They are far above what a house needs and keep every table index in 16 bits, every state
// below a few hundred kilobytes, and every loop of Step finite.
const (
	MaxSlots      = 4096
	MaxPeers      = 512
	MaxSchedules  = 1024
	MaxTexts      = 8192
	MaxTextBytes  = 1024
	MaxRules      = 2048
	MaxCauses     = 8192
	MaxCode       = 65536
	MaxActions    = 16384
	MaxLists      = 1024
	MaxMembers    = 16384
	MaxTimers     = 1024
	MaxScenes     = 512
	MaxSceneItems = 8192
	MaxHolds      = 1024
	MaxRegulators = 64
	MaxReach      = 1 << 17 // slots that lists reach in all, each use counted
)

// The bounds of one Step.
const (
	MaxStack    = 16        // values on the stack of the condition code
	MaxChain    = 8         // instants that one event may set off, its own included
	MaxWrites   = 1024      // writes in one instant
	MaxExpiries = 10_000    // timers that run out within Event.Elapsed
	MaxDelay    = 1<<31 - 1 // ms, of timers and of Event.Elapsed: 24 days 20 h
)

// The bounds of a motor in ms: common practice, no source. A run to an end takes travel, slats and a margin of a tenth,
// at least MotorMargin; no run is longer, which also spares the thermal cut-out of the motor.
const (
	MotorPauseLeast  = 500
	MotorPauseMost   = 10_000
	MotorTravelLeast = 1_000
	MotorTravelMost  = 600_000
	MotorSlatsMost   = 60_000
	MotorMargin      = 2_000
)
