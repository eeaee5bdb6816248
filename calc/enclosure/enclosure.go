// Package enclosure estimates the heat in a distribution board: the losses that count, the area that gives them off,
// and the temperature rise.
//
// Plain numbers go in (W, m, K) and come out. Three methods stand side by side, because makers and countries use
// different ones: the household rule compares losses with what the enclosure's maker declares; the coefficient method
// divides by area; IEC TR 60890 gives the rise at mid-height and under the top. Callers name the method beside the
// figure.
//
// Sources: household rule after CEI 23-51 and IEC 60670-24; effective areas and rises after IEC TR 60890 (the 2022
// equations as transcribed publicly; exponent 0.804 and surface factors from memory); rated diversity IEC 61439-3.
package enclosure

import "math"

// Placing is how a board stands, which decides what surface cools it.
type Placing int

// The placings.
const (
	OnWall Placing = iota // surface-mounted on a wall, single
	Free                  // free-standing, single
	Flush                 // let into the wall: only the front counts, a cautious bound
)

// Area is the effective cooling area in m² of a board of height, width and depth in m.
func Area(height, width, depth float64, placing Placing) float64 {
	switch placing {
	case Free:
		return 1.8*height*(width+depth) + 1.4*width*depth
	case Flush:
		return 0.9 * width * height
	}
	return 1.4*width*(height+depth) + 1.8*depth*height
}

// The heat transfer coefficients of the coefficient method, W/(m²·K).
const (
	Steel   = 5.5
	Plastic = 3.5
)

// Rise is the mean temperature rise in K by the coefficient method.
func Rise(watts, coefficient, area float64) float64 { return watts / (coefficient * area) }

// Diversity is the simultaneity factor by number of outgoing circuits (IEC 61439-3).
func Diversity(circuits int) float64 {
	switch {
	case circuits <= 1:
		return 1
	case circuits <= 3:
		return 0.8
	case circuits <= 5:
		return 0.7
	case circuits <= 9:
		return 0.6
	}
	return 0.5
}

// Breaker is the most heat in W that one pole of a circuit-breaker may give off at its rated current in A (IEC 60898-1,
// greatest power loss of a pole; from memory, not verified); false above 63 A, and for no rating.
func Breaker(rating float64) (watts float64, ok bool) {
	for _, row := range []struct{ to, watts float64 }{{10, 3}, {16, 3.5}, {25, 4.5}, {32, 6}, {40, 7.5}, {50, 9}, {63, 13}} {
		if rating > 0 && rating <= row.to {
			return row.watts, true
		}
	}
	return 0, false
}

// Household is the total loss in W by the household rule: 1.2 × losses of the switching and protective devices at
// their real currents, plus what else gives off heat.
func Household(devices, other float64) float64 { return 1.2*devices + other }

// Rises is the temperature rise in K at mid-height and under the top of an enclosure without openings (IEC TR 60890),
// for effective areas up to 1.25 m²; larger boards than a household's are not computed and give NaN.
func Rises(watts, height, width, depth float64, placing Placing) (middle, top float64) {
	area := Area(height, width, depth, placing)
	if area > 1.25 || area <= 0 || watts < 0 {
		return math.NaN(), math.NaN()
	}
	k := 4.0
	if area >= 0.08 {
		k = 0.626 * math.Pow(area, -0.737)
	}
	middle = k * math.Pow(watts, 0.804)
	return middle, middle * distribution(height/width)
}

// distribution is the factor c between the rise under the top and at mid-height, by slenderness.
func distribution(g float64) float64 {
	if g <= 0.8147 {
		return 1 + 0.19354*g
	}
	return 0.93643 + 0.324055*(1-math.Exp(0.38579-1.8827*g))
}
