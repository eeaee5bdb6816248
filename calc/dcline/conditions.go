package dcline

import (
	"fmt"
	"math"
	"slices"
)

// Conditions are what a line is judged under.
type Conditions struct {
	Celsius float64 // temperature of the conductors, °C; the resistances of the nodes are those at 20 °C
	Joints  float64 // share by which joints, terminals and the cable's own tolerance raise the loop resistance
	Low     float64 // share by which the supplies stay below their nominal voltage
	Demand  float64 // loads as a share of those of the nodes: 1 with all outputs on, more while inputs charge at the start
}

// Nominal is a line as the nodes give it.
func Nominal() Conditions { return Conditions{Celsius: 20, Demand: 1} }

// Start is a line that comes up: every module charges its input at once. 1.3 times the steady load is common practice
// (no source); the maker's figure goes before it.
func (c Conditions) Start() Conditions {
	c.Demand *= 1.3
	return c
}

// Apply makes the nodes of a line as they are under the conditions. Errors name the figure that is out of range.
func (c Conditions) Apply(nodes []Node) ([]Node, error) {
	switch {
	case !(c.Celsius >= -60 && c.Celsius <= 200):
		return nil, fmt.Errorf("conductors at %v °C: expected -60 to 200 °C", c.Celsius)
	case !(c.Joints >= 0 && c.Joints <= 10):
		return nil, fmt.Errorf("joints of a share of %v: expected 0 to 10", c.Joints)
	case !(c.Low >= 0 && c.Low < 1):
		return nil, fmt.Errorf("supplies low by a share of %v: expected 0 to less than 1", c.Low)
	case !(c.Demand >= 0 && c.Demand <= 100):
		return nil, fmt.Errorf("demand of a share of %v: expected 0 to 100", c.Demand)
	}
	list := slices.Clone(nodes)
	for i := range list {
		n := &list[i]
		n.Ohm = AtTemperature(n.Ohm, c.Celsius) * (1 + c.Joints)
		n.Supply *= 1 - c.Low
		n.Amps *= c.Demand
		n.Watts *= c.Demand
	}
	return list, nil
}

// Under computes a line under conditions.
func Under(nodes []Node, c Conditions) (Result, error) {
	list, err := c.Apply(nodes)
	if err != nil {
		return Result{}, err
	}
	return Solve(list)
}

// Shift is by how much the common conductor of one place stands above that of another, in V, where both conductors of the
// line are equal: half of what the voltage between them differs. By symmetry the middle between both conductors is level
// all along such a line, whatever feeds it, as long as no other conductor joins its supplies.
func Shift(here, there float64) float64 { return (there - here) / 2 }

// Between are the two places of a line whose common conductors are furthest apart, of those named, with the shift
// between them in V. No place where none is named.
func (r *Result) Between(places []int) (low, high int, shift float64) {
	for k, i := range places {
		if k == 0 {
			low, high = i, i
		}
		if r.Volts[i] < r.Volts[low] {
			low = i
		}
		if r.Volts[i] > r.Volts[high] {
			high = i
		}
	}
	if len(places) > 0 {
		shift = Shift(r.Volts[low], r.Volts[high])
	}
	return low, high, shift
}

// AtTemperature converts a resistance at 20 °C to another conductor temperature in °C (copper, 0.00393 1/K).
func AtTemperature(ohm20, celsius float64) float64 { return ohm20 * (1 + 0.00393*(celsius-20)) }

// WireLoop is the loop resistance in Ω/m of two round wires of ideal copper (17.241 nΩ·m at 20 °C, IEC 60028) of a diameter
// in mm.
func WireLoop(diameter float64) float64 {
	return 2 * 17.241e-3 / (math.Pi / 4 * diameter * diameter)
}

// GaugeDiameter is the diameter in mm of a wire of an American gauge number.
func GaugeDiameter(gauge float64) float64 { return 0.127 * math.Pow(92, (36-gauge)/39) }
