package circuit

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// w1 is W1: 13 A over 25 m by method B2, at 35 °C with two other circuits, loop of the supply 0.35 Ω.
func w1() Request {
	return Request{Volts: 230, Amps: 13, Factor: 1, Metres: 25, Laid: Laid{Method: "B2", Celsius: 35, Circuits: 3}, System: TN, External: .35, Rating: 16}
}

func get(t *testing.T, c Choice, name string) Condition {
	t.Helper()
	i := slices.IndexFunc(c.Conditions, func(x Condition) bool { return x.Name == name })
	if i < 0 {
		t.Fatalf("%s was not computed: %+v", name, c.Conditions)
	}
	return c.Conditions[i]
}

// Whole circuits, worked by hand from the tables (R of IEC 60228, hot factor 1.20): W1a fails by its capacity alone, the
// remedy is W1b, 4 mm².
func TestChooseMendsW1(t *testing.T) {
	r := base(t)
	bad, err := Assess(w1(), Device{Rating: 16, Curve: "B"}, 2.5, r)
	if err != nil {
		t.Fatal(err)
	}
	if f := failing(bad.Conditions); len(f) != 1 || f[0].Name != ByCapacity || bad.Passes() {
		t.Errorf("W1a fails by %+v", f)
	}
	near(t, "W1a Iz", get(t, bad, ByCapacity).Limit, 15.134, 6e-4)
	near(t, "W1a Zs limit", get(t, bad, ByLoop).Limit, 2.731, 6e-4)
	c, err := Choose(w1(), r)
	if err != nil {
		t.Fatal(err)
	}
	if c.Section != 4 || c.Earth != 4 || c.Governing != ByCapacity || c.Device.String() != "B16" || !c.Passes() {
		t.Errorf("W1b: %+v", c)
	}
	near(t, "W1b Iz", c.Carrying.Amps, 19.740, 6e-4)
	near(t, "W1b drop", c.Drop, 3.656, 6e-4)
	near(t, "W1b drop %", get(t, c, ByDrop).Figure, 1.590, 6e-4)
	near(t, "W1b Zs", c.Loop, .6266, 6e-5)
	if !slices.Equal(c.NotChecked, []string{ByBreaking, ByHeat}) || !strings.Contains(c.Rules, "iec") {
		t.Errorf("not checked %v by %s", c.NotChecked, c.Rules)
	}
}

// W6 (C16, 2.5/1.5, 45 m): the drop fails, and the loop passes without Cmin and fails with it.
func TestVariantsOfCminInW6(t *testing.T) {
	req := Request{Volts: 230, Amps: 16, Factor: 1, Metres: 45, Earth: 1.5, Laid: Laid{Method: "C", Celsius: 30, Circuits: 1}, System: TN, External: .35}
	for name, want := range map[string][]string{"iec": {ByDrop, ByLoop}, "bs7671-2008": {ByDrop}} {
		r, err := NamedRules(name)
		if err != nil {
			t.Fatal(err)
		}
		c, err := Assess(req, Device{Rating: 16, Curve: "C"}, 2.5, r)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, f := range failing(c.Conditions) {
			got = append(got, f.Name)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %v fail, want %v", name, got, want)
		}
	}
}

// The other worked circuits pass as they are: W2 to W5.
func TestWorkedCircuitsPass(t *testing.T) {
	r := base(t)
	for _, c := range []struct {
		name   string
		req    Request
		device Device
		mm2    float64
	}{
		{"W2", Request{Volts: 230, Amps: 4.2, Factor: .95, Metres: 28, Purpose: Purpose{Lighting: true}, Laid: Laid{Method: "A1", Celsius: 30, Circuits: 1}, System: TN, External: .8}, Device{Rating: 10, Curve: "B"}, 1.5},
		{"W3", Request{Volts: 230, Amps: 6.6, Factor: .9, Metres: 32, Laid: Laid{Method: "B1", Celsius: 40, Circuits: 2}, System: TN, External: .35}, Device{Rating: 10, Curve: "C"}, 1.5},
		{"W4", Request{Volts: 230, Amps: 15.2, Factor: 1, Metres: 22, ThreePhase: true, Laid: Laid{Method: "C", Celsius: 30, Circuits: 1}, System: TN, External: .35}, Device{Rating: 16, Curve: "B"}, 2.5},
		{"W5", Request{Volts: 230, Amps: 32, Factor: 1, Metres: 18, Laid: Laid{Method: "C", Celsius: 30, Circuits: 1}, System: TN, External: .2}, Device{Rating: 32, Curve: "B"}, 6},
	} {
		got, err := Assess(c.req, c.device, c.mm2, r)
		if err != nil {
			t.Fatal(err)
		}
		if !got.Passes() {
			t.Errorf("%s: %s", c.name, sentence(failing(got.Conditions)))
		}
	}
}

