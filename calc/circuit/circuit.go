// Package circuit computes a final circuit by the methods of IEC 60364: design current, current-carrying capacity,
// voltage drop, fault-loop impedance and disconnection, adiabatic check.
//
// Plain numbers go in (A, V, Ω, m, mm², °C) and every intermediate term comes out, because the papers print them. The
// tables are those of an IEC country and the defaults of this package, not the law of any place: national rules differ,
// and local code and a licensed person decide. What a table does not hold is refused, never guessed.
//
// Sources: IEC 60364-5-52:2009 Tables B.52.2, B.52.4, B.52.14, B.52.17 and Annex G; IEC 60364-4-41 (411.4.4, Table
// 41.1); IEC 60364-4-43 (433.1, 434); IEC 60898-1 (tripping bands); IEC 60228 (conductor resistances).
package circuit

import (
	"fmt"
	"math"
)

// Current is the design current in A of a load in W: single phase at the line-to-neutral voltage, or balanced three
// phase at the line-to-line voltage.
func Current(watts, volts, factor float64, threePhase bool) float64 {
	if threePhase {
		return watts / (math.Sqrt(3) * volts * factor)
	}
	return watts / (volts * factor)
}

// Drop is the voltage drop in V along length metres of copper (IEC 60364-5-52, Annex G): single phase there and back,
// or per phase of a balanced three-phase circuit.
func Drop(amps, metres, mm2, factor float64, threePhase bool) float64 {
	const rho, lambda = 0.0225, 0.08e-3 // Ω·mm²/m at working temperature; Ω/m
	b := 2.0
	if threePhase {
		b = 1
	}
	sin := math.Sqrt(math.Max(0, 1-factor*factor))
	return b * (rho*metres/mm2*factor + lambda*metres*sin) * amps
}

// Load is one load along a circuit: its distance from the origin in m and its current in A.
type Load struct{ Metres, Amps float64 }

// DropAlong is the voltage drop in V at each of several loads along one unbranched circuit, nearest first: each section
// is counted with the current that flows in it.
func DropAlong(loads []Load, mm2, factor float64, threePhase bool) []float64 {
	rest := 0.0
	for _, l := range loads {
		rest += l.Amps
	}
	drops := make([]float64, len(loads))
	at, sum := 0.0, 0.0
	for i, l := range loads {
		sum += Drop(rest, l.Metres-at, mm2, factor, threePhase)
		drops[i], at, rest = sum, l.Metres, rest-l.Amps
	}
	return drops
}

// Instantaneous is the current in A at which a circuit-breaker (IEC 60898-1) surely trips within 0.1 s: 5, 10 or 20
// times its rating for the characteristics B, C and D.
func Instantaneous(rating float64, curve string) (float64, error) {
	multiple, ok := map[string]float64{"B": 5, "C": 10, "D": 20}[curve]
	if !ok {
		return 0, fmt.Errorf("tripping characteristic %q is not known: expected B, C or D", curve)
	}
	return multiple * rating, nil
}

// LoopMost is the highest fault-loop impedance in Ω that still trips a breaker at once in a TN system (411.4.4);
// minimum is the voltage factor Cmin: 1, or 0.95 where the lower supply voltage counts.
func LoopMost(volts, rating float64, curve string, minimum float64) (float64, error) {
	trip, err := Instantaneous(rating, curve)
	if err != nil {
		return 0, err
	}
	return minimum * volts / trip, nil
}

// hotter is the ratio of conductor resistance at 70 °C to that at 20 °C, rounded as published (practice).
const hotter = 1.20

// Loop is the fault-loop impedance in Ω at the end of a PVC cable: the external one plus line and protective conductor
// at working temperature. Reactance is neglected up to 16 mm².
func Loop(external, metres, line, earth float64) (float64, error) {
	r1, ok1 := Resistance[line]
	r2, ok2 := Resistance[earth]
	if !ok1 || !ok2 {
		return 0, fmt.Errorf("no resistance in the table for %g and %g mm²: expected one of %v", line, earth, Sections)
	}
	return external + (r1+r2)/1000*metres*hotter, nil
}

// Adiabatic is the smallest cross-section in mm² that withstands a fault current in A for a time in s, with the
// material factor k (115 for copper in PVC); valid from 0.1 s to 5 s.
func Adiabatic(amps, seconds, k float64) float64 { return math.Sqrt(amps*amps*seconds) / k }

// Factor is the adiabatic factor k of copper between two temperatures in °C (IEC 60364-5-54, Annex A).
func Factor(initial, final float64) float64 {
	return 226 * math.Sqrt(math.Log((234.5+final)/(234.5+initial)))
}

// Withstand is the I²t in A²s that a conductor of mm² with the factor k withstands.
func Withstand(mm2, k float64) float64 { return k * k * mm2 * mm2 }

// Ratings are the preferred rated currents of circuit-breakers in A.
var Ratings = []float64{6, 10, 13, 16, 20, 25, 32, 40, 50, 63}
