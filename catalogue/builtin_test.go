package catalogue

import (
	"slices"
	"strings"
	"testing"

	"wirewright/house"
)

// TestBuiltinSpansTheTrade holds the built-in set against the span that an installer needs (common practice, no source).
func TestBuiltinSpansTheTrade(t *testing.T) {
	c := builtinForTest(t)
	type need struct {
		what string
		has  func(t *Type) bool
	}
	count := func(t *Type, k ChannelKind) int {
		n := 0
		for _, g := range t.Channels {
			if g.Kind == k {
				n += g.Count
			}
		}
		return n
	}
	resistive := func(t *Type, k ChannelKind) float64 {
		for _, g := range t.Channels {
			if r := slices.IndexFunc(g.Ratings, func(r Rating) bool { return g.Kind == k && r.Category == house.Resistive }); r >= 0 {
				return g.Ratings[r].Current.A()
			}
		}
		return 0
	}
	motor := func(t *Type) float64 {
		for _, g := range t.Channels {
			if g.Kind == MotorOut {
				return g.Ratings[0].Apparent.VA()
			}
		}
		return 0
	}
	is := func(t *Type, m Medium, mount Mount) bool { return t.Medium == m && t.Mount == mount }
	for _, n := range []need{
		{"rail relays, 12 channels of 16 A", func(t *Type) bool { return is(t, Wired, Rail) && count(t, Relay) == 12 && resistive(t, Relay) == 16 }},
		{"wired relays of 1.5 A", func(t *Type) bool { return t.Medium == Wired && resistive(t, Relay) == 1.5 }},
		{"one wired relay for the box", func(t *Type) bool { return is(t, Wired, BoxIn) && count(t, Relay) == 1 }},
		{"16 contact inputs", func(t *Type) bool { return is(t, Wired, Rail) && count(t, Input) == 16 }},
		{"4 contact inputs for the box", func(t *Type) bool { return is(t, Wired, BoxIn) && count(t, Input) == 4 }},
		{"8 shutter outputs", func(t *Type) bool { return is(t, Wired, Rail) && count(t, MotorOut) == 8 }},
		{"4 dimmers", func(t *Type) bool { return is(t, Wired, Rail) && count(t, Dimmer) == 4 }},
		{"a leading-edge dimmer", func(t *Type) bool { return count(t, Dimmer) > 0 && t.Channels[0].Edge == "leading" }},
		{"a trailing-edge dimmer", func(t *Type) bool { return count(t, Dimmer) > 0 && t.Channels[0].Edge == "trailing" }},
		{"valve outputs", func(t *Type) bool { return is(t, Wired, Rail) && count(t, ValveOut) >= 6 }},
		{"analogue inputs", func(t *Type) bool { return count(t, Analogue) >= 4 }},
		{"wired keypad with temperature and light", func(t *Type) bool { return is(t, Wired, Plate) && count(t, TempIn) == 1 && count(t, LightIn) == 1 }},
		{"a line head", func(t *Type) bool { return t.Role == RoleHead && t.Bus.MaxLength.M() == 300 }},
		{"a bus supply", func(t *Type) bool { return t.Role == RoleSupply }},
		{"Wi-Fi box relays from 1.5 A", func(t *Type) bool { return is(t, WiFi, BoxIn) && resistive(t, Relay) == 1.5 }},
		{"Wi-Fi relays of four channels", func(t *Type) bool { return is(t, WiFi, BoxIn) && count(t, Relay) == 4 }},
		{"Wi-Fi relay and contact input in one box", func(t *Type) bool { return is(t, WiFi, BoxIn) && count(t, Relay) > 0 && count(t, Input) > 0 }},
		{"Wi-Fi shutter from 350 VA with inputs", func(t *Type) bool { return is(t, WiFi, BoxIn) && motor(t) == 350 && count(t, Input) >= 2 }},
		{"Wi-Fi dimmer", func(t *Type) bool { return is(t, WiFi, BoxIn) && count(t, Dimmer) > 0 }},
		{"Wi-Fi keypad with two keys", func(t *Type) bool { return is(t, WiFi, Plate) && count(t, Key) == 2 }},
		{"Wi-Fi keypad with eight keys and pages", func(t *Type) bool { return is(t, WiFi, Plate) && count(t, Key) == 8 && t.Display > 1 }},
		{"Wi-Fi presence sensor", func(t *Type) bool { return t.Medium == WiFi && count(t, Presence) > 0 }},
		{"Wi-Fi wind and rain sensor", func(t *Type) bool { return t.Medium == WiFi && count(t, WindIn) > 0 && count(t, RainIn) > 0 }},
		{"a third-party MQTT module", func(t *Type) bool { return t.Driver != nil && len(t.Driver.MQTT) > 0 }},
		{"a third-party Modbus module", func(t *Type) bool { return t.Driver != nil && len(t.Driver.Modbus) > 0 }},
		{"potential-free contacts", func(t *Type) bool {
			return slices.ContainsFunc(t.Channels, func(g ChannelGroup) bool {
				return slices.ContainsFunc(g.Ratings, func(r Rating) bool { return r.Category == house.Dry })
			})
		}},
	} {
		if !slices.ContainsFunc(c.Types, func(t Type) bool { return n.has(&t) }) {
			t.Errorf("the built-in catalogue has no %s", n.what)
		}
	}
}

