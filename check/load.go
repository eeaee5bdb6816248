package check

import (
	"math"
	"strconv"

	"wirewright/catalogue"
	"wirewright/house"
)

// draw is what a load takes from the mains, in A, VA and W; known is false where the house gives neither power nor
// apparent power.
type draw struct {
	current, apparent, power float64
	factor                   float64
	known, assumed           bool // assumed: the power factor is ours, not the house's
}

// assumedFactor is the power factor taken where the house gives none: cautious for small electronic loads and ballasts
// without compensation, 0.8 for motors (all common practice, no source).
func assumedFactor(c house.Category) float64 {
	switch c {
	case house.Resistive, house.Incandescent, house.Dry:
		return 1
	case house.Motor, house.Transformer:
		return 0.8
	}
	return 0.5
}

// factorLeast is the lowest power factor that is believed; what is below it is taken for a typing error.
const factorLeast = 0.05

// drawOf computes what a load takes at a voltage in V: apparent power S = P/cosφ, current I = S/U.
func drawOf(l *house.Load, volts float64) draw {
	if l == nil || (l.Power <= 0 && l.Apparent <= 0) || volts <= 0 {
		return draw{}
	}
	d := draw{power: l.Power.W(), apparent: l.Apparent.VA(), factor: l.Factor, known: true}
	if !(d.factor >= factorLeast && d.factor <= 1) {
		d.factor, d.assumed = assumedFactor(l.Category), true
	}
	switch {
	case l.Apparent <= 0:
		d.apparent = d.power / d.factor
	case l.Power <= 0 && d.assumed:
		d.power, d.assumed = d.apparent, false // the active power is at most the apparent one
	case l.Power <= 0:
		d.power = d.apparent * d.factor
	default:
		d.assumed = false
	}
	d.current = d.apparent / volts
	return d
}

// lamps is how many lamps or drivers a load is; at least one.
func lamps(l *house.Load) int { return max(1, l.Count) }

// above tells whether a computed figure exceeds a limit by more than the rounding of its computation.
func above(figure, limit float64) bool { return figure > limit*(1+1e-9) }

// ratingFor finds the rating of a channel group for a load category.
func ratingFor(g *catalogue.ChannelGroup, c house.Category) (*catalogue.Rating, bool) {
	for i := range g.Ratings {
		if g.Ratings[i].Category == c {
			return &g.Ratings[i], true
		}
	}
	return nil, false
}

// excess is one limit of a rating that a load exceeds.
type excess struct{ measured, limit string }

// excessOf lists the limits of current, active and apparent power that a draw exceeds.
func excessOf(r *catalogue.Rating, d draw) []excess {
	var list []excess
	if r.Current > 0 && above(d.current, r.Current.A()) {
		list = append(list, excess{figure(d.current, "A"), r.Current.String()})
	}
	if r.Power > 0 && above(d.power, r.Power.W()) {
		list = append(list, excess{figure(d.power, "W"), r.Power.String()})
	}
	if r.Apparent > 0 && above(d.apparent, r.Apparent.VA()) {
		list = append(list, excess{figure(d.apparent, "VA"), r.Apparent.String()})
	}
	return list
}

// figure prints a computed figure with its unit, three digits after the point at most.
func figure(x float64, unit string) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "not a number"
	}
	return strconv.FormatFloat(math.Round(x*1000)/1000, 'f', -1, 64) + " " + unit
}

// several prints a number of things: "1 lamp", "2 lamps".
func several(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}
