package circuit

import (
	"fmt"
	"slices"
)

// Sections are the cross-sections of the tables in mm².
var Sections = []float64{1.5, 2.5, 4, 6, 10, 16}

// Methods are the installation methods of the tables (IEC 60364-5-52, Table A.52.3).
var Methods = []string{"A1", "A2", "B1", "B2", "C", "D1"}

// Resistance is the greatest resistance at 20 °C of solid and stranded copper conductors, Ω/km by mm² (IEC 60228,
// classes 1 and 2).
var Resistance = map[float64]float64{0.5: 36, 0.75: 24.5, 1: 18.1, 1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15}

// capacity2 and capacity3 are Tables B.52.2 and B.52.4: PVC, copper, 30 °C air, 20 °C ground; A by section and method.
var (
	capacity2 = [][]float64{
		{14.5, 14, 17.5, 16.5, 19.5, 22}, {19.5, 18.5, 24, 23, 27, 29}, {26, 25, 32, 30, 36, 37},
		{34, 32, 41, 38, 46, 46}, {46, 43, 57, 52, 63, 60}, {61, 57, 76, 69, 85, 78},
	}
	capacity3 = [][]float64{
		{13.5, 13, 15.5, 15, 17.5, 18}, {18, 17.5, 21, 20, 24, 24}, {24, 23, 28, 27, 32, 30},
		{31, 29, 36, 34, 41, 38}, {42, 39, 50, 46, 57, 50}, {56, 52, 68, 62, 76, 64},
	}
)

// Table B.52.14 for PVC in air: factor by ambient temperature in °C.
var (
	ambientAt     = []float64{10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60}
	ambientFactor = []float64{1.22, 1.17, 1.12, 1.06, 1, .94, .87, .79, .71, .61, .50}
)

// Table B.52.17, item 1: bunched in air, on a surface, embedded or enclosed; factor by number of circuits.
var (
	groupCount  = []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 12, 16, 20}
	groupFactor = []float64{1, .80, .70, .65, .60, .57, .54, .52, .50, .45, .41, .38}
)

// Capacity is the current-carrying capacity in A of a PVC-insulated copper cable by cross-section in mm², method,
// ambient temperature in °C and number of bunched circuits; loaded is 2 or 3 conductors.
func Capacity(mm2 float64, method string, loaded int, celsius float64, grouped int) (float64, error) {
	s, m := slices.Index(Sections, mm2), slices.Index(Methods, method)
	if s < 0 {
		return 0, fmt.Errorf("%g mm² is not in the table: expected one of %v", mm2, Sections)
	}
	if m < 0 {
		return 0, fmt.Errorf("installation method %q is not in the table: expected one of %v", method, Methods)
	}
	table := capacity2
	if loaded == 3 {
		table = capacity3
	} else if loaded != 2 {
		return 0, fmt.Errorf("%d loaded conductors: expected 2 or 3", loaded)
	}
	ca, err := Ambient(celsius)
	if err != nil {
		return 0, err
	}
	cg, err := Grouping(grouped)
	return table[s][m] * ca * cg, err
}

// Ambient is the factor for the ambient temperature of PVC cables in air: the table's where it has the temperature,
// else that of the next higher one, never interpolated upward.
func Ambient(celsius float64) (float64, error) {
	for i, t := range ambientAt {
		if celsius <= t {
			return ambientFactor[i], nil
		}
	}
	return 0, fmt.Errorf("%g °C is above the table: PVC cables need less than 60 °C", celsius)
}

// Grouping is the factor for bunched circuits: the next higher count of the table; beyond twenty the last.
func Grouping(circuits int) (float64, error) {
	if circuits < 1 {
		return 0, fmt.Errorf("%d bunched circuits: expected 1 or more, the circuit itself included", circuits)
	}
	for i, n := range groupCount {
		if circuits <= n {
			return groupFactor[i], nil
		}
	}
	return groupFactor[len(groupFactor)-1], nil
}
