package radio

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

func TestFreeSpace(t *testing.T) {
	for _, c := range []struct{ ghz, m, want float64 }{
		{2.4, 1, 40.052}, {2.4, 5, 54.031}, {2.4, 20, 66.073}, {2.437, 10, 60.185}, {5, 10, 66.427}, {5.18, 20, 72.755},
		{2.4, .2, 40.052}, // clamped to 1 m
	} {
		near(t, fmt.Sprintf("%g GHz %g m", c.ghz, c.m), FreeSpace(c.m, c.ghz), c.want, 6e-4)
	}
}

// The published check of the site-general model is test 6 of ns-3, src/buildings/test/buildings-pathloss-test.cc:
// residential, 2114 MHz, (−5,0,1) to (−5,30,10), two floors: 88.3855 dB with a tolerance of 0.1.
func TestSiteGeneralAgainstPublishedCase(t *testing.T) {
	near(t, "ns-3 case", SiteGeneral(math.Hypot(30, 9), 2.114, 28, 8), 88.3855, .1)
	near(t, "formula", SiteGeneral(math.Hypot(30, 9), 2.114, 28, 8), 88.38547, 6e-5)
	for _, c := range []struct{ ghz, n, lf, d, want float64 }{
		{2.4, 28, 0, 5, 59.18}, {2.4, 28, 4, 10, 71.60}, {2.4, 28, 10, 15, 82.53}, {5.2, 30, 0, 10, 76.32}, {5.2, 28, 13, 15, 92.25},
	} {
		near(t, fmt.Sprint(c), SiteGeneral(c.d, c.ghz, c.n, c.lf), c.want, 6e-3)
	}
}

func TestMultiWall(t *testing.T) {
	for i, want := range []float64{0, 18.3, 33.524, 43.589, 51.048} {
		near(t, fmt.Sprintf("%d floors", i), Floors(i), want, 6e-4)
	}
	for _, c := range []struct {
		d, ghz              float64
		light, heavy, floor int
		want                float64
	}{
		{5, 2.437, 0, 0, 0, 54.16}, {8, 2.437, 1, 1, 0, 68.55}, {10, 2.437, 2, 1, 0, 73.88},
		{6, 2.437, 1, 0, 1, 77.45}, {12, 2.437, 3, 1, 2, 112.39}, {8, 5.2, 1, 1, 0, 75.13},
	} {
		walls := float64(c.light)*LightWall + float64(c.heavy)*HeavyWall
		near(t, fmt.Sprint(c), MultiWall(c.d, c.ghz, walls, c.floor), c.want, 6e-3)
	}
}

// Coefficients of ITU-R P.2040-2, Table 3.
var (
	concrete     = Material{A: 5.24, C: .0462, D: .7822}
	brick        = Material{A: 3.91, C: .0238, D: .16}
	plasterboard = Material{A: 2.73, C: .0085, D: .9395}
	wood         = Material{A: 1.99, C: .0047, D: 1.0718}
	glass        = Material{A: 6.31, C: .0036, D: 1.3394}
	chipboard    = Material{A: 2.58, C: .0217, D: .78}
)

// The published check of the formula: permittivities of ITU-R P.2040-1 at 9 GHz as printed on the help page of a
// numerical computing package (concrete 5.31 / 0.19305, brick 3.75 / 0.038, glass 6.27 / 0.059075).
func TestMaterialsAgainstPublishedValues(t *testing.T) {
	for _, c := range []struct {
		m           Material
		a, s        float64
		description string
	}{
		{Material{5.31, 0, .0326, .8095}, 5.31, .19305, "concrete"}, {Material{3.75, 0, .038, 0}, 3.75, .038, "brick"},
		{Material{2.94, 0, .0116, .7076}, 2.94, .054914, "plasterboard"}, {Material{6.27, 0, .0043, 1.1925}, 6.27, .059075, "glass"},
	} {
		near(t, c.description, real(c.m.Permittivity(9)), c.a, 1e-9)
		near(t, c.description, c.m.Conductivity(9), c.s, 6e-6)
	}
}

func TestSlabLoss(t *testing.T) {
	for _, c := range []struct {
		name       string
		m          Material
		mm         float64
		low, upper float64
	}{
		{"concrete 100", concrete, 100, 8.096, 13.111}, {"concrete 200", concrete, 200, 14.571, 24.677},
		{"brick 115", brick, 115, 3.894, 4.314}, {"brick 240", brick, 240, 6.630, 6.986},
		{"plasterboard 12.5", plasterboard, 12.5, 1.072, 1.163}, {"wood 20", wood, 20, .766, .650},
		{"glass 6", glass, 6, 1.905, 3.341}, {"chipboard 22", chipboard, 22, 1.747, 2.120},
	} {
		wall := []Layer{{c.m, c.mm / 1000}}
		near(t, c.name+" 2.4 GHz", Loss(wall, 2.4, 0), c.low, 6e-4)
		near(t, c.name+" 5 GHz", Loss(wall, 5, 0), c.upper, 6e-4)
	}
}

