package check

import (
	"testing"

	"wirewright/unit"
)

// Worked: the chain of five modules at 0.0720 Ω/m, warm; what the drawing of a line writes beside its taps.
func TestVoltagesAlongALine(t *testing.T) {
	h, cat := worked.build(72 / 1.0786)
	list := TapVoltages(h, cat, "line")
	if len(list) != 6 || !list[0].Feeds || list[0].Volts != 24 {
		t.Fatalf("%+v", list)
	}
	for i, want := range []float64{23.6832, 23.1360, 22.5420, 22.0128, 21.3216} {
		nearly(t, string(list[i+1].Module), list[i+1].Volts, want, 6e-5)
		if list[i+1].Least != 18 || list[i+1].Feeds {
			t.Errorf("%+v", list[i+1])
		}
	}
	if got := TapVoltages(h, cat, "another"); got != nil {
		t.Errorf("a line that is not there has %+v", got)
	}
	h.Lines[0].Taps[5].Length = unit.Metres(50_000)
	if got := TapVoltages(h, cat, "line"); got != nil {
		t.Errorf("a line that collapses has %+v", got)
	}
}
