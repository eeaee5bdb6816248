package enclosure

import "math"

// The exponent of the loss in IEC TR 60890 (from memory), and the effective area in m² at which its equations change.
const (
	riseExponent = 0.804
	areaSmall    = 1.25
)

// Rises is the temperature rise in K at mid-height and under the top of an enclosure without openings and without shelves
// (IEC TR 60890:2022, as transcribed publicly). At 1.25 m² of effective area the two branches of the standard do not meet;
// neither is blended. Above that area the rise under the top is taken with the constant of the curve that is greatest of
// the five, which is cautious. Sizes or losses that are not positive numbers give NaN.
func Rises(watts, height, width, depth float64, placing Placing) (middle, top float64) {
	k, c := factors(height, width, depth, placing)
	if !(watts >= 0) {
		return math.NaN(), math.NaN()
	}
	middle = k * math.Pow(watts, riseExponent)
	return middle, middle * c
}

// PermissibleLoss is the loss in W at which the rise under the top is that many K: the inverse of Rises.
func PermissibleLoss(rise, height, width, depth float64, placing Placing) float64 {
	k, c := factors(height, width, depth, placing)
	if !(rise >= 0) {
		return math.NaN()
	}
	return math.Pow(rise/(k*c), 1/riseExponent)
}

// factors are k, from which the rise at mid-height comes, and c, by which that under the top is more.
func factors(height, width, depth float64, placing Placing) (k, c float64) {
	area := Area(height, width, depth, placing)
	switch {
	case !(height > 0) || !(width > 0) || !(depth > 0) || math.IsInf(area, 0):
		return math.NaN(), math.NaN()
	case area < 0.08:
		return 4, distribution(height / width)
	case area <= areaSmall:
		return 0.626 * math.Pow(area, -0.737), distribution(height / width)
	}
	return 0.58 * math.Pow(area, -0.795), distributionLarge(math.Pow(height, 1.35) / (width * depth))
}

// distribution is the factor c of small enclosures by slenderness, height over width.
func distribution(g float64) float64 {
	if g <= 0.8147 {
		return 1 + 0.19354*g
	}
	return 0.93643 + 0.324055*(1-math.Exp(0.38579-1.8827*g))
}

// distributionLarge is the factor c of large enclosures by f = H^1.35/(W·D). The parabola is followed up to its top and
// held there: beyond it would promise a cooler top for a slenderer board.
func distributionLarge(f float64) float64 {
	const peak = 0.055 / (2 * 0.0017)
	f = min(f, peak)
	return -0.0017*f*f + 0.055*f + 1.182
}

// Contact is the share of its rating that each of a number of circuit-breakers side by side may carry (a maker's data
// rule, from memory): they warm each other.
func Contact(breakers int) float64 {
	switch {
	case breakers <= 1:
		return 1
	case breakers <= 3:
		return 0.85
	}
	return 0.75
}

// Warmth is the share of its rating that a circuit-breaker may carry in air of some °C: 0.5 % less for each K above 30 °C
// (a maker's data rule, from memory), never less than none.
func Warmth(air float64) float64 { return max(0, min(1, 1-0.005*(air-30))) }

// Margin is how many K are left between the air at the top of a board and the lowest ambient temperature in °C that the
// devices there permit; a negative one is a fault. Electronics often permit 45 to 55 °C (from memory).
func Margin(room, top, permitted float64) float64 { return permitted - room - top }
