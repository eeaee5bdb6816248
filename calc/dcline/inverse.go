package dcline

import (
	"errors"
	"fmt"
)

// Even is a line of equal modules at equal distances, fed at its first place: what one asks about before anything is drawn.
type Even struct {
	Volts float64 // of the supply
	Ohm   float64 // loop resistance of the cable, Ω/m
	Amps  float64 // constant current of a module
	Watts float64 // constant power of a module
	Least float64 // V that a module needs
}

// The longest even line and the most modules that are computed.
const (
	metresMost  = 50_000
	modulesMost = 20_000
)

// Nodes lays an even line: so many modules, so many metres apart, the first as far from the supply.
func (e Even) Nodes(modules int, metres float64) ([]Node, error) {
	switch {
	case modules < 1 || modules > modulesMost:
		return nil, fmt.Errorf("%d modules: expected 1 to %d", modules, modulesMost)
	case !(metres > 0 && metres <= metresMost):
		return nil, fmt.Errorf("%v m between modules: expected more than 0 to %d m", metres, metresMost)
	case !(e.Ohm > 0 && e.Ohm <= 1000):
		return nil, fmt.Errorf("a cable of %v Ω/m: expected more than 0 to 1000 Ω/m", e.Ohm)
	case !(e.Least >= 0 && e.Least <= e.Volts):
		return nil, fmt.Errorf("modules that need %v V: expected 0 to the %v V of the supply", e.Least, e.Volts)
	}
	nodes := make([]Node, modules+1)
	nodes[0] = Node{Parent: -1, Supply: e.Volts}
	for i := range modules {
		nodes[i+1] = Node{Parent: i, Ohm: e.Ohm * metres, Amps: e.Amps, Watts: e.Watts}
	}
	return nodes, validate(nodes)
}

// MostModules is how many modules, so many metres apart, the line carries: with one more it does not. 0 where it carries
// none. More modules never raise a voltage, so a search by halves is exact.
func (e Even) MostModules(metres float64) (int, error) {
	most, err := Largest(modulesMost, func(n int64) (bool, error) { return e.carries(int(n), metres) })
	return int(most), err
}

// LongestLine is the greatest whole number of millimetres between modules, for so many of them, at which the line still
// carries them: at one more it does not. 0 where it carries them at none.
func (e Even) LongestLine(modules int) (millimetres int64, err error) {
	return Largest(metresMost*1000, func(mm int64) (bool, error) { return e.carries(modules, float64(mm)/1000) })
}

func (e Even) carries(modules int, metres float64) (bool, error) {
	nodes, err := e.Nodes(modules, metres)
	if err != nil {
		return false, err
	}
	return stands(nodes, func(r *Result) bool { return r.Volts[r.Worst] >= e.Least })
}

// Stretch is by how many thousandths every piece of a line may grow, or must shrink, for each node to have its least voltage:
// 1000 is the line as it is. The greatest whole number up to most at which all have; 0 where not even one thousandth will do.
func Stretch(nodes []Node, least []float64, most int64) (int64, error) {
	if len(least) != len(nodes) {
		return 0, fmt.Errorf("%d least voltages for %d nodes: expected as many", len(least), len(nodes))
	}
	long := make([]Node, len(nodes))
	return Largest(most, func(thousandths int64) (bool, error) {
		copy(long, nodes)
		for i := range long {
			long[i].Ohm *= float64(thousandths) / 1000
		}
		return stands(long, func(r *Result) bool {
			for i, v := range r.Volts {
				if v < least[i] {
					return false
				}
			}
			return true
		})
	})
}

// stands tells whether a line stands and is good enough.
func stands(nodes []Node, enough func(*Result) bool) (bool, error) {
	r, err := Solve(nodes)
	if errors.Is(err, ErrCollapse) {
		return false, nil
	}
	return err == nil && enough(&r), err
}

// Largest is the largest whole number from 1 to most for which a question has the answer yes, if it is yes up to some number
// and no above it; 0 where it is never yes. It asks at most some 120 times.
func Largest(most int64, yes func(int64) (bool, error)) (int64, error) {
	if most < 1 || most > 1<<61 {
		return 0, fmt.Errorf("a search up to %d: expected 1 to 2^61", most)
	}
	low, high := int64(0), most+1 // yes at low, no at high
	for step := int64(1); low+1 < high; {
		middle := low + (high-low)/2
		if high == most+1 && low+step < high {
			middle, step = low+step, step*2 // near the small numbers first, which are the quick ones
		}
		ok, err := yes(middle)
		if err != nil {
			return 0, err
		}
		if ok {
			low = middle
		} else {
			high = middle
		}
	}
	return low, nil
}
