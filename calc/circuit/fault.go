package circuit

import (
	"fmt"
	"math"
)

// System is a system earthing as far as disconnection distinguishes it: TN (all its kinds) or TT.
type System string

// The systems of Table 41.1.
const (
	TN System = "TN"
	TT System = "TT"
)

// disconnect is one row of Table 41.1: times in s by the column of the voltage; 0 where none is required.
type disconnect struct{ ac, dc [4]float64 }

// timesOf is Table 41.1 of IEC 60364-4-41.
func timesOf(s System) (disconnect, bool) {
	switch s {
	case TN:
		return disconnect{[4]float64{.8, .4, .2, .1}, [4]float64{0, 5, .4, .1}}, true
	case TT:
		return disconnect{[4]float64{.3, .2, .07, .04}, [4]float64{0, .4, .2, .1}}, true
	}
	return disconnect{}, false
}

// DisconnectionTime is the longest time in s in which a fault of a final circuit is switched off, by the voltage in V to
// earth (IEC 60364-4-41, Table 41.1).
func DisconnectionTime(s System, volts float64, direct bool) (float64, error) {
	row, ok := timesOf(s)
	if !ok {
		return 0, fmt.Errorf("system %q is not in Table 41.1: expected TN or TT", s)
	}
	column := -1
	switch {
	case volts > 50 && volts <= 120:
		column = 0
	case volts > 120 && volts <= 230:
		column = 1
	case volts > 230 && volts <= 400:
		column = 2
	case volts > 400 && volts <= 1000:
		column = 3
	}
	if column < 0 {
		return 0, fmt.Errorf("%g V is not in Table 41.1: expected above 50 V up to 1000 V", volts)
	}
	t := row.ac[column]
	if direct {
		t = row.dc[column]
	}
	if t == 0 {
		return 0, fmt.Errorf("table 41.1 asks no time of direct current at %g V: disconnection may be needed for other reasons", volts)
	}
	return t, nil
}

// TimeOf is the disconnection time of a circuit by its rating: Table 41.1 for a final circuit up to the rating that the
// rules name, else the time for other circuits.
func TimeOf(s System, volts, rating float64, rules *Rules) (float64, error) {
	t, err := DisconnectionTime(s, volts, false)
	if err != nil || rating <= rules.Value(FinalMost) {
		return t, err
	}
	if s == TT {
		return rules.Value(DistributionTT), nil
	}
	return rules.Value(DistributionTN), nil
}

// EarthMost is the highest resistance in Ω of earth electrode and protective conductors with a residual-current device of
// IΔn in A in a TT system: RA·IΔn ≤ 50 V (411.5.3).
func EarthMost(residual float64, rules *Rules) (float64, error) {
	if !(residual > 0) || residual > 100 {
		return 0, fmt.Errorf("a rated residual current of %g A: expected above 0 up to 100 A", residual)
	}
	return rules.Value(TouchVoltage) / residual, nil
}

// ColdMost is the highest loop impedance in Ω that a measurement on the cold circuit may show: the conductors will heat.
func ColdMost(volts, rating float64, curve string, rules *Rules) (float64, error) {
	most, err := LoopMost(volts, rating, curve, 1)
	return most * rules.Value(ColdLoop), err
}

// LongestRun is the longest run in m that the loop alone allows: (most − external) over the hot resistance of line and
// protective conductor; 0 where the supply's loop is too much already.
func LongestRun(most, external, line, earth float64) (float64, error) {
	metre, err := Loop(0, 1, line, earth)
	if err != nil {
		return 0, err
	}
	return math.Max(0, (most-external)/metre), nil
}

// Material is a conductor with the constants of the adiabatic factor (IEC 60364-5-54, Annex A; from memory).
type Material struct {
	K    float64 // √(A²s)/mm²
	Beta float64 // °C, reciprocal of the temperature coefficient at 0 °C
}

// The conductors of the annex.
var (
	Copper = Material{226, 234.5}
	Steel  = Material{78, 202}
)

// Factor is the adiabatic factor k between two temperatures in °C: K·√(ln((β+θf)/(β+θi))).
func (m Material) Factor(initial, final float64) float64 {
	return m.K * math.Sqrt(math.Log((m.Beta+final)/(m.Beta+initial)))
}

// K is the adiabatic factor of a copper line conductor, or of a core in the cable, as the standard prints it.
func K(i Insulation) float64 {
	if i == XLPE {
		return 143
	}
	return 115
}

// Endures is the longest time in s that a conductor of mm² bears a current in A: (k·S/I)²; valid to 5 s.
func Endures(mm2, amps, k float64) float64 { return (k * mm2 / amps) * (k * mm2 / amps) }

// EarthFor is the cross-section in mm² of the protective conductor that needs no calculation (IEC 60364-5-54, Table 54.2):
// that of the line up to 16 mm², 16 mm² up to 35 mm², half beyond. A separate one is at least 2.5 mm² where it is protected
// against damage and 4 mm² where it is not.
func EarthFor(line float64, separate, protected bool) (float64, error) {
	if !(line > 0) || line > 1000 {
		return 0, fmt.Errorf("a line conductor of %g mm²: expected above 0 up to 1000 mm²", line)
	}
	s := line
	switch {
	case line > 35:
		s = line / 2
	case line > 16:
		s = 16
	}
	if separate && protected {
		s = math.Max(s, 2.5)
	} else if separate {
		s = math.Max(s, 4)
	}
	return s, nil
}
