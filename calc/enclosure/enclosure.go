// Package enclosure lays out a distribution board and estimates its heat: which device stands on which row and slot, how
// many terminals it needs, what losses count, what area gives them off, and the temperature rise.
//
// Plain numbers go in (W, m, K, width units) and come out. Three methods for heat stand side by side, because makers and
// countries use different ones: the household rule compares losses with what the enclosure's maker declares; the
// coefficient method divides by area; IEC TR 60890 gives the rise at mid-height and under the top. Callers name the
// method beside the figure. Lay answers with the least number of rows, and with a bound that it proved itself.
//
// Sources: household rule after CEI 23-51 and IEC 60670-24; effective areas and rises after IEC TR 60890 (the 2022
// equations as transcribed publicly; exponent 0.804 and surface factors from memory); rated diversity IEC 61439-3.
package enclosure

// Placing is how a board stands, which decides what surface cools it.
type Placing int

// The placings.
const (
	OnWall            Placing = iota // surface-mounted on a wall, single
	Free                             // free-standing, single
	Flush                            // let into the wall: only the front counts, a cautious bound
	EndFree                          // the first or last of a row of boards, free-standing
	EndWall                          // the first or last of a row, on a wall
	MiddleFree                       // between two others, free-standing
	MiddleWall                       // between two others, on a wall
	MiddleWallCovered                // likewise, with its top covered
)

// Area is the effective cooling area in m² of a board of height, width and depth in m: the surfaces times their factors
// (IEC TR 60890, from memory: top 1.4, covered 0.7; front 0.9; side 0.9, covered 0.5; rear 0.9, to a wall 0.5). No table
// covers a board that is let into a wall; its front alone is counted.
func Area(height, width, depth float64, placing Placing) float64 {
	h, w, d := height, width, depth
	switch placing {
	case Free:
		return 1.8*h*(w+d) + 1.4*w*d
	case Flush:
		return 0.9 * w * h
	case EndFree:
		return 1.4*d*(h+w) + 1.8*w*h
	case EndWall:
		return 1.4*h*(w+d) + 1.4*w*d
	case MiddleFree:
		return 1.8*w*h + 1.4*w*d + d*h
	case MiddleWall:
		return 1.4*w*(h+d) + d*h
	case MiddleWallCovered:
		return 1.4*w*h + 0.7*w*d + d*h
	}
	return 1.4*w*(h+d) + 1.8*d*h
}

// The heat transfer coefficients of the coefficient method, W/(m²·K), after a public page on natural cooling; that of
// aluminium is a maker's figure and doubtful for a single wall.
const (
	Steel     = 5.5 // painted
	Stainless = 3.7
	Aluminium = 12.0
	Plastic   = 3.5
)

// Rise is the mean temperature rise in K by the coefficient method.
func Rise(watts, coefficient, area float64) float64 { return watts / (coefficient * area) }

// RiseArea is the effective area in m² that some W need to stay within a rise in K: the inverse of Rise.
func RiseArea(watts, coefficient, rise float64) float64 { return watts / (coefficient * rise) }

// Incoming is the factor Ke of an incoming device by the household rule: its current over its rating, at most 0.85. Its
// losses count times Ke².
func Incoming(current, rating float64) float64 {
	if !(rating > 0) || !(current >= 0) {
		return 0.85
	}
	return min(0.85, current/rating)
}

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