// W8 within a choice: at 6 kA a B16 lets 35 000 A²s through, so 1.5 mm² is not enough and the energy governs.
func TestLetThroughGoverns(t *testing.T) {
	req := Request{Volts: 230, Amps: 10, Factor: 1, Metres: 5, Rating: 16, Fault: 6000, Laid: Laid{Method: "C", Celsius: 30, Circuits: 1}, System: TN, External: .1}
	c, err := Choose(req, base(t))
	if err != nil {
		t.Fatal(err)
	}
	if c.Section != 2.5 || c.Governing != ByHeat || c.Breaking != 6000 {
		t.Errorf("%+v", c)
	}
	req.LetThrough = 20000 // by the maker's sheet
	if c, err = Choose(req, base(t)); err != nil || c.Section != 1.5 || c.Governing != BySize {
		t.Errorf("with the maker's figure: %+v %v", c, err)
	}
	req.LetThrough, req.Fault = 0, 3000 // no figure of ours for such a device
	if c, err = Choose(req, base(t)); err != nil || c.Section != 1.5 || !slices.Contains(c.NotChecked, ByHeat) {
		t.Errorf("at 3 kA: %+v %v", c, err)
	}
}

// Each condition may govern: the thinner cable fails by it alone or worst.
func TestWhatGoverns(t *testing.T) {
	laid := Laid{Method: "C", Celsius: 30, Circuits: 1}
	for want, r := range map[string]Request{
		BySize:     {Volts: 230, Amps: 4, Factor: 1, Metres: 10, Laid: laid, System: TN, External: .35},
		ByCapacity: {Volts: 230, Amps: 25, Factor: 1, Metres: 5, Laid: laid, System: TN, External: .1},
		ByDrop:     {Volts: 230, Amps: 10, Factor: 1, Metres: 80, Laid: laid, System: TN, External: .1},
		ByLoop:     {Volts: 230, Amps: 1, Factor: 1, Metres: 60, Curve: "D", Rating: 10, Laid: laid, System: TN, External: .35},
		ByTouch:    {Volts: 230, Amps: .1, Factor: 1, Metres: 400, Laid: laid, System: TT, External: 160, Residual: .3},
	} {
		c, err := Choose(r, base(t))
		if err != nil {
			t.Fatalf("%s: %v", want, err)
		}
		if c.Governing != want {
			t.Errorf("%s: governed by %s: %+v", want, c.Governing, c.Thinner)
		}
	}
}

// A fuse needs more copper than a breaker of its rating, and its disconnection is said to be not checked.
func TestFuseNeedsMore(t *testing.T) {
	r := Request{Volts: 230, Amps: 25, Factor: 1, Metres: 5, Laid: Laid{Method: "C", Celsius: 30, Circuits: 1}, System: TN, External: .1}
	r.Rating = 25
	breaker, err := Choose(r, base(t))
	if err != nil {
		t.Fatal(err)
	}
	r.Fuse = true
	fuse, err := Choose(r, base(t))
	if err != nil {
		t.Fatal(err)
	}
	if breaker.Section != 2.5 || fuse.Section != 4 || !slices.Contains(fuse.NotChecked, ByLoop) {
		t.Errorf("breaker %g mm², fuse %g mm², %v", breaker.Section, fuse.Section, fuse.NotChecked)
	}
}

func TestBranchesOfAChoice(t *testing.T) {
	r := Request{Volts: 230, Amps: 3, Factor: .95, Metres: 22, Laid: Laid{Method: "C", Celsius: 30, Circuits: 1}, System: TN, External: .35}
	r.Stretches = []Stretch{{-1, 6, 1, .5, .95, 1}, {0, 5, 1, .5, .95, 1}, {1, 4, 1, .8, .95, 1}, {2, 7, 1, 1.2, .95, 1}}
	c, err := Choose(r, base(t))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "W7", c.Drop, 1.3390, 6e-5)
	r.Stretches = nil
	if c, err = Choose(r, base(t)); err != nil {
		t.Fatal(err)
	}
	near(t, "W7 at the end", c.Drop, 1.8843, 6e-5)
}