func TestLayeredWalls(t *testing.T) {
	partition := []Layer{{plasterboard, .0125}, {Air, .075}, {plasterboard, .0125}}
	near(t, "partition 2.4", Loss(partition, 2.4, 0), .798, 6e-4)
	near(t, "partition 5", Loss(partition, 5, 0), 2.925, 6e-4)
	glazing := []Layer{{glass, .004}, {Air, .016}, {glass, .004}}
	near(t, "double glazing 2.4", Loss(glazing, 2.4, 0), .173, 6e-4)
	near(t, "double glazing 5", Loss(glazing, 5, 0), 8.452, 6e-4)
}

func TestObliqueIncidence(t *testing.T) {
	for _, c := range []struct{ degrees, te, tm float64 }{{30, 5.269, 4.441}, {45, 6.250, 4.131}, {60, 7.330, 3.801}} {
		a := c.degrees * math.Pi / 180
		wall := []Layer{{brick, .15}}
		near(t, "TE", -10*math.Log10(sqr(Transmission(wall, 2.4, a, false))), c.te, 6e-4)
		near(t, "TM", -10*math.Log10(sqr(Transmission(wall, 2.4, a, true))), c.tm, 6e-4)
	}
}

func TestPlanLoss(t *testing.T) {
	for _, c := range []struct {
		m          Material
		mm         float64
		low, upper float64
	}{{concrete, 100, 7.99, 13.05}, {concrete, 150, 11.22, 18.84}, {concrete, 200, 14.48, 24.65}, {brick, 115, 3.60, 3.91}, {brick, 240, 6.42, 7.10}} {
		near(t, fmt.Sprint(c.mm, " 2.4"), PlanLoss([]Layer{{c.m, c.mm / 1000}}, 2.4), c.low, .012)
		near(t, fmt.Sprint(c.mm, " 5"), PlanLoss([]Layer{{c.m, c.mm / 1000}}, 5), c.upper, .012)
	}
}

func TestReaches(t *testing.T) {
	for _, c := range []struct{ median, threshold, sigma, want float64 }{
		{-60.3, -67, 5, .9099}, {-66, -70, 5, .7881}, {-72, -70, 5, .3446}, {-64.2, -67, 4, .7580},
	} {
		near(t, fmt.Sprint(c), Reaches(c.median-c.threshold, c.sigma), c.want, 6e-5)
	}
	for _, c := range []struct{ p, sigma, want float64 }{{.8, 3, 2.52}, {.9, 5, 6.41}, {.95, 4, 6.58}, {.99, 8, 18.61}} {
		near(t, fmt.Sprint(c), MarginFor(c.p, c.sigma), c.want, 6e-3)
	}
}

func TestAreaCoverage(t *testing.T) {
	for _, c := range []struct{ sigma, n, m, want float64 }{
		{5, 3, 0, .79721}, {5, 3, 6.408, .97262}, {4, 2.8, 6.579, .98901}, {5.04, 2.46, 3.399, .90580}, {8, 4, 5.396, .90729}, {8, 2, 5.396, .86198},
	} {
		near(t, fmt.Sprint(c), Area(c.m, c.sigma, c.n), c.want, 2e-5)
	}
	// The closed form against plain integration over the disc.
	sum, steps := 0.0, 20000
	for i := range steps {
		r := (float64(i) + .5) / float64(steps)
		sum += 2 * r / float64(steps) * Reaches(3-30*math.Log10(r), 5)
	}
	near(t, "integration", Area(3, 5, 3), sum, 1e-4)
}

func TestSumOfPowers(t *testing.T) {
	near(t, "two equal", Sum(-70, -70), -66.990, 6e-4)
	near(t, "three", Sum(-70, -73, -80), -67.956, 6e-4)
}

func TestAWallNeverAmplifies(t *testing.T) {
	all := []Material{concrete, brick, plasterboard, wood, glass, chipboard, Air}
	rapid.Check(t, func(t *rapid.T) {
		var wall []Layer
		for range rapid.IntRange(1, 6).Draw(t, "layers") {
			wall = append(wall, Layer{rapid.SampledFrom(all).Draw(t, "material"), rapid.Float64Range(0, .4).Draw(t, "m")})
		}
		ghz, angle := rapid.Float64Range(.8, 7).Draw(t, "GHz"), rapid.Float64Range(0, 1.5).Draw(t, "angle")
		if l := Loss(wall, ghz, angle); !(l > -1e-9) {
			t.Fatalf("loss %g dB", l)
		}
		if l := PlanLoss(wall, ghz); !(l > -1e-9) {
			t.Fatalf("plan loss %g dB", l)
		}
	})
}
