package circuit

import (
	"fmt"
	"math"
	"slices"
)

// Insulation is what a cable is insulated with.
type Insulation string

// The insulations, with the temperature that each bears in service.
const (
	PVC  Insulation = "PVC"  // 70 °C
	XLPE Insulation = "XLPE" // 90 °C, EPR likewise
)

// Table B.52.14 for XLPE and EPR in air, and Table B.52.15 for PVC in the ground (base 20 °C, 10 to 50 °C; its values from
// 35 °C up are written from memory).
var (
	ambientXLPE  = []float64{1.15, 1.12, 1.08, 1.04, 1, .96, .91, .87, .82, .76, .71}
	groundAt     = []float64{10, 15, 20, 25, 30, 35, 40, 45, 50}
	groundFactor = []float64{1.10, 1.05, 1, .95, .89, .84, .77, .71, .63}
)

// AmbientOf is the factor for the ambient temperature in °C of a cable in air: that of the next higher temperature of the
// table, never interpolated. Temperatures above the table are refused.
func AmbientOf(insulation Insulation, celsius float64) (float64, error) {
	switch insulation {
	case PVC, "":
		return fromColumn(ambientAt, ambientFactor, celsius, "PVC in air")
	case XLPE:
		return fromColumn(ambientAt, ambientXLPE, celsius, "XLPE in air")
	}
	return 0, fmt.Errorf("insulation %q is not in the table: expected PVC or XLPE", insulation)
}

// Ground is the factor for the temperature in °C of the ground around a PVC cable in a duct.
func Ground(celsius float64) (float64, error) {
	return fromColumn(groundAt, groundFactor, celsius, "PVC in the ground")
}

func fromColumn(at, factor []float64, celsius float64, what string) (float64, error) {
	if celsius >= coldest {
		for i, t := range at {
			if celsius <= t {
				return factor[i], nil
			}
		}
	}
	return 0, fmt.Errorf("%g °C is not in the table of %s: expected %g to %g °C", celsius, what, coldest, at[len(at)-1])
}

// coldest is the temperature in °C below which a figure is taken for a mistake; down to it the first column holds.
const coldest = -50.0

// Arrangement is how circuits lie beside each other: an item of Table B.52.17.
type Arrangement int

// The items of Table B.52.17.
const (
	Bunched    Arrangement = 1 // bunched in air, on a surface, embedded or enclosed
	OnWall     Arrangement = 2 // single layer on a wall, a floor or an unperforated tray, method C
	Ceiling    Arrangement = 3 // single layer under a wooden ceiling, method C
	Perforated Arrangement = 4 // single layer on a perforated tray
)

// Factors of Table B.52.17, items 2 to 4, for 1 to 9 circuits; more need no further reduction.
var layerFactor = map[Arrangement][]float64{
	OnWall:     {1.00, .85, .79, .75, .73, .72, .72, .71, .70},
	Ceiling:    {.95, .81, .72, .68, .66, .64, .63, .62, .61},
	Perforated: {1.00, .88, .82, .77, .75, .73, .73, .72, .72},
}

// GroupingOf is the factor for circuits that lie together; 0 means bunched.
func GroupingOf(a Arrangement, circuits int) (float64, error) {
	if a == 0 || a == Bunched {
		return Grouping(circuits)
	}
	row, ok := layerFactor[a]
	if !ok {
		return 0, fmt.Errorf("arrangement %d is not in the table: expected 1 to 4", a)
	}
	if circuits < 1 {
		return 0, fmt.Errorf("%d circuits: expected 1 or more, the circuit itself included", circuits)
	}
	return row[min(circuits, len(row))-1], nil
}

// Countable is the number of circuits that count into a group: one loaded to no more than 30 % of its grouped capacity may
// be left out for the others (IEC 60364-5-52, note to Table B.52.17). loads and capacities are in A, of the same length.
func Countable(loads, capacities []float64) int {
	n := 0
	for i, load := range loads {
		if i >= len(capacities) || !(load <= 0.3*capacities[i]) {
			n++
		}
	}
	return n
}

// Class is a conductor class of IEC 60228.
type Class int