func TestDropAllowed(t *testing.T) {
	r := base(t)
	for _, c := range []struct {
		lighting, private bool
		metres            float64
		want              float64
	}{{true, false, 50, 3}, {false, false, 100, 5}, {true, true, 10, 6}, {false, true, 10, 8}, {false, false, 120, 5.1}, {false, false, 300, 5.5}, {true, false, 200, 3.5}} {
		near(t, "drop", DropMost(c.lighting, c.private, c.metres, r), c.want, 1e-9)
	}
}

// request draws a circuit within the tables.
func request(t *rapid.T) Request {
	r := Request{Volts: 230, Amps: rapid.Float64Range(.1, 40).Draw(t, "A"), Factor: rapid.Float64Range(.5, 1).Draw(t, "cosφ"),
		ThreePhase: rapid.Bool().Draw(t, "three"), Metres: rapid.Float64Range(1, 120).Draw(t, "m"), System: TN,
		External: rapid.Float64Range(.05, .8).Draw(t, "Ze"), Curve: rapid.SampledFrom(Curves).Draw(t, "curve"),
		Purpose: Purpose{Lighting: rapid.Bool().Draw(t, "lighting")}, Fault: rapid.SampledFrom([]float64{0, 3000, 6000}).Draw(t, "fault"),
		Laid: Laid{Method: rapid.SampledFrom(Methods).Draw(t, "method"), Celsius: rapid.SampledFrom([]float64{20, 30, 35, 40}).Draw(t, "°C"),
			Circuits: rapid.IntRange(1, 6).Draw(t, "circuits")}}
	if rapid.Bool().Draw(t, "residual") {
		r.Residual = .03
	}
	return r
}

// A choice is minimal and sufficient: it passes when assessed by itself, the next thinner cable and the next smaller device
// do not, and every figure is a number.
func TestChoiceIsMinimal(t *testing.T) {
	rules := base(t)
	chosen := 0
	rapid.Check(t, func(t *rapid.T) {
		r := request(t)
		c, err := Choose(r, rules)
		if err != nil {
			return // too much for 16 mm²; TestRefusalsAreJust holds those
		}
		chosen++
		if again, err := Assess(r, c.Device, c.Section, rules); err != nil || !again.Passes() {
			t.Fatalf("%+v does not pass when assessed: %v", c, err)
		}
		if i := slices.Index(Sections, c.Section); i > 0 {
			if thin, err := Assess(r, c.Device, Sections[i-1], rules); err != nil || thin.Passes() {
				t.Fatalf("%g mm² passes too, %g mm² was chosen (%v)", Sections[i-1], c.Section, err)
			} else if !slices.ContainsFunc(failing(thin.Conditions), func(x Condition) bool { return x.Name == c.Governing }) {
				t.Fatalf("%s governs, but the thinner cable does not fail by it", c.Governing)
			}
		}
		if i := slices.Index(Ratings, c.Device.Rating); i > 0 && Ratings[i-1] >= c.Design {
			t.Fatalf("%g A carries %g A too, %g A was chosen", Ratings[i-1], c.Design, c.Device.Rating)
		}
		for _, x := range c.Conditions {
			if math.IsNaN(x.Figure) || math.IsNaN(x.Limit) || math.IsNaN(x.Headroom) {
				t.Fatalf("%+v", x)
			}
		}
	})
	if chosen < 30 {
		t.Errorf("only %d of the requests had a choice", chosen)
	}
}

// A choice is refused only where 16 mm² fails, too; and more load, more length or more company never needs a thinner cable.
func TestRefusalsAreJust(t *testing.T) {
	rules := base(t)
	rapid.Check(t, func(t *rapid.T) {
		r := request(t)
		c, err := Choose(r, rules)
		if err != nil {
			if device := (Device{Rating: 0, Curve: r.Curve}); r.Amps <= 63 {
				for _, in := range Ratings {
					if in >= r.Amps {
						device.Rating = in
						break
					}
				}
				if thick, err := Assess(r, device, 16, rules); err == nil && thick.Passes() {
					t.Fatalf("16 mm² passes, but the choice was refused")
				}
			}
			return
		}
		harder := r
		switch rapid.IntRange(0, 3).Draw(t, "harder") {
		case 0:
			harder.Metres *= 1.3
			if harder.Metres > 100 && harder.Metres > r.Metres { // the limit itself grows beyond 100 m
				harder.Metres = max(r.Metres, 100)
			}
		case 1:
			harder.Amps *= 1.2
		case 2:
			harder.Laid.Circuits++
		case 3:
			harder.External *= 1.2
		}
		if h, err := Choose(harder, rules); err == nil && h.Section < c.Section {
			t.Fatalf("%+v takes %g mm², the harder %+v %g mm²", r, c.Section, harder, h.Section)
		}
	})
}

