package enclosure

import (
	"fmt"
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.5f, want %.5f within %g", what, got, want, within)
	}
}

func TestArea(t *testing.T) {
	for _, c := range []struct{ h, w, d, free, wall float64 }{
		{2, .8, .6, 5.712, 5.072}, {.6, .4, .12, .6288, .5328}, {.8, .6, .15, 1.2060, 1.0140},
	} {
		near(t, fmt.Sprint(c, " free"), Area(c.h, c.w, c.d, Free), c.free, 1e-9)
		near(t, fmt.Sprint(c, " wall"), Area(c.h, c.w, c.d, OnWall), c.wall, 1e-9)
	}
}

// The published case of the coefficient method is 500 W, 15 K, 5.5 W/(m²·K): 6.06 m².
func TestRiseByCoefficient(t *testing.T) {
	near(t, "published", Rise(500, Steel, 6.06), 15, .01)
	near(t, "steel", Rise(20, Steel, .5328), 6.825, 6e-4)
	near(t, "plastic", Rise(40, Plastic, 1.0140), 11.271, 6e-4)
}

func TestRises(t *testing.T) {
	for _, c := range []struct{ h, w, d, p, middle, top float64 }{
		{.6, .4, .12, 20, 11.069, 13.640}, {.6, .4, .12, 40, 19.326, 23.814}, {.8, .6, .15, 40, 12.028, 14.695}, {.5, .3, .10, 15, 12.178, 15.098},
	} {
		middle, top := Rises(c.p, c.h, c.w, c.d, OnWall)
		near(t, fmt.Sprint(c, " middle"), middle, c.middle, 6e-4)
		near(t, fmt.Sprint(c, " top"), top, c.top, 6e-4)
	}
	if middle, _ := Rises(40, 2, .8, .6, OnWall); !math.IsNaN(middle) {
		t.Errorf("a board of 5 m² was computed: %g K", middle)
	}
}

func TestHousehold(t *testing.T) {
	devices := 6*.85*.85 + 6*4.8*Diversity(6)*Diversity(6)
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
