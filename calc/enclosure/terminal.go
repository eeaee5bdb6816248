package enclosure

import "math"

// Cable is what one cable brings to a board.
type Cable struct {
	Lines   int    // line conductors, switched ones included
	Neutral bool   //
	Earth   bool   // a protective conductor
	Bar     string // the residual-current device whose neutral it is; neutrals of two devices share no bar
}

// Terminals is how many places the conductors of cables need.
type Terminals struct {
	Lines    int // on terminals or devices
	Neutrals int // on the neutral bars, one for each conductor
	Earths   int // on the protective bar
	Bars     int // neutral bars, one for each residual-current device
	Bridges  int // links between bars and their devices: one for each neutral bar, one for the protective bar
}

// CountTerminals counts the conductors that land. Each has a place alone, as IEC 60364-5-51 asks of protective conductors and
// the practice of all (from memory).
func CountTerminals(cables []Cable) Terminals {
	var t Terminals
	bars := map[string]bool{}
	for _, c := range cables {
		t.Lines += max(0, c.Lines)
		if c.Neutral {
			t.Neutrals++
			bars[c.Bar] = true
		}
		if c.Earth {
			t.Earths++
		}
	}
	t.Bars = len(bars)
	t.Bridges = t.Bars
	if t.Earths > 0 {
		t.Bridges++
	}
	return t
}

// TerminalPitch is the width in mm of a usual rail terminal for conductors up to 2.5 mm² (common practice, from memory).
const TerminalPitch = 5.2

// TerminalUnits is how many width units of 17.5 mm a number of terminals takes on a rail, side by side with an end stop of
// one pitch.
func TerminalUnits(terminals int) int {
	if terminals <= 0 {
		return 0
	}
	return int(math.Ceil(float64(terminals+1)*TerminalPitch/17.5 - 1e-9))
}