func TestRequestsThatAreRefused(t *testing.T) {
	for name, edit := range map[string]func(*Request){
		"no volts": func(r *Request) { r.Volts = 0 }, "NaN volts": func(r *Request) { r.Volts = math.NaN() }, "negative power": func(r *Request) { r.Amps, r.Watts = 0, -5 },
		"no load": func(r *Request) { r.Amps = 0 }, "both": func(r *Request) { r.Watts = 100 }, "power factor 1.2": func(r *Request) { r.Factor = 1.2 },
		"50 000 m": func(r *Request) { r.Metres = 50000 }, "no length": func(r *Request) { r.Metres = 0 }, "negative length": func(r *Request) { r.Metres = -1 },
		"infinite current": func(r *Request) { r.Amps = math.Inf(1) }, "no loop": func(r *Request) { r.External = 0 }, "IT": func(r *Request) { r.System = "IT" },
		"TT without a residual-current device": func(r *Request) { r.System = TT }, "method Z": func(r *Request) { r.Laid.Method = "Z" },
		"90 °C": func(r *Request) { r.Laid.Celsius = 90 }, "nothing beside it": func(r *Request) { r.Laid.Circuits = 0 }, "curve K": func(r *Request) { r.Curve = "K" },
		"unknown condition": func(r *Request) { r.Without = []string{"luck"} }, "20 kA": func(r *Request) { r.Fault = 20000 },
		"100 A": func(r *Request) { r.Amps, r.Rating = 100, 0 }, "3 mm² of earth": func(r *Request) { r.Earth = 3 },
	} {
		r := w1()
		edit(&r)
		if c, err := Choose(r, base(t)); err == nil {
			t.Errorf("%s: got %+v, want a refusal", name, c)
		}
	}
	if _, err := Choose(w1(), nil); err == nil {
		t.Error("no rules were taken")
	}
}

func FuzzChoose(f *testing.F) {
	f.Add(230.0, 0.0, 13.0, 1.0, 25.0, 35.0, .35, 0.0, 0.0, 3, uint8(0), "B2", "B")
	f.Add(230.0, 5000.0, 0.0, .8, 40.0, 30.0, .8, 6000.0, .03, 1, uint8(3), "C", "C")
	f.Add(math.NaN(), math.Inf(1), -1.0, 2.0, 50000.0, -400.0, math.NaN(), 1e300, -1.0, -5, uint8(255), "", "Z")
	rules := base(f)
	f.Fuzz(func(t *testing.T, volts, watts, amps, factor, metres, celsius, external, fault, residual float64, circuits int, flags uint8, method, curve string) {
		r := Request{Volts: volts, Watts: watts, Amps: amps, Factor: factor, Metres: metres, External: external, Fault: fault, Residual: residual, Curve: curve,
			ThreePhase: flags&1 != 0, Fuse: flags&4 != 0, Separate: flags&8 != 0, Private: flags&16 != 0, System: TN,
			Laid: Laid{Method: method, Celsius: celsius, Circuits: circuits, Arrangement: Arrangement(flags >> 5)}}
		if flags&2 != 0 {
			r.System = TT
		}
		c, err := Choose(r, rules)
		if err != nil {
			return
		}
		figures := []float64{c.Design, c.Drop, c.Loop, c.Carrying.Amps, c.Section, c.Earth, c.Breaking}
		for _, x := range c.Conditions {
			figures = append(figures, x.Figure, x.Limit, x.Headroom)
		}
		for _, x := range figures {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%+v gives %+v", r, c)
			}
		}
	})
}

func BenchmarkChoose(b *testing.B) {
	rules := base(b)
	r := w1()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Choose(r, rules); err != nil {
			b.Fatal(err)
		}
	}
}
