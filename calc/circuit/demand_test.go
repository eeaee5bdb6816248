package circuit

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// By hand: sockets 16, 10 and 6 A: 16 + 0.4·16 = 22.4 A; cooking of 30 A: 10 + 0.3·20 = 16 A; lighting 2·5 A: 6.6 A.
func TestDemandByHand(t *testing.T) {
	r := base(t)
	d, err := MaximumDemand([]Use{{UseSockets, 1, 16}, {UseSockets, 1, 10}, {UseSockets, 1, 6}, {UseCooking, 2, 30}, {UseLighting, 3, 5}, {UseLighting, 3, 5},
		{UseWater, 0, 8}}, r)
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range []float64{22.4 + 8, 16 + 8, 6.6 + 8} {
		near(t, "line", d.Lines[k], want, 1e-9)
	}
	near(t, "connected", d.Connected[0], 40, 1e-9)
	near(t, "most", d.Most, 30.4, 1e-9)
	if len(d.Terms) != 6 {
		t.Errorf("%d terms: %+v", len(d.Terms), d.Terms)
	}
	if main, err := MainFor(d.Most); err != nil || main != 32 {
		t.Errorf("main device %g A (%v), want 32", main, err)
	}
}

func TestDemandRefuses(t *testing.T) {
	r := base(t)
	for _, u := range []Use{{"sauna", 1, 5}, {UseOther, 4, 5}, {UseOther, 1, -1}, {UseOther, 1, math.NaN()}, {UseOther, -1, 1}} {
		if _, err := MaximumDemand([]Use{u}, r); err == nil {
			t.Errorf("%+v was taken", u)
		}
	}
	for _, bad := range []float64{-1, 126, math.NaN()} {
		if _, err := MainFor(bad); err == nil {
			t.Errorf("a main device for %g A", bad)
		}
	}
}

// Another load never lowers the demand, and the demand is never above what is connected.
func TestPropertiesOfDemand(t *testing.T) {
	r := base(t)
	rapid.Check(t, func(t *rapid.T) {
		draw := func() Use {
			return Use{rapid.SampledFrom([]string{UseLighting, UseSockets, UseHeating, UseCooking, UseWater, UseMotors, UseVehicle, UseOther}).Draw(t, "use"),
				rapid.IntRange(0, 3).Draw(t, "line"), rapid.Float64Range(0, 32).Draw(t, "A")}
		}
		var uses []Use
		for range rapid.IntRange(0, 12).Draw(t, "uses") {
			uses = append(uses, draw())
		}
		before, err := MaximumDemand(uses, r)
		if err != nil {
			t.Fatal(err)
		}
		after, err := MaximumDemand(append(uses, draw()), r)
		if err != nil {
			t.Fatal(err)
		}
		for k := range 3 {
			if after.Lines[k] < before.Lines[k]-1e-9 || before.Lines[k] > before.Connected[k]+1e-9 {
				t.Fatalf("%+v then %+v", before, after)
			}
		}
	})
}
