package circuit

import (
	"fmt"
	"strings"
)

// ResidualType is what kinds of residual current a device sees (IEC 60755; from memory).
type ResidualType string

// The types, each seeing all that the ones before it see.
const (
	TypeAC ResidualType = "AC" // sinusoidal alternating current only
	TypeA  ResidualType = "A"  // pulsating direct current, too, with 6 mA of smooth
	TypeF  ResidualType = "F"  // mixed frequencies of single-phase inverters, too
	TypeB  ResidualType = "B"  // smooth direct current, too
)

// ResidualTypes lists them in that order.
var ResidualTypes = []ResidualType{TypeAC, TypeA, TypeF, TypeB}

// Sees tells whether a device of a type suits where another type is asked; an unknown type suits nowhere.
func (t ResidualType) Sees(asked ResidualType) bool {
	have, want := t.rank(), asked.rank()
	return have >= 0 && want >= 0 && have >= want
}

func (t ResidualType) rank() int {
	for i, x := range ResidualTypes {
		if x == t {
			return i
		}
	}
	return -1
}

// Equipment is what hangs on a residual-current device, as far as its type depends on it.
type Equipment struct {
	Electronic  bool // rectifiers: dimmers, drivers of lamps, chargers
	Inverter    bool // single-phase variable-speed drives
	SmoothFault bool // three-phase drives, vehicle charging without its own detection of smooth direct current
}

// ResidualFor is the least type for the equipment (from memory).
func ResidualFor(e Equipment) ResidualType {
	switch {
	case e.SmoothFault:
		return TypeB
	case e.Inverter:
		return TypeF
	case e.Electronic:
		return TypeA
	}
	return TypeAC
}

// BreakTime is the longest time in s in which a residual-current device acts at 1, 2 or 5 times IΔn (IEC 61008-1), and the
// least time in s that a delayed one (S) holds; 0 for the general one.
func BreakTime(multiple int, delayed bool) (most, least float64, err error) {
	table := map[int][3]float64{1: {.3, .5, .13}, 2: {.15, .2, .06}, 5: {.04, .15, .05}}
	row, ok := table[multiple]
	if !ok {
		return 0, 0, fmt.Errorf("%d times IΔn is not in the table: expected 1, 2 or 5", multiple)
	}
	if delayed {
		return row[1], row[2], nil
	}
	return row[0], 0, nil
}

// Purpose is what a circuit feeds, as far as additional protection depends on it.
type Purpose struct {
	Sockets  bool // for ordinary persons
	Outdoors bool // mobile equipment outdoors
	Lighting bool // lighting of a dwelling
}

// ResidualNeed says why a circuit of a rating in A needs a residual-current device of 30 mA, "" where it needs none
// (IEC 60364-4-41, 411.3.3 and 411.3.4, with the limits of the rules).
func ResidualNeed(p Purpose, rating float64, rules *Rules) string {
	var why []string
	for _, c := range []struct {
		is    bool
		limit string
		what  string
	}{{p.Sockets, ResidualSockets, "sockets"}, {p.Outdoors, ResidualOutdoors, "equipment outdoors"}, {p.Lighting, ResidualLighting, "lighting of a dwelling"}} {
		if most := rules.Value(c.limit); c.is && rating <= most {
			why = append(why, fmt.Sprintf("%s up to %g A", c.what, most))
		}
	}
	return strings.Join(why, ", ")
}

// AdditionalProtection is IΔn in A of the device that protects persons (IEC 60364-4-41, 415.1).
const AdditionalProtection = 0.030

// LeakageMost is the most standing leakage in A on one residual-current device of IΔn in A.
func LeakageMost(residual float64, rules *Rules) float64 { return residual * rules.Value(LeakageShare) }

// ResidualSelective tells whether a residual-current device upstream stays in while the one downstream acts: it must be
// delayed (S), and its IΔn the ratio of the rules higher. Currents in A.
func ResidualSelective(up float64, delayed bool, down float64, rules *Rules) bool {
	return delayed && down > 0 && up >= rules.Value(SelectiveResidual)*down*(1-1e-9)
}
