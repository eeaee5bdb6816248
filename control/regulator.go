package control

// RegulatorKind is the law of a regulator.
type RegulatorKind uint8

// The kinds of regulator.
const (
	RegulatorTwoPoint     RegulatorKind = iota // on below set point - Half, off above set point + Half
	RegulatorProportional                      // PI, given out as on-times of Period (pulse-width)
)

// Regulator keeps a measured value at a set point by switching an output. It writes at RankAutomatic, so holds and rules
// of higher rank have their way. While the window is open it regulates to SetBack below (cooling: above) the set point;
// while it is disabled it regulates to the frost limit only. While the measured value is unknown the output is on for
// Blind thousandths of each Period.
type Regulator struct {
	Kind     RegulatorKind
	Cooling  bool
	Name     int16 // index into Program.Texts
	Rule     int16 // index into Program.Rules that effects name as their cause; -1 for none
	Sensor   int16 // measured value
	SetPoint int16 // slot with the set point (a variable), in the steps of Sensor
	Output   int16 // local SlotSwitch, or SlotLevel with RegulatorProportional (then no pulses)
	Enable   int16 // slot that must be on; -1: always enabled
	Window   int16 // contact that is on while the window is open; -1: none
	SetBack  int32 // steps of Sensor
	Frost    int32 // heating: regulate to at least this, disabled or not; Unknown for none
	Half     int32 // RegulatorTwoPoint: half of the hysteresis, in steps of Sensor, 1 or more
	Band     int32 // RegulatorProportional: Xp in steps of Sensor
	Reset    int32 // RegulatorProportional: Tn in seconds; 0: no integral
	Sample   int32 // RegulatorProportional: ms between two steps of the law, 0: SampleUsual
	Period   int32 // RegulatorProportional: length of a pulse period in ms; two-point: of the blind pulses
	Shortest int32 // RegulatorProportional: shortest on-time in ms; what is shorter is carried over
	Blind    int32 // thousandths of the period while the sensor is unknown
}

// SampleUsual is the usual time between two steps of a proportional regulator in ms: common practice, no source.
const SampleUsual = 60_000
