package catalogue

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/unit"
)

// TestLeft reads a derating table as a person does: the least share of all rows whose conditions are met.
func TestLeft(t *testing.T) {
	g := &ChannelGroup{Kind: Dimmer, Count: 4, Derate: []Derate{
		{Loaded: 3, Share: 80_000_000}, {Above: 45_000_000, Share: 75_000_000}, {Above: 35_000_000, Loaded: 4, Share: 60_000_000}}}
	for _, c := range []struct {
		air    float64
		loaded int
		want   float64
	}{{20, 1, 1}, {20, 3, 0.8}, {45, 1, 0.75}, {44.9, 2, 1}, {50, 3, 0.75}, {34, 4, 0.8}, {35, 4, 0.6}, {60, 4, 0.6}} {
		if got := g.Left(c.air, c.loaded); got != c.want {
			t.Errorf("at %g °C with %d loaded: %g, want %g", c.air, c.loaded, got, c.want)
		}
	}
	if got := (&ChannelGroup{}).Left(90, 9); got != 1 {
		t.Errorf("without a table: %g", got)
	}
}

// TestMoreHeatNeverLeavesMore: neither do more channels.
func TestMoreHeatNeverLeavesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := &ChannelGroup{Count: 8}
		for range rapid.IntRange(0, 5).Draw(t, "rows") {
			g.Derate = append(g.Derate, Derate{Above: unit.Temperature(rapid.Int64Range(0, 60).Draw(t, "above") * 1_000_000), Loaded: rapid.IntRange(0, 8).Draw(t, "loaded"),
				Share: unit.Percent(rapid.Int64Range(1, 100).Draw(t, "share") * 1_000_000)})
		}
		air, n := rapid.Float64Range(0, 70).Draw(t, "air"), rapid.IntRange(1, 8).Draw(t, "channels")
		left := g.Left(air, n)
		if hotter := g.Left(air+rapid.Float64Range(0, 20).Draw(t, "more"), n); hotter > left {
			t.Fatalf("%g is left, and %g in more heat", left, hotter)
		}
		if more := g.Left(air, n+1); more > left || left <= 0 || left > 1 {
			t.Fatalf("%g is left, and %g with one more loaded", left, more)
		}
	})
}

// TestDeratingIsValidated refuses tables that say nothing or too much.
func TestDeratingIsValidated(t *testing.T) {
	const frame = "format: wirewright catalogue 1\ntypes:\n  - id: relay-x\n    title: x\n    medium: wired\n    mount: rail\n    units: 2\n    bus: {draw: 10 mA, voltage: 24 V, least: 18 V, unit-load: 0.125}\n    channels:\n      - kind: out\n        count: 2\n        ratings: [{category: resistive, current: 10 A}]\n        derate: ["
	for row, want := range map[string]string{
		"{loaded: 2, share: 80 %}":   "",
		"{above: 40 °C, share: 1 %}": "",
		"{share: 80 %}":              "needs a condition",
		"{loaded: 3, share: 80 %}":   "has 2 channels",
		"{loaded: 2, share: 0 %}":    "share",
		"{loaded: 2, share: 101 %}":  "share",
		"{loaded: -1, share: 50 %}":  "loaded",
	} {
		_, err := Load(&Catalogue{}, "x", []byte(frame+row+"]\n"))
		if (err == nil) != (want == "") || (err != nil && !strings.Contains(err.Error(), want)) {
			t.Errorf("%s: %v, want %q", row, err, want)
		}
	}
}
