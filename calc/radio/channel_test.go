package radio

import "testing"

// Centre frequencies as IEEE 802.11 gives them: channel 1 2412 MHz, 6 2437, 13 2472, 14 2484, 36 5180, 165 5825; and
// channel 181 of the 6 GHz band 6855.
func TestCentre(t *testing.T) {
	for channel, want := range map[int]float64{1: 2.412, 6: 2.437, 11: 2.462, 13: 2.472, 14: 2.484, 36: 5.180, 64: 5.320, 165: 5.825, 181: 6.855, 233: 7.115} {
		if got, ok := Centre(channel); !ok || got != want {
			t.Errorf("channel %d: %g GHz, %v, want %g", channel, got, ok, want)
		}
	}
	for _, channel := range []int{-1, 0, 15, 31, 234, 1 << 40} {
		if got, ok := Centre(channel); ok {
			t.Errorf("channel %d was taken for %g GHz", channel, got)
		}
	}
}
