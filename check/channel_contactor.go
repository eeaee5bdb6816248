package check

import (
	"fmt"

	"wirewright/house"
)

// contactorSizes are the usual rated currents of contactors for household use in A (IEC 61095, which goes up to 63 A; the
// steps are common practice, no source).
var contactorSizes = []float64{16, 20, 25, 40, 63}

// coilHold is what the coil of such a contactor takes while it holds, in VA; while it closes it takes several times that
// (common practice, no source).
const coilHold = 5.0

// contactorFor says how a contactor would carry a load in the place of an output: its size and category, and whether the
// output may switch its coil, which is then its only load.
func contactorFor(x *loaded) string {
	size := "a contactor"
	if x.draw.known {
		size = "several contactors"
		for _, amps := range contactorSizes {
			if !above(x.draw.current, amps) {
				size = fmt.Sprintf("a contactor of %s", figure(amps, "A"))
				break
			}
		}
	}
	text := fmt.Sprintf("or let it switch %s (%s)", size, contactorCategory(x.load.Category))
	r, ok := ratingFor(x.channel, house.Coil)
	if !ok {
		return text + "; this output has no rating for a coil, so take another for that"
	}
	text += fmt.Sprintf(": the coil, about %s, is then the load of the output", figure(coilHold, "VA"))
	if r.Current > 0 {
		text += fmt.Sprintf(", which may switch %s of coils (AC-15)", r.Current)
	}
	return text + ", with an RC suppressor across it"
}

// contactorCategory is what a contactor for a load must be rated for.
func contactorCategory(c house.Category) string {
	switch c {
	case house.Motor:
		return "AC-7b, IEC 61095"
	case house.Incandescent:
		return "AC-5b, IEC 60947-4-1"
	case house.Fluorescent:
		return "AC-5a, IEC 60947-4-1"
	case house.LED:
		return "by the number of drivers that its maker states"
	case house.Transformer:
		return "AC-6a, IEC 60947-4-1"
	}
	return "AC-7a, IEC 61095"
}
