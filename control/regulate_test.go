package control

import "testing"

// regulatorBed has a proportional regulator with Xp 4 K, Tn 100 min, a step of a minute, and pulses of 15 min.
func regulatorBed(t *testing.T, reset, shortest int32) (h *bench, sensor, out int16) {
	b := newBuilder()
	sensor = b.input("sensor", QuantityTemperature)
	set := b.variable("set", 2100)
	out = b.lamp("valve")
	b.p.Regulators = []Regulator{{Kind: RegulatorProportional, Name: -1, Rule: -1, Sensor: sensor, SetPoint: set, Output: out, Enable: -1, Window: -1,
		Frost: Unknown, Band: 400, Reset: reset, Sample: 60_000, Period: 900_000, Shortest: shortest}}
	h = newBench(t, b.done(t))
	h.start()
	return h, sensor, out
}

// output is what the law gives, in hundredths of a percent.
func (h *bench) output() int32 {
	return h.s[h.p.ix.lay.regulate+regulatorOut] / (whole / 10_000)
}

// TestProportionalLaw: u = (100/Xp)·(e + (1/Tn)·∫e dt) with Xp 4 K, Tn 100 min, in steps of a minute, the integral taken
// before the output, +1 K for 320 steps and then -1 K; worked out by hand. Without anti-windup it is above 50 % at 330.
func TestProportionalLaw(t *testing.T) {
	h, sensor, _ := regulatorBed(t, 6000, 60_000)
	h.input(sensor, 2000)
	if h.output() != 2500 {
		t.Errorf("at once: %d", h.output())
	}
	want := map[int]int32{0: 2525, 50: 3775, 100: 5025, 299: 10000, 319: 10000, 320: 4975, 330: 4725, 400: 2975}
	for k := range 401 {
		if k == 320 {
			h.input(sensor, 2200)
		}
		h.wait(60_000)
		if w, ok := want[k]; ok && h.output() != w {
			t.Errorf("u(%d) = %d, want %d hundredths of a percent", k, h.output(), w)
		}
	}
}

// TestProportionalWithoutIntegral: 1 K gives 25 % for ever.
func TestProportionalWithoutIntegral(t *testing.T) {
	h, sensor, _ := regulatorBed(t, 0, 60_000)
	h.input(sensor, 2000)
	h.wait(60_000_000)
	if h.output() != 2500 {
		t.Errorf("%d", h.output())
	}
}

// onTimes returns for how long the valve was on in each of n periods.
func onTimes(h *bench, out int16, n int) []int32 {
	var on []int32
	for range n {
		sum := int32(0)
		for range 900 {
			sum += h.value(out)
			h.wait(1000)
		}
		on = append(on, sum)
	}
	return on
}

// TestPulses: 15 min at 37 % are 333 s on, at 5 % 45 s, at 97 % 873 s. What is shorter than the relay may switch is carried
// over, not dropped: over many periods the mean is right.
func TestPulses(t *testing.T) {
	for _, c := range []struct {
		below    int32 // hundredths of a kelvin
		shortest int32
		want     [4]int32
	}{
		{148, 60_000, [4]int32{333, 333, 333, 333}},
		{20, 0, [4]int32{45, 45, 45, 45}},
		{20, 60_000, [4]int32{0, 90, 0, 90}},
		{388, 0, [4]int32{873, 873, 873, 873}},
		{388, 60_000, [4]int32{900, 900, 819, 900}}, // 27 s and 54 s off are too short, 81 s are not: in the mean 873
		{0, 60_000, [4]int32{0, 0, 0, 0}},
		{-100, 60_000, [4]int32{0, 0, 0, 0}},
		{400, 60_000, [4]int32{900, 900, 900, 900}},
	} {
		h, sensor, out := regulatorBed(t, 0, c.shortest)
		h.input(sensor, 2100-c.below)
		got := onTimes(h, out, 4)
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("%d below, shortest %d ms: %v, want %v", c.below, c.shortest, got, c.want)
				break
			}
		}
	}
}

// TestWindowAndSetPointActAtOnce: the law does not wait for its next sample when the window opens.
func TestWindowAndSetPointActAtOnce(t *testing.T) {
	b := newBuilder()
	sensor, window := b.input("sensor", QuantityTemperature), b.input("window", QuantityBool)
	set, valve := b.variable("set", 2100), b.lamp("valve")
	b.p.Regulators = []Regulator{{Kind: RegulatorProportional, Name: -1, Rule: -1, Sensor: sensor, SetPoint: set, Output: valve, Enable: -1, Window: window,
		SetBack: 400, Frost: 500, Band: 400, Period: 900_000, Shortest: 60_000}}
	h := newBench(t, b.done(t))
	h.start()
	h.input(sensor, 1900)
	h.want(valve, 1)
	h.input(window, 1)
	h.want(valve, 0)
	h.input(window, 0)
	h.want(valve, 1)
	h.command(set, VerbSet, 1800)
	h.want(valve, 0)
}

