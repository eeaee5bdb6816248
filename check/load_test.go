package check

import (
	"math"
	"testing"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/unit"
)

// TestDrawOfKnownLoads holds currents against figures worked by hand from I = S/U at 230 V.
func TestDrawOfKnownLoads(t *testing.T) {
	for _, c := range []struct {
		name             string
		load             house.Load
		current          float64
		apparent, factor float64
		assumed          bool
	}{
		{"roller motor of 350 VA", house.Load{Category: house.Motor, Apparent: unit.VoltAmperes(350)}, 1.5217, 350, 0.8, false},
		{"twelve lamps of 9 W, factor 1", house.Load{Category: house.LED, Power: unit.Watts(108), Factor: 1, Count: 12}, 0.4696, 108, 1, false},
		{"heater of 2 kW", house.Load{Category: house.Resistive, Power: unit.Watts(2000)}, 8.6957, 2000, 1, true},
		{"5 kW at 230 V", house.Load{Category: house.Resistive, Power: unit.Watts(5000), Factor: 1}, 21.74, 5000, 1, false},
		{"led drivers without a factor", house.Load{Category: house.LED, Power: unit.Watts(23)}, 0.2, 46, 0.5, true},
		{"both given", house.Load{Category: house.Motor, Power: unit.Watts(140), Apparent: unit.VoltAmperes(160)}, 0.6957, 160, 0.8, false},
	} {
		d := drawOf(&c.load, 230)
		if math.Abs(d.current-c.current) > 0.005*c.current/10+1e-4 || math.Abs(d.apparent-c.apparent) > 1e-9 || d.factor != c.factor || d.assumed != c.assumed || !d.known {
			t.Errorf("%s: %+v, want %g A, %g VA", c.name, d, c.current, c.apparent)
		}
	}
	for _, l := range []*house.Load{nil, {}, {Category: house.LED}, {Power: -5}, {Apparent: -1}} {
		if drawOf(l, 230).known {
			t.Errorf("%+v is taken for a known load", l)
		}
	}
	if d := drawOf(&house.Load{Power: unit.Watts(10), Factor: math.NaN()}, 230); math.IsNaN(d.current) || !d.assumed {
		t.Errorf("a power factor that is no number: %+v", d)
	}
}

// TestRatingIsNeverTakenFromAnotherCategory: a contact of 16 A for heaters has nothing to say about motors.
func TestRatingIsNeverTakenFromAnotherCategory(t *testing.T) {
	g := &catalogue.ChannelGroup{Kind: catalogue.Relay, Count: 1, Ratings: []catalogue.Rating{{Category: house.Resistive, Current: unit.Amperes(16)}}}
	for _, c := range house.Categories {
		p := &house.Point{Kind: house.Socket, Load: &house.Load{Category: c, Power: unit.Watts(1)}}
		if got := Carries(g, p, 230); got != (c == house.Resistive) {
			t.Errorf("%s: carried %v", c, got)
		}
	}
}

func TestLoadsAtTheLimitPass(t *testing.T) {
	g := &catalogue.ChannelGroup{Kind: catalogue.MotorOut, Ratings: []catalogue.Rating{{Category: house.Motor, Apparent: unit.VoltAmperes(350)}}}
	p := &house.Point{Kind: house.Shutter, Load: &house.Load{Category: house.Motor, Apparent: unit.VoltAmperes(350)}}
	if !Carries(g, p, 230) {
		t.Error("350 VA on 350 VA is refused")
	}
	p.Load.Apparent++
	if Carries(g, p, 230) {
		t.Error("one millionth above 350 VA is taken")
	}
}

func TestFiguresPrintBriefly(t *testing.T) {
	for x, want := range map[float64]string{1.5217391: "1.522 A", 2: "2 A", 0.1 + 0.2: "0.3 A", math.Inf(1): "not a number", math.NaN(): "not a number"} {
		if got := figure(x, "A"); got != want {
			t.Errorf("%g prints %q, want %q", x, got, want)
		}
	}
}

// TestEveryKindOfPointHasAChannel: what the house can hold, some channel of the built-in catalogue can serve.
func TestEveryKindOfPointHasAChannel(t *testing.T) {
	c := builtin(t)
	for _, k := range house.Kinds {
		served := false
		for _, typ := range c.Types {
			for _, g := range typ.Channels {
				served = served || (Fits(g.Kind, &house.Point{Kind: k}) && g.Kind.Output() == k.Moved())
			}
		}
		if !served {
			t.Errorf("no channel serves a %s", k)
		}
	}
}
