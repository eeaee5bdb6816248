package control

import (
	"math"
	"testing"
)

// TestDimmingCurve checks the table against the formula of IEC 62386-102, X(n) = 10^((n-1)/(253/3) - 1) percent, and
// against figures of the standard's table that were worked out from it by hand.
func TestDimmingCurve(t *testing.T) {
	for n := int32(1); n <= CurveTop; n++ {
		x := math.Pow(10, float64(n-1)/(253.0/3)-1)
		if got := CurveLight(n); math.Abs(float64(got)-x*10_000) > 0.5001 {
			t.Errorf("X(%d) = %d millionths, want %.3f", n, got, x*10_000)
		}
	}
	for n, want := range map[int32]int32{
		0: 0, 1: 1000, 2: 1028, 50: 3811, 60: 5007, 85: 9909, 86: 10184, 100: 14925, 126: 30354, 127: 31194, 144: 49619,
		170: 100914, 195: 199708, 200: 228920, 210: 300788, 220: 395219, 229: 505309, 235: 595256, 241: 701213, 246: 803782,
		250: 896539, 253: 973066, 254: 1000000,
	} {
		if got := CurveLight(n); got != want {
			t.Errorf("X(%d) = %d millionths, want %d", n, got, want)
		}
	}
	if CurveLight(-5) != 0 || CurveLight(255) != 1000_000 {
		t.Error("levels outside the curve must be taken to its ends")
	}
}

// TestDimmingInverse: n = round((lg X + 1)·253/3 + 1). Cutting off instead of rounding gives 228 for 50 %.
func TestDimmingInverse(t *testing.T) {
	for light, want := range map[int32]int32{
		0: 0, 1: 1, 5: 60, 10: 85, 20: 111, 50: 144, 100: 170, 200: 195, 250: 203, 300: 210, 400: 220, 500: 229, 600: 235,
		700: 241, 750: 243, 800: 246, 900: 250, 1000: 254, 2000: 254, -3: 0,
	} {
		if got := CurveIndex(light); got != want {
			t.Errorf("%d thousandths give level %d, want %d", light, got, want)
		}
	}
	for light := int32(1); light <= 1000; light++ {
		want := int32(math.Round((math.Log10(float64(light)/10)+1)*253/3 + 1))
		if got := CurveIndex(light); got != want {
			t.Errorf("%d thousandths give level %d, want %d", light, got, want)
		}
	}
	for n := int32(150); n <= CurveTop; n++ { // below, a thousandth holds several levels
		if got := CurveIndex(CurveLevel(n)); got != n {
			t.Errorf("level %d there and back is %d", n, got)
		}
	}
}

// TestFadeTimes: T = 0.5·√(2^k) s of IEC 62386-102.
func TestFadeTimes(t *testing.T) {
	for k := int32(1); k <= 15; k++ {
		want := int32(math.Round(500 * math.Sqrt(math.Pow(2, float64(k)))))
		if got := FadeTime(k); got != want {
			t.Errorf("code %d is %d ms, want %d", k, got, want)
		}
	}
	if FadeTime(0) != 0 || FadeTime(16) != 0 {
		t.Error("codes outside 1..15 have no time")
	}
}