// TestRatingsGetSmallerWithHarderLoads guards the data against typing errors: a contact carries no more motor than
// resistive load (IEC 60947-4-1, test multiples of AC-1 and AC-3), and no more lamps than its current allows at 230 V.
func TestRatingsGetSmallerWithHarderLoads(t *testing.T) {
	c := builtinForTest(t)
	for _, typ := range c.Types {
		for _, g := range typ.Channels {
			amps := map[house.Category]float64{}
			for _, r := range g.Ratings {
				amps[r.Category] = max(r.Current.A(), r.Power.W()/230, r.Apparent.VA()/230)
			}
			most, ok := amps[house.Resistive]
			for cat, a := range amps {
				if ok && cat != house.Dry && a > most+1e-9 {
					t.Errorf("%s: %s %g A is above resistive %g A", typ.ID, cat, a, most)
				}
			}
			if g.Kind == Relay && ok && amps[house.LED] >= amps[house.Incandescent] {
				t.Errorf("%s: led %g A is not below incandescent %g A", typ.ID, amps[house.LED], amps[house.Incandescent])
			}
		}
	}
}

func TestBuiltinWiFiStaysWithinThePowerLimit(t *testing.T) {
	// 20 dBm EIRP in the 2.4 GHz band: ETSI EN 300 328 V2.2.2.
	for _, typ := range builtinForTest(t).Types {
		if r := typ.Radio; r != nil && r.Power.DBm()+r.Gain.DB() > 20 {
			t.Errorf("%s: %g dBm EIRP", typ.ID, r.Power.DBm()+r.Gain.DB())
		}
	}
}

func TestChannelNamesCountThroughEachKind(t *testing.T) {
	typ := Type{Channels: []ChannelGroup{{Kind: Relay, Count: 2}, {Kind: Input, Count: 1}, {Kind: Relay, Count: 1}}}
	var names []string
	for _, c := range typ.ChannelList() {
		names = append(names, c.Name)
	}
	if got := strings.Join(names, " "); got != "out1 out2 in1 out3" {
		t.Errorf("got %s", got)
	}
	if _, ok := typ.Channel("out4"); ok {
		t.Error("found a channel that is not there")
	}
	if len((&Type{Channels: []ChannelGroup{{Kind: Relay, Count: 1 << 40}}}).ChannelList()) != 64 {
		t.Error("an absurd count is not bounded")
	}
}

func TestCableResistanceAgreesWithIEC60228(t *testing.T) {
	// IEC 60228, class 1 and 2, maximum resistance of one conductor at 20 °C in Ω/km.
	perConductor := map[string]float64{"bus-0.5": 36.0, "bus-0.75": 24.5, "bus-1.0": 18.1, "mains-3x1.5": 12.1, "mains-5x1.5": 12.1, "mains-3x2.5": 7.41}
	c := builtinForTest(t)
	for id, want := range perConductor {
		cable, ok := c.Cable(id)
		if !ok || cable.Loop.Ohm() < 2*want-1e-9 || cable.Loop.Ohm() > 2*want+1e-9 {
			t.Errorf("%s: %v, want %g Ω", id, cable, 2*want)
		}
	}
	if _, ok := c.Cable("string"); ok || len(c.CableIDs()) != len(c.Cables) || !slices.IsSorted(c.CableIDs()) {
		t.Error("cable ids")
	}
}

func TestNearestType(t *testing.T) {
	c := builtinForTest(t)
	if got := c.NearestType("relay-rail-12x61"); got != "relay-rail-12x16" {
		t.Errorf("got %q", got)
	}
	if got := c.NearestType("toaster"); got != "" {
		t.Errorf("got %q", got)
	}
	literal := &Catalogue{Types: []Type{{ID: "a"}}}
	if _, ok := literal.Type("a"); !ok {
		t.Error("a catalogue made in code does not find its types")
	}
	if _, ok := literal.Type("b"); ok {
		t.Error("found a type that is not there")
	}
}
