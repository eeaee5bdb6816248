// Package radio predicts how much of a radio signal arrives in a house: free-space loss, the loss of walls from their
// material and layers, the multi-wall sum, and the probability that a level is reached.
//
// Plain numbers go in (distances in m, frequencies in GHz, losses in dB, levels in dBm); plain numbers come out. The
// models disagree by 10 dB and more on one and the same floor, so callers name the model beside every figure and let a
// measured value replace it. Not in the formulas: reinforcement, moisture, foil-faced insulation, metal-coated glass,
// mirrors, tiles. Distances below 1 m are taken as 1 m, so that no model returns a gain.
//
// Sources: free space after ITU-R P.525; site-general model ITU-R P.1238 (older form); multi-wall model COST 231
// (fitted near 1.8 GHz: use at 2.4 and 5 GHz is an extrapolation); materials and slabs ITU-R P.2040; area coverage after
// Jakes, Microwave Mobile Communications.
package radio

import "math"

const speedOfLight = 299_792_458 // m/s

// FreeSpace is the free-space loss in dB at a distance in m and a frequency in GHz.
func FreeSpace(metres, gigahertz float64) float64 {
	return 20 * math.Log10(4*math.Pi*math.Max(metres, 1)*gigahertz*1e9/speedOfLight)
}

// SiteGeneral is the older site-general form of ITU-R P.1238: 20·lg f(MHz) + n·lg d + floor loss − 28, in dB.
// Residential at 1.8 to 2 GHz: n = 28 and 4 dB for each floor.
func SiteGeneral(metres, gigahertz, n, floorLoss float64) float64 {
	return 20*math.Log10(gigahertz*1000) + n*math.Log10(math.Max(metres, 1)) + floorLoss - 28
}

// The constants of the COST 231 multi-wall model.
const (
	LightWall  = 3.4  // dB, thin and not load-bearing
	HeavyWall  = 6.9  // dB, load-bearing
	FloorLoss  = 18.3 // dB, one floor
	floorPower = 0.46
)

// MultiWall is the COST 231 multi-wall loss in dB: free space, plus the sum of the walls' losses in dB, plus the
// floors' share, which grows less than in proportion to their number.
func MultiWall(metres, gigahertz, walls float64, floors int) float64 {
	return FreeSpace(metres, gigahertz) + walls + Floors(floors)
}

// Floors is the floor term of the COST 231 model in dB; 0 for none.
func Floors(floors int) float64 {
	if floors <= 0 {
		return 0
	}
	k := float64(floors)
	return FloorLoss * math.Pow(k, (k+2)/(k+1)-floorPower)
}

// Reaches is the probability that a level stays at or above a threshold margin dB below its median, where the spread
// of the levels is sigma dB (log-normal shadowing).
func Reaches(margin, sigma float64) float64 {
	if sigma <= 0 {
		if margin >= 0 {
			return 1
		}
		return 0
	}
	return normal(margin / sigma)
}

// MarginFor is the margin in dB that makes Reaches equal to a probability between 0 and 1, both excluded.
func MarginFor(probability, sigma float64) float64 {
	return -math.Sqrt2 * math.Erfcinv(2*probability) * sigma
}

func normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// Area is the share of a circle in which the threshold is reached when its edge has the margin given (Jakes); exponent
// is the path-loss exponent n of 10·n·lg d.
func Area(margin, sigma, exponent float64) float64 {
	a := -margin / (sigma * math.Sqrt2)
	b := 10 * exponent * math.Log10E / (sigma * math.Sqrt2)
	return (1 - math.Erf(a) + math.Exp((1-2*a*b)/(b*b))*(1-math.Erf((1-a*b)/b))) / 2
}

// Sum adds levels in dBm as powers.
func Sum(levels ...float64) float64 {
	mw := 0.0
	for _, l := range levels {
		mw += math.Pow(10, l/10)
	}
	return 10 * math.Log10(mw)
}
