package circuit

import (
	"fmt"
	"math"
)

// Stretch is one stretch of a circuit with branches: it runs from the end of another stretch, and a load may hang at its
// own end.
type Stretch struct {
	From   int     // the stretch that it goes on from, one earlier in the list; -1 at the origin
	Metres float64 // its length
	MM2    float64 // its cross-section
	Amps   float64 // current of the load at its end; 0 for a mere branch
	Factor float64 // power factor of that load, above 0 up to 1
	Line   int     // 1, 2 or 3 of a load between one line and neutral; 0 of a balanced three-phase load
}

// TreeDrop is the voltage drop at the end of one stretch.
type TreeDrop struct {
	Volts [3]float64 // along each line, against its own direction; it may be negative on a line that others unbalance
	Worst float64    // V, the greatest of the lines that have a load somewhere on the circuit
}

// treeMost bounds the stretches of one circuit.
const treeMost = 100_000

// longest is the length in m above which a run is taken for a mistake.
const longest = 10_000

// phasor is a current in A as its active and reactive part along each line's own direction turned into one frame.
type phasor struct{ re, im float64 }

func (p phasor) plus(q phasor) phasor { return phasor{p.re + q.re, p.im + q.im} }

// turn multiplies by e^(j·degrees).
func (p phasor) turn(degrees float64) phasor {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return phasor{p.re*cos - p.im*sin, p.re*sin + p.im*cos}
}

// angles are the directions of the lines in degrees.
var angles = [3]float64{0, -120, 120}

// Tree is the voltage drop at every stretch of a circuit with branches, by IEC 60364-5-52 Annex G. The drop of a line is
// the part along its voltage of (ρ/S·l + jλ·l)·(I + In): a load of one line alone returns through the neutral and counts
// twice (b = 2), balanced ones leave no current in it (b = 1). The neutral has the section of the lines.
func Tree(stretches []Stretch) ([]TreeDrop, error) {
	if err := checkTree(stretches); err != nil {
		return nil, err
	}
	flow := make([][3]phasor, len(stretches))
	var used [3]bool
	for i := len(stretches) - 1; i >= 0; i-- {
		s := &stretches[i]
		for k := range 3 {
			if s.Amps > 0 && (s.Line == 0 || s.Line == k+1) {
				used[k] = true
				sin := math.Sqrt(math.Max(0, 1-s.Factor*s.Factor))
				flow[i][k] = flow[i][k].plus(phasor{s.Amps * s.Factor, -s.Amps * sin}.turn(angles[k]))
			}
			if s.From >= 0 {
				flow[s.From][k] = flow[s.From][k].plus(flow[i][k])
			}
		}
	}
	drops := make([]TreeDrop, len(stretches))
	for i, s := range stretches {
		if s.From >= 0 {
			drops[i] = drops[s.From]
		}
		neutral := flow[i][0].plus(flow[i][1]).plus(flow[i][2])
		r, x := 0.0225*s.Metres/s.MM2, 0.08e-3*s.Metres
		for k := range 3 {
			c := flow[i][k].plus(neutral).turn(-angles[k])
			drops[i].Volts[k] += r*c.re - x*c.im
		}
		drops[i].Worst = drops[i].worst(used)
	}
	return drops, nil
}

// worst is the greatest drop of the lines that have a load; what the neutral does to others is nobody's drop.
func (d TreeDrop) worst(used [3]bool) float64 {
	most := math.Inf(-1)
	for k, v := range d.Volts {
		if used[k] {
			most = math.Max(most, v)
		}
	}
	if math.IsInf(most, -1) {
		return 0
	}
	return most
}

func checkTree(stretches []Stretch) error {
	if len(stretches) > treeMost {
		return fmt.Errorf("%d stretches: expected at most %d", len(stretches), treeMost)
	}
	for i, s := range stretches {
		switch {
		case s.From < -1 || s.From >= i:
			return fmt.Errorf("stretch %d goes on from %d: expected an earlier one, or -1 for the origin", i, s.From)
		case !(s.Metres > 0) || s.Metres > longest:
			return fmt.Errorf("stretch %d is %g m long: expected above 0 up to %d m", i, s.Metres, longest)
		case !(s.MM2 > 0) || s.MM2 > 1000:
			return fmt.Errorf("stretch %d has %g mm²: expected above 0 up to 1000 mm²", i, s.MM2)
		case !(s.Amps >= 0) || s.Amps > 1e4:
			return fmt.Errorf("the load of stretch %d draws %g A: expected 0 to 10000 A", i, s.Amps)
		case s.Amps > 0 && (!(s.Factor > 0) || s.Factor > 1):
			return fmt.Errorf("the load of stretch %d has a power factor of %g: expected above 0 up to 1", i, s.Factor)
		case s.Line < 0 || s.Line > 3:
			return fmt.Errorf("the load of stretch %d is on line %d: expected 1, 2 or 3, or 0 for all", i, s.Line)
		}
	}
	return nil
}

// Neutral is the current in A in the neutral of three lines of equal power factor: √(a²+b²+c²−ab−bc−ca).
func Neutral(a, b, c float64) float64 {
	return math.Sqrt(math.Max(0, a*a+b*b+c*c-a*b-b*c-c*a))
}