// TestConstantLight: a proportional regulator with a level follows light without pulses.
func TestConstantLight(t *testing.T) {
	b := newBuilder()
	light, set := b.input("light", QuantityLight), b.variable("set", 500)
	lamp := b.dimmer("lamp", 50)
	b.p.Regulators = []Regulator{{Kind: RegulatorProportional, Name: -1, Rule: -1, Sensor: light, SetPoint: set, Output: lamp, Enable: -1, Window: -1,
		Frost: Unknown, Band: 1000, Reset: 10, Sample: 1000, Period: 1000}}
	h := newBench(t, b.done(t))
	h.start()
	day := int32(100) // what the sun gives; the lamp gives up to 600 lx
	for range 120 {
		h.input(light, day+h.value(lamp)*600/1000)
		h.wait(1000)
	}
	if got := day + h.value(lamp)*600/1000; got < 490 || got > 510 {
		t.Errorf("after two minutes %d lx", got)
	}
	day = 900
	for range 120 {
		h.input(light, day+h.value(lamp)*600/1000)
		h.wait(1000)
	}
	h.want(lamp, 0)
}

// TestCooling regulates the other way round, without a frost limit.
func TestCooling(t *testing.T) {
	b := newBuilder()
	sensor, window, set, plant := b.input("sensor", QuantityTemperature), b.input("window", QuantityBool), b.variable("set", 2600), b.lamp("plant")
	b.p.Regulators = []Regulator{{Kind: RegulatorTwoPoint, Cooling: true, Name: -1, Rule: -1, Sensor: sensor, SetPoint: set, Output: plant, Enable: -1, Window: window,
		SetBack: 300, Frost: 500, Half: 50}}
	h := newBench(t, b.done(t))
	h.start()
	for _, c := range []struct{ temp, window, want int32 }{{2649, 0, 0}, {2650, 0, 1}, {2551, 0, 1}, {2550, 0, 0}, {2700, 1, 0}, {2950, 1, 1}, {100, 0, 0}} {
		h.input(window, c.window)
		h.input(sensor, c.temp)
		h.want(plant, c.want)
	}
}

// TestTwoPointLoop: a room of first order with a time constant of 4 h, outside 0 °C, 40 °C with the heater always on, set
// to 20 ± 0.5 °C: 12.0025 min on and 12.0025 min off, from t = τ·ln((θ∞ - θlow)/(θ∞ - θhigh)).
func TestTwoPointLoop(t *testing.T) {
	b := newBuilder()
	sensor, set, heater := b.input("sensor", QuantityCount), b.variable("set", 20_000), b.lamp("heater")
	b.p.Regulators = []Regulator{{Kind: RegulatorTwoPoint, Name: -1, Rule: -1, Sensor: sensor, SetPoint: set, Output: heater, Enable: -1, Window: -1, Frost: Unknown, Half: 500}}
	h := newBench(t, b.done(t))
	h.start()
	theta := 19.0
	var since [2][]int
	last, run := int32(-1), 0
	for range 4 * 3600 {
		h.input(sensor, int32(theta*1000))
		v := h.value(heater)
		if v != last {
			if last >= 0 {
				since[last] = append(since[last], run)
			}
			last, run = v, 0
		}
		run++
		theta += (float64(v)*40 - theta) / (4 * 3600) // one second
		h.wait(1000)
	}
	for v, runs := range since {
		for i, s := range runs {
			if i > 0 && (s < 717 || s > 723) {
				t.Errorf("heater %d for %d s, want 720 s", v, s)
			}
		}
		if len(runs) < 8 {
			t.Errorf("only %d runs with the heater at %d", len(runs), v)
		}
	}
}

// TestRegulatorUnderAHold: the hold is kept; the regulator writes again when it ends.
func TestRegulatorUnderAHold(t *testing.T) {
	b := newBuilder()
	sensor, set, valve := b.input("sensor", QuantityTemperature), b.variable("set", 2100), b.lamp("valve")
	b.hold("maintenance", valve, RankSafety, -1, true)
	b.p.Regulators = []Regulator{{Kind: RegulatorTwoPoint, Name: -1, Rule: -1, Sensor: sensor, SetPoint: set, Output: valve, Enable: -1, Window: -1, Frost: Unknown, Half: 20}}
	h := newBench(t, b.done(t))
	h.start()
	h.input(sensor, 2500)
	h.command(valve, VerbHold, int32(RankSafety)<<16)
	h.input(sensor, 1500)
	h.want(valve, 0)
	h.command(valve, VerbRelease, int32(RankSafety)<<16)
	h.want(valve, 1)
}
