package circuit

import (
	"fmt"
	"math"
	"slices"
)

// Device is a protective device against overcurrent.
type Device struct {
	Fuse   bool    // a gG fuse (IEC 60269); else a circuit-breaker (IEC 60898-1)
	Rating float64 // A
	Curve  string  // B, C or D; a fuse has none
}

// String prints the device as the trade writes it: B16, gG 16 A.
func (d Device) String() string {
	if d.Fuse {
		return fmt.Sprintf("gG %g A", d.Rating)
	}
	return fmt.Sprintf("%s%g", d.Curve, d.Rating)
}

// Curves are the tripping characteristics of IEC 60898-1, the quickest first.
var Curves = []string{"B", "C", "D"}

// Conventional is I2 in A, the current at which the device surely acts in its conventional time: 1.45·In of a
// circuit-breaker, 1.6·In of a gG fuse from 16 A up (IEC 60269-1; from memory). Smaller fuses are refused: their factor
// is not in the tables.
func (d Device) Conventional() (float64, error) {
	switch {
	case !(d.Rating > 0) || d.Rating > 1e4:
		return 0, fmt.Errorf("a rating of %g A: expected more than 0", d.Rating)
	case !d.Fuse:
		return 1.45 * d.Rating, nil
	case d.Rating < 16:
		return 0, fmt.Errorf("the conventional current of a gG fuse of %g A is not in the tables: expected 16 A or more", d.Rating)
	}
	return 1.6 * d.Rating, nil
}

// CapacityLeast is the capacity in A that a cable needs for the device: In ≤ Iz and I2 ≤ 1.45·Iz (IEC 60364-4-43, 433.1).
func (d Device) CapacityLeast() (float64, error) {
	i2, err := d.Conventional()
	return math.Max(d.Rating, i2/1.45), err
}

// Band is one row of the tripping bands of IEC 60898-1 at 30 °C.
type Band struct {
	Test    string  // a to e
	Amps    float64 // the test current
	Trips   bool    // it must trip within Seconds; else it must not before
	Seconds float64
	Least   float64 // s, the least time where the standard gives one
}

// Bands are the tests that a circuit-breaker passes: a and b the conventional currents, c the thermal range, d and e the
// instantaneous one.
func (d Device) Bands() ([]Band, error) {
	trip, err := Instantaneous(d.Rating, d.Curve)
	if err != nil {
		return nil, err
	}
	conventional, thermal := 3600.0, 60.0
	if d.Rating > 63 {
		conventional = 7200
	}
	if d.Rating > 32 {
		thermal = 120
	}
	return []Band{
		{"a", 1.13 * d.Rating, false, conventional, 0},
		{"b", 1.45 * d.Rating, true, conventional, 0},
		{"c", 2.55 * d.Rating, true, thermal, 1},
		{"d", d.holds(), false, 0.1, 0},
		{"e", trip, true, 0.1, 0},
	}, nil
}

// holds is the current in A up to which a circuit-breaker does not trip at once: 3, 5 or 10 times its rating.
func (d Device) holds() float64 {
	multiples := []float64{3, 5, 10}
	if i := slices.Index(Curves, d.Curve); i >= 0 {
		return multiples[i] * d.Rating
	}
	return 0
}

// LetThrough is the I²t in A²s that a circuit-breaker of energy limiting class 3 and 6 kA lets through (IEC 60898-1; from
// memory: ask the maker). It is known for B and C up to 32 A.
func (d Device) LetThrough() (float64, error) {
	table := map[string][2]float64{"B": {35000, 45000}, "C": {42000, 55000}}
	row, ok := table[d.Curve]
	if d.Fuse || !ok || !(d.Rating > 0) || d.Rating > 32 {
		return 0, fmt.Errorf("the let-through energy of %s is not in the tables: expected a circuit-breaker B or C up to 32 A; ask the maker", d)
	}
	if d.Rating <= 16 {
		return row[0], nil
	}
	return row[1], nil
}

// Breaking are the usual rated breaking capacities of circuit-breakers in A (from memory).
var Breaking = []float64{3000, 4500, 6000, 10000}

// BreakingFor is the smallest usual breaking capacity in A that bears a prospective fault current.
func BreakingFor(fault float64) (float64, error) {
	for _, b := range Breaking {
		if fault <= b && fault > 0 {
			return b, nil
		}
	}
	return 0, fmt.Errorf("a fault current of %g A: expected above 0 up to %g A", fault, Breaking[len(Breaking)-1])
}

// Selective says whether a device upstream stays in while the one downstream clears.
type Selective struct {
	Overload bool    // the ratings are far enough apart
	UpTo     float64 // A, fault current up to which the upstream one does not trip at once; +Inf where nothing limits
	Text     string  // the reason, for a person
}

// Selectivity compares two devices in series by their ratings and instantaneous bands. Where both trip at once only the
// makers' tables help; that is said, not guessed. The ratio of ratings is a rule of the trade (common practice, no source);
// for two gG fuses it is that of IEC 60269-2 (from memory).
func Selectivity(up, down Device, rules *Rules) (Selective, error) {
	for _, d := range []Device{up, down} {
		if !(d.Rating > 0) || d.Rating > 1e4 {
			return Selective{}, fmt.Errorf("a rating of %g A: expected more than 0", d.Rating)
		}
		if !d.Fuse && !slices.Contains(Curves, d.Curve) {
			return Selective{}, fmt.Errorf("tripping characteristic %q is not known: expected B, C or D", d.Curve)
		}
	}
	ratio := rules.Value(SelectiveRatio)
	s := Selective{Overload: up.Rating >= ratio*down.Rating*(1-1e-9)}
	apart := fmt.Sprintf("%s over %s: the ratings are %.2f apart, %g is asked", up, down, up.Rating/down.Rating, ratio)
	switch {
	case up.Fuse && down.Fuse:
		if s.Overload {
			s.UpTo = math.Inf(1)
		}
		s.Text = apart
	case up.Fuse:
		s.Text = apart + "; for short circuits the maker's table of breaker and fuse decides"
	default:
		s.UpTo = up.holds()
		s.Text = fmt.Sprintf("%s; below %g A the upstream one does not trip at once, above it the makers' tables decide", apart, s.UpTo)
	}
	return s, nil
}
