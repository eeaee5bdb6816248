package enclosure

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.5f, want %.5f within %g", what, got, want, within)
	}
}

// The table of effective areas: three sizes by seven placings, worked from the surface factors of IEC TR 60890.
func TestArea(t *testing.T) {
	sizes := [3][3]float64{{2, .8, .6}, {.6, .4, .12}, {.8, .6, .15}}
	for placing, want := range map[Placing][3]float64{
		Free: {5.712, .6288, 1.2060}, OnWall: {5.072, .5328, 1.0140}, EndFree: {5.232, .6000, 1.1580}, EndWall: {4.592, .5040, .9660},
		MiddleFree: {4.752, .5712, 1.1100}, MiddleWall: {4.112, .4752, .9180}, MiddleWallCovered: {3.776, .4416, .8550}, Flush: {1.44, .216, .432},
	} {
		for i, s := range sizes {
			near(t, fmt.Sprint(placing, s), Area(s[0], s[1], s[2], placing), want[i], 1e-9)
		}
	}
}

// TestAreaIsTheSumOfItsSurfaces adds the surfaces one by one with their factors, for placings that the formulas simplify.
func TestAreaIsTheSumOfItsSurfaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) float64 { return rapid.Float64Range(.05, 2).Draw(t, name) }
		h, w, d := draw("h"), draw("w"), draw("d")
		for placing, f := range map[Placing]struct{ top, rear, left, right float64 }{
			Free: {1.4, .9, .9, .9}, OnWall: {1.4, .5, .9, .9}, EndFree: {1.4, .9, .9, .5}, EndWall: {1.4, .5, .9, .5},
			MiddleFree: {1.4, .9, .5, .5}, MiddleWall: {1.4, .5, .5, .5}, MiddleWallCovered: {.7, .5, .5, .5},
		} {
			sum := f.top*w*d + .9*w*h + f.rear*w*h + (f.left+f.right)*d*h
			if got := Area(h, w, d, placing); math.Abs(got-sum) > 1e-9 {
				t.Errorf("placing %d of %g × %g × %g: %g, surfaces sum to %g", placing, h, w, d, got, sum)
			}
		}
	})
}

// The published case of the coefficient method is 500 W, 15 K, 5.5 W/(m²·K): 6.06 m².
func TestRiseByCoefficient(t *testing.T) {
	near(t, "published", Rise(500, Steel, 6.06), 15, .01)
	near(t, "steel", Rise(20, Steel, .5328), 6.825, 6e-4)
	near(t, "steel", Rise(40, Steel, .5328), 13.650, 6e-4)
	near(t, "plastic", Rise(20, Plastic, .5328), 10.725, 6e-4)
	near(t, "plastic", Rise(40, Plastic, .5328), 21.450, 6e-4)
	near(t, "plastic", Rise(40, Plastic, 1.0140), 11.271, 6e-4)
	near(t, "area", RiseArea(500, Steel, 15), 6.06, .01)
	near(t, "stainless to aluminium", Rise(1, Stainless, 1)/Rise(1, Aluminium, 1), 12/3.7, 1e-9)
}

func TestRises(t *testing.T) {
	for _, c := range []struct{ h, w, d, p, middle, top float64 }{
		{.6, .4, .12, 20, 11.069, 13.640}, {.6, .4, .12, 40, 19.326, 23.814}, {.8, .6, .15, 40, 12.028, 14.695}, {.5, .3, .10, 15, 12.178, 15.098},
	} {
		middle, top := Rises(c.p, c.h, c.w, c.d, OnWall)
		near(t, fmt.Sprint(c, " middle"), middle, c.middle, 6e-4)
		near(t, fmt.Sprint(c, " top"), top, c.top, 6e-4)
	}
	for _, c := range []struct{ h, w, d, k, c float64 }{{.6, .4, .12, .99563, 1.23219}, {.8, .6, .15, .61962, 1.22176}, {.5, .3, .10, 1.38038, 1.23981}} {
		k, top := factors(c.h, c.w, c.d, OnWall)
		near(t, fmt.Sprint(c, " k"), k, c.k, 6e-6)
		near(t, fmt.Sprint(c, " c"), top, c.c, 6e-6)
	}
	near(t, "permissible", PermissibleLoss(15, .6, .4, .12, OnWall), 22.510, 6e-4)
}

