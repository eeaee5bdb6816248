package unit

// micro is the number of stored steps in one base unit.
const micro = 1_000_000

// The quantities. Each is a whole number of millionths of the base unit named beside it.
type (
	// Voltage is an electric voltage; base unit V.
	Voltage int64
	// Current is an electric current; base unit A.
	Current int64
	// Power is active power; base unit W.
	Power int64
	// Apparent is apparent power; base unit VA.
	Apparent int64
	// Resistance is an electric resistance or impedance; base unit Ω.
	Resistance int64
	// Section is the cross-section of a conductor; base unit mm².
	Section int64
	// Length is a length; base unit m.
	Length int64
	// Temperature is a Celsius temperature; base unit °C.
	Temperature int64
	// Level is a radio power level; base unit dBm.
	Level int64
	// Gain is a ratio of powers, loss or antenna gain; base unit dB.
	Gain int64
	// Illuminance is the light on a surface; base unit lx.
	Illuminance int64
	// Speed is a speed, of wind for example; base unit m/s.
	Speed int64
	// Percent is a share of a whole; base unit %.
	Percent int64
	// Angle is a plane angle; base unit °.
	Angle int64
	// Energy is an amount of energy; base unit kWh.
	Energy int64
	// Frequency is a frequency; base unit MHz.
	Frequency int64
)

// Duration is a span of time in whole milliseconds.
type Duration int64

// V returns the voltage in volts.
func (q Voltage) V() float64 { return float64(q) / micro }

// A returns the current in amperes.
func (q Current) A() float64 { return float64(q) / micro }

// W returns the power in watts.
func (q Power) W() float64 { return float64(q) / micro }

// VA returns the apparent power in volt-amperes.
func (q Apparent) VA() float64 { return float64(q) / micro }

// Ohm returns the resistance in ohms.
func (q Resistance) Ohm() float64 { return float64(q) / micro }

// MM2 returns the cross-section in square millimetres.
func (q Section) MM2() float64 { return float64(q) / micro }

// M returns the length in metres.
func (q Length) M() float64 { return float64(q) / micro }

// C returns the temperature in degrees Celsius.
func (q Temperature) C() float64 { return float64(q) / micro }

// DBm returns the level in dBm.
func (q Level) DBm() float64 { return float64(q) / micro }

// DB returns the gain in dB.
func (q Gain) DB() float64 { return float64(q) / micro }

// Lx returns the illuminance in lux.
func (q Illuminance) Lx() float64 { return float64(q) / micro }

// MS returns the speed in metres a second.
func (q Speed) MS() float64 { return float64(q) / micro }

// Pct returns the share in per cent.
func (q Percent) Pct() float64 { return float64(q) / micro }

// Deg returns the angle in degrees.
func (q Angle) Deg() float64 { return float64(q) / micro }

// KWh returns the energy in kilowatt-hours.
func (q Energy) KWh() float64 { return float64(q) / micro }

// MHz returns the frequency in megahertz.
func (q Frequency) MHz() float64 { return float64(q) / micro }

// MS returns the duration in milliseconds.
func (q Duration) MS() int64 { return int64(q) }

// S returns the duration in seconds.
func (q Duration) S() float64 { return float64(q) / 1000 }

// Volts makes a Voltage of a number of volts, rounded to the nearest step.
func Volts(v float64) Voltage { return Voltage(steps(v)) }

// Amperes makes a Current of a number of amperes, rounded to the nearest step.
func Amperes(v float64) Current { return Current(steps(v)) }

// Watts makes a Power of a number of watts, rounded to the nearest step.
func Watts(v float64) Power { return Power(steps(v)) }

// VoltAmperes makes an Apparent power of a number of volt-amperes, rounded to the nearest step.
func VoltAmperes(v float64) Apparent { return Apparent(steps(v)) }

// Metres makes a Length of a number of metres, rounded to the nearest step.
func Metres(v float64) Length { return Length(steps(v)) }

// SquareMillimetres makes a Section of a number of mm², rounded to the nearest step.
func SquareMillimetres(v float64) Section { return Section(steps(v)) }

// Seconds makes a Duration of a number of seconds, rounded to the nearest millisecond.
func Seconds(v float64) Duration { return Duration(steps(v) / 1000) }