// The classes of the table.
const (
	Solid    Class = 1
	Stranded Class = 2
	Flexible Class = 5
)

// flexible is the greatest resistance at 20 °C of class 5 copper, Ω/km by mm² (IEC 60228; below 0.5 mm² a maker's sheet).
var flexible = map[float64]float64{0.14: 138, 0.22: 96, 0.25: 76, 0.34: 53, 0.5: 39, 0.75: 26, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21}

// smallStranded is the same for class 2 below 0.5 mm² (a maker's sheet).
var smallStranded = map[float64]float64{0.14: 134, 0.22: 99, 0.25: 79, 0.34: 56}

// ResistanceOf is the greatest resistance of copper at 20 °C in Ω/km.
func ResistanceOf(class Class, mm2 float64) (float64, error) {
	var r float64
	switch class {
	case Solid, Stranded:
		if r = Resistance[mm2]; r == 0 && class == Stranded {
			r = smallStranded[mm2]
		}
	case Flexible:
		r = flexible[mm2]
	default:
		return 0, fmt.Errorf("conductor class %d is not in the table: expected 1, 2 or 5", class)
	}
	if r == 0 {
		return 0, fmt.Errorf("%g mm² of class %d is not in the table: expected one of %v", mm2, class, listed(class))
	}
	return r, nil
}

func listed(class Class) []float64 {
	tables := []map[float64]float64{Resistance}
	if class == Flexible {
		tables = []map[float64]float64{flexible}
	} else if class == Stranded {
		tables = append(tables, smallStranded)
	}
	var list []float64
	for _, t := range tables {
		for mm2 := range t {
			list = append(list, mm2)
		}
	}
	slices.Sort(list)
	return list
}

// coefficient is the temperature coefficient of copper at 20 °C per K (IEC 60228).
const coefficient = 0.00393

// Heated is the ratio of the resistance of copper at a temperature in °C to that at 20 °C.
func Heated(celsius float64) float64 { return 1 + coefficient*(celsius-20) }

// AmbientFormula is the formula behind the factors for temperature, √((θmax−θa)/(θmax−θref)); the table rules, this guards it.
func AmbientFormula(most, ambient, reference float64) float64 {
	return math.Sqrt(math.Max(0, (most-ambient)/(most-reference)))
}

// Laid is how a cable is laid, as far as its capacity depends on it.
type Laid struct {
	Method      string      // a method of the tables
	Loaded      int         // loaded conductors: 2 or 3
	Insulation  Insulation  // of the ambient factor; the capacity itself is always that of PVC, which XLPE exceeds
	Celsius     float64     // of the air, or of the ground for method D1
	Circuits    int         // together with it, itself included
	Arrangement Arrangement // how they lie; 0 for bunched
}

// Carrying is a current-carrying capacity with the terms that made it.
type Carrying struct {
	Table    float64 // A, from Table B.52.2 or B.52.4
	Ambient  float64 // factor Ca
	Grouping float64 // factor Cg
	Amps     float64 // A, Iz = Table·Ca·Cg; never rounded upward
}

// CapacityOf is the current-carrying capacity of a cable of mm². XLPE takes its own ambient factor on the capacities of
// PVC at 30 °C, which is on the safe side while the terminals stay at 70 °C: the tables of XLPE are not held here.
func CapacityOf(mm2 float64, laid Laid) (Carrying, error) {
	table, err := Capacity(mm2, laid.Method, laid.Loaded, 30, 1)
	if err != nil {
		return Carrying{}, err
	}
	c := Carrying{Table: table}
	if laid.Method == "D1" {
		if laid.Insulation == XLPE {
			return Carrying{}, fmt.Errorf("the factors of XLPE in the ground are not in the tables: expected PVC for method D1")
		}
		c.Ambient, err = Ground(laid.Celsius)
	} else {
		c.Ambient, err = AmbientOf(laid.Insulation, laid.Celsius)
	}
	if err != nil {
		return Carrying{}, err
	}
	if c.Grouping, err = GroupingOf(laid.Arrangement, laid.Circuits); err != nil {
		return Carrying{}, err
	}
	c.Amps = c.Table * c.Ambient * c.Grouping
	return c, nil
}