// TestRisesAboveSmallAreas: 5.072 m² give k = 0.58·5.072^−0.795 = 0.15955; f = 2^1.35/0.48 = 5.3107 gives
// c = 1.182 + 0.055·f − 0.0017·f² = 1.42614, both by hand from the equations.
func TestRisesAboveSmallAreas(t *testing.T) {
	k, c := factors(2, .8, .6, OnWall)
	near(t, "k", k, .58*math.Exp(-.795*math.Log(5.072)), 1e-9)
	near(t, "c", c, 1.42614, 1e-4)
	for _, bad := range [][4]float64{{-1, 1, 1, 1}, {1, 0, 1, 1}, {1, 1, -1, 1}, {1, 1, 1, math.NaN()}, {math.Inf(1), 1, 1, 1}, {math.NaN(), 1, 1, 1}} {
		if _, top := Rises(bad[0], bad[1], bad[2], bad[3], OnWall); !math.IsNaN(top) && !math.IsInf(top, 1) {
			t.Errorf("%v gave %g K", bad, top)
		}
	}
}

// TestRisesAndLossesAreInverse also holds that more loss never is cooler, and that a larger front never is warmer.
func TestRisesAndLossesAreInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, from, to float64) float64 { return rapid.Float64Range(from, to).Draw(t, name) }
		h, w, d, p := draw("h", .2, 2), draw("w", .2, 1), draw("d", .05, .6), draw("p", .1, 500)
		placing := Placing(rapid.IntRange(0, 7).Draw(t, "placing"))
		middle, top := Rises(p, h, w, d, placing)
		if back := PermissibleLoss(top, h, w, d, placing); math.Abs(back-p) > 1e-9*p {
			t.Errorf("%g W rise %g K, which permit %g W", p, top, back)
		}
		if _, more := Rises(p*1.01, h, w, d, placing); more <= top || top < middle {
			t.Errorf("%g W: %g K, 1 %% more: %g K; mid-height %g K", p, top, more, middle)
		}
	})
}

func TestNeighboursAndWarmth(t *testing.T) {
	for n, want := range map[int]float64{0: 1, 1: 1, 2: .85, 3: .85, 4: .75, 12: .75} {
		near(t, fmt.Sprint(n, " in contact"), Contact(n), want, 0)
	}
	for air, want := range map[float64]float64{20: 1, 30: 1, 31: .995, 50: .9, 230: 0, 500: 0} {
		near(t, fmt.Sprint(air, " °C"), Warmth(air), want, 1e-12)
	}
	near(t, "35 °C and 20 K to 55 °C", Margin(35, 20, 55), 0, 0)
	near(t, "limit of the greatest current ratio", Incoming(63, 63), .85, 0)
	near(t, "half loaded", Incoming(20, 40), .5, 0)
}

func TestHousehold(t *testing.T) {
	ke := Incoming(40, 40)
	near(t, "incoming device", 6*ke*ke, 4.335, 6e-4)
	near(t, "outgoing", 6*4.8*Diversity(6)*Diversity(6), 10.368, 6e-4)
	devices := 6*ke*ke + 6*4.8*Diversity(6)*Diversity(6)
	near(t, "devices", devices, 14.703, 6e-4)
	near(t, "with connections", Household(devices, 0), 17.644, 6e-4)
	near(t, "worked case", Household(devices, 14), 31.644, 6e-4)
}

// The rows of IEC 60898-1 as remembered; a maker's devices give off less.
func TestBreaker(t *testing.T) {
	for rating, want := range map[float64]float64{6: 3, 10: 3, 13: 3.5, 16: 3.5, 20: 4.5, 25: 4.5, 32: 6, 40: 7.5, 50: 9, 63: 13} {
		if got, ok := Breaker(rating); !ok || got != want {
			t.Errorf("%g A: %g W, %v, want %g", rating, got, ok, want)
		}
	}
	for _, rating := range []float64{0, -1, 63.1, math.Inf(1), math.NaN()} {
		if got, ok := Breaker(rating); ok {
			t.Errorf("%g A: got %g W", rating, got)
		}
	}
}
