package dcline

import (
	"fmt"
	"math"
)

// The limits of a data line after TIA-485-A (ISO/IEC 8482).
const (
	CommonLow   = -7.0    // V, least common-mode voltage at a transceiver
	CommonHigh  = 12.0    // V, most
	UnitLoads   = 32.0    // most on one segment
	UnitOhm     = 12000.0 // Ω, one unit load
	Termination = 120.0   // Ω, at each end of the trunk
	Threshold   = 0.2     // V, at which a receiver is sure of what it sees
)

const (
	lightSpeed  = 299_792_458.0 // m/s, exact (SI)
	stubShare   = 0.1           // of the driver's rise, the run of a stub (maker's application note for transceivers)
	rateLength  = 1e8           // bit·m/s, the usual rule of thumb between the two limits
	longestLine = 1200.0        // m, at up to 100 kb/s
)

// LongestStub is the longest stub in m that a driver with a rise time in s does not see, on a cable with a velocity factor:
// L = 0.1·tr·v·c. Errors name what is out of range.
func LongestStub(rise, velocity float64) (float64, error) {
	if !(rise > 0 && rise < 1) {
		return 0, fmt.Errorf("a rise time of %v s: expected more than 0 and less than 1 s", rise)
	}
	if !(velocity > 0 && velocity <= 1) {
		return 0, fmt.Errorf("a velocity factor of %v: expected more than 0 up to 1", velocity)
	}
	return stubShare * rise * velocity * lightSpeed, nil
}

// LongestAtRate is the longest data line in m at a rate in bit/s: 1200 m up to 100 kb/s, rate × length ≤ 10⁸ bit·m/s above
// (a rule of thumb), never more than 1200 m.
func LongestAtRate(rate float64) (float64, error) {
	if !(rate > 0 && rate <= 1e8) {
		return 0, fmt.Errorf("a rate of %v bit/s: expected more than 0 up to 1e8", rate)
	}
	return math.Min(longestLine, rateLength/rate), nil
}

// DriverLoad is what a driver sees in Ω: the terminations and the receivers of all unit loads in parallel. +Inf where there
// is neither.
func DriverLoad(terminations int, unitLoads float64) float64 {
	return 1 / (float64(max(0, terminations))/Termination + math.Max(0, unitLoads)/UnitOhm)
}

// MostBias is the largest resistance in Ω of each of the two resistors that hold an idle line of a load in Ω at the
// threshold of its receivers, from a supply in V.
func MostBias(supply, load float64) (float64, error) {
	if !(supply > Threshold && supply < 1e3) {
		return 0, fmt.Errorf("a bias from %v V: expected more than %v V", supply, Threshold)
	}
	if !(load > 0 && load < 1e9) {
		return 0, fmt.Errorf("a line of %v Ω: expected more than 0", load)
	}
	return load * (supply/Threshold - 1) / 2, nil
}

// Ends are the places where the trunk of a line ends: the two nodes that are furthest apart along the cable, which are where
// the terminations belong. Stubs are what hangs beside the way between them. One node for a line of one.
func Ends(nodes []Node) ([]int, error) {
	if err := sound(nodes); err != nil {
		return nil, err
	}
	if len(nodes) == 1 {
		return []int{0}, nil
	}
	a := furthest(nodes, 0)
	b := furthest(nodes, a)
	return []int{min(a, b), max(a, b)}, nil
}

// furthest finds the node with most resistance between it and another; the first where several have.
func furthest(nodes []Node, from int) int {
	far := make([]float64, len(nodes))
	for i := range far {
		far[i] = -1
	}
	// Up from the place to the first node; every other node is reached from the nearest of those on the way down.
	for i, sum := from, 0.0; i >= 0; i = nodes[i].Parent {
		far[i] = sum
		sum += nodes[i].Ohm
	}
	best := from
	for i, n := range nodes {
		if far[i] < 0 {
			far[i] = far[n.Parent] + n.Ohm
		}
		if far[i] > far[best] {
			best = i
		}
	}
	return best
}

// Branches lists the nodes from which more than two pieces of cable go: places where a line is no chain.
func Branches(nodes []Node) ([]int, error) {
	if err := sound(nodes); err != nil {
		return nil, err
	}
	pieces := make([]int, len(nodes))
	for i, n := range nodes[1:] {
		pieces[i+1]++
		pieces[n.Parent]++
	}
	var list []int
	for i, n := range pieces {
		if n > 2 {
			list = append(list, i)
		}
	}
	return list, nil
}
