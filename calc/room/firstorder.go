package room

import "math"

// FirstOrder is a room with one temperature: it drifts exponentially to where loss and heat balance.
type FirstOrder struct {
	Loss     float64 // W/K, above 0
	Constant float64 // time constant, hours, above 0
}

// Step is the temperature after some hours, from a start, with the outside and the heat constant meanwhile.
func (r FirstOrder) Step(start, outside, heat, hours float64) float64 {
	end := outside + heat/r.Loss
	return end + (start-end)*math.Exp(-hours/r.Constant)
}

// Hours is how long the temperature takes from one value to another; false if it never gets there.
func (r FirstOrder) Hours(start, goal, outside, heat float64) (float64, bool) {
	end := outside + heat/r.Loss
	ratio := (start - end) / (goal - end)
	if !(ratio >= 1) || math.IsInf(ratio, 0) {
		return 0, start == goal
	}
	return r.Constant * math.Log(ratio), true
}
