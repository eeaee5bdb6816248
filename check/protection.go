package check

import (
	"fmt"
	"slices"
	"strings"

	iec "wirewright/calc/circuit"
	"wirewright/house"
	"wirewright/unit"
)

// The conditions under which circuits are computed.
const (
	circuitAir    = 30.0 // °C of the air where the house says nothing: the reference of IEC 60364-5-52
	circuitGround = 20.0 // °C of the ground likewise
	nationalRules = "IEC base; national rules differ"
)

// protectionRules hold the cable of a circuit against its device and its load, by package circuit. Each is applied only where
// the house says all that it needs.
var protectionRules = []Rule{
	{
		Slug: "circuit/capacity", Severity: Fault, Kind: "circuit",
		Title: "A cable carries less than its protective device lets through",
		Why: "In ≤ Iz: the device must switch off before the cable is too hot. Iz is that of a PVC-insulated copper cable of the section, laid by the " +
			"method, at the ambient temperature and bunched with as many circuits as the house says (30 °C of air, 20 °C of ground and alone where it says " +
			"nothing). The remedy is the smallest cable that satisfies all conditions that can be computed.",
		Formula: "In ≤ Iz = Iz(table)·Ca·Cg",
		Source:  "IEC 60364-4-43, 433.1; IEC 60364-5-52:2009, Tables B.52.2, B.52.4, B.52.14, B.52.15, B.52.17 (" + nationalRules + ")", Caution: cautionMains,
		run: onCircuit(circuitCapacity), sees: near("point", "module"),
	},
	{
		Slug: "circuit/drop", Severity: Caution, Kind: "circuit",
		Title: "The voltage drops too much along a circuit",
		Why: "u = b·ρ·l·Ib/S at a power factor of 1, with all loads at the far end, which is cautious. Ib is the sum of the loads, at most the rating " +
			"of the device, and all of the rating where a load of the circuit is not known. From the board to the load 3 % are allowed where the " +
			"circuit has a lamp, else 5 %, and 0.005 % more for each metre beyond 100 m, at most 0.5 %; the drop before the board is taken as none.",
		Formula: "u = b·ρ·l·Ib/S/U ≤ u(most)",
		Source:  "IEC 60364-5-52:2009, Annex G, Table G.52.1 (" + nationalRules + ")", Caution: cautionMains,
		run: onCircuit(circuitDrop), sees: near("point", "module"),
	},
	{
		Slug: "circuit/earth-fault", Severity: Fault, Kind: "circuit",
		Title: "An earth fault at the end of a circuit does not switch it off in time",
		Why: "Where no residual-current device covers the circuit, its circuit-breaker must trip at once on the fault current of the loop: " +
			"Zs ≤ Cmin·U0/Ia with Cmin 0.95 and Ia = 5, 10 or 20·In for B, C and D. Where one covers it, Zs·IΔn ≤ 50 V. Zs is the supply's loop with line and " +
			"protective conductor at 70 °C. The metal of a faulty appliance stays live otherwise.",
		Formula: "Zs ≤ Cmin·U0/Ia, or Zs ≤ 50 V/IΔn with a residual-current device",
		Source:  "IEC 60364-4-41, 411.4.4 and 411.5.3; IEC 60898-1 (" + nationalRules + ")", Caution: cautionMains,
		run: onCircuit(circuitEarthFault), sees: near("point", "module"),
	},
	{
		Slug: "circuit/loop", Severity: Caution, Kind: "circuit",
		Title: "Only the residual-current device switches off an earth fault at the end of a circuit",
		Why: "The loop impedance Zs is more than Cmin·U0/Ia (Cmin 0.95), so the circuit-breaker may not trip at once, on a fault between line and " +
			"neutral neither. In a TN system that is a sign of a cable that is too long or too thin; the residual-current device alone is left.",
		Formula: "Zs ≤ Cmin·U0/Ia",
		Source:  "IEC 60364-4-41, 411.4.4 and 411.4.5; IEC 60898-1 (" + nationalRules + ")", Caution: cautionMains,
		run: onCircuit(circuitLoop), sees: near("point", "module"),
	},
	{
		Slug: "circuit/not-checked", Severity: Remark, Kind: "circuit",
		Title: "A circuit could not be checked wholly",
		Why: "Capacity of the cable, voltage drop and disconnection of a fault need its section, method, length and characteristic, and the " +
			"earthing and the loop impedance of the supply. What is not known is not passed. The energy that a device lets through stands in no house, and " +
			"is not checked.",
		Source: practice, Caution: cautionMains,
		run: onCircuit(circuitNotChecked), sees: near("point", "module"),
	},
}

// threePhase tells whether a circuit has all three lines.
func (k *circuit) threePhase() bool { return strings.EqualFold(k.Phase, "all") }

// load sums the currents in A of what is on a circuit, those of one line where it has three; whole is false where a load of
// it is not known.
func (k *circuit) load(volts float64) (amps float64, whole bool) {
	whole = true
	for _, p := range k.points {
		d := drawOf(p.Load, volts)
		amps += d.current
		whole = whole && (d.known || !p.Kind.Moved() || dry(p.Load))
	}
	for _, m := range k.modules {
		if m.typ != nil {
			amps += m.typ.Standby.W() / volts
		}
	}
	if k.threePhase() {
		amps /= 3
	}
	return amps, whole
}

// demand is the current in A that a circuit is computed with: its loads, at most its rating, and all of it where a load is
// not known.
func (k *circuit) demand(volts float64) float64 {
	amps, whole := k.load(volts)
	if !whole {
		return k.Rating.A()
	}
	return min(amps, k.Rating.A())
}

// capacity is what the cable of a circuit carries, in A, if it had a section.
func (k *circuit) capacity(section unit.Section) (float64, error) {
	loaded := 2
	if k.threePhase() {
		loaded = 3
	}
	c, err := iec.CapacityOf(section.MM2(), iec.Laid{Method: k.Method, Loaded: loaded, Celsius: k.celsius(), Circuits: max(1, k.Grouped)})
	return c.Amps, err
}

// celsius is the temperature in °C around the cable of a circuit.
func (k *circuit) celsius() float64 {
	switch {
	case k.Ambient != 0:
		return k.Ambient.C()
	case k.Method == "D1":
		return circuitGround
	}
	return circuitAir
}

// loop is the fault-loop impedance in Ω at the end of a circuit, if it had a section.
func (k *circuit) loop(s *house.Supply, section unit.Section) (float64, error) {
	earth := k.Earth
	if earth <= 0 {
		earth = section
	}
	return iec.Loop(s.Loop.Ohm(), k.Length.M(), section.MM2(), earth.MM2())
}

// drop is the voltage drop of a circuit in per cent, if it had a section.
func (k *circuit) drop(volts float64, section unit.Section) float64 {
	return 100 * iec.Drop(k.demand(volts), k.Length.M(), section.MM2(), 1, k.threePhase()) / volts
}

// lights tells whether a circuit has a lamp.
func (k *circuit) lights() bool {
	return slices.ContainsFunc(k.points, func(p *point) bool { return p.Kind == house.Lamp })
}

// dropMost is the voltage drop in per cent that is allowed on a circuit.
func (k *circuit) dropMost(rules *iec.Rules) float64 {
	return iec.DropMost(k.lights(), false, k.Length.M(), rules)
}

func circuitCapacity(v *view, k *circuit, say sayer) {
	if k.Rating <= 0 || k.Section <= 0 || k.Method == "" {
		return
	}
	most, err := k.capacity(k.Section)
	if err != nil || !above(k.Rating.A(), most) {
		return
	}
	say(Finding{
		Text: fmt.Sprintf("The cable of circuit %s, %s laid by method %s%s, carries %s; its device is rated %s.", k.ID, k.Section, k.Method, bunched(k.Grouped),
			figure(most, "A"), k.Rating),
		Measured: k.Rating.String(), Limit: figure(most, "A"), Terms: append(k.terms(), Term{"current that the cable carries", "Iz", most, "A"}),
		Remedy: v.chosen(k, iec.ByCapacity),
	})
}

// terms are the figures of the cable and the device of a circuit.
func (k *circuit) terms() []Term {
	return []Term{{"rating of the device", "In", k.Rating.A(), "A"}, {"section of the line conductor", "S", k.Section.MM2(), "mm²"},
		{"length to the farthest load", "l", k.Length.M(), "m"}, {"circuits bunched, itself included", "n", float64(max(1, k.Grouped)), ""}}
}

// terms are the figures of the disconnection of a circuit.
func (f fault) terms(v *view, k *circuit) []Term {
	list := append(k.terms(), Term{"voltage of the supply, line to neutral", "U0", v.volts, "V"}, Term{"loop impedance of the supply", "Ze", v.house.Site.Supply.Loop.Ohm(), "Ω"},
		Term{"fault-loop impedance at the end", "Zs", f.loop, "Ω"}, Term{"most with which the circuit-breaker trips at once", "Cmin·U0/Ia", f.breaker, "Ω"})
	if f.residual > 0 {
		list = append(list, Term{"rated residual current", "IΔn", k.Residual.A(), "A"}, Term{"most with which the residual-current device trips", "50 V/IΔn", f.residual, "Ω"})
	}
	return list
}

func bunched(n int) string {
	if n <= 1 {
		return ""
	}
	return fmt.Sprintf(" in a bunch of %d circuits", n)
}

func circuitDrop(v *view, k *circuit, say sayer) {
	if k.Rating <= 0 || k.Section <= 0 || k.Length <= 0 {
		return
	}
	got, most := k.drop(v.volts, k.Section), k.dropMost(v.rules)
	if !above(got, most) {
		return
	}
	say(Finding{
		Text: fmt.Sprintf("Along %s of %s, with %s all at the far end, the voltage of circuit %s drops by %s.", k.Length, k.Section, figure(k.demand(v.volts), "A"),
			k.ID, figure(got, "%")),
		Measured: figure(got, "%"), Limit: figure(most, "%"), Terms: append(k.terms(), Term{"voltage of the supply, line to neutral", "U", v.volts, "V"},
			Term{"current that it is computed with", "Ib", k.demand(v.volts), "A"}, Term{"voltage drop", "u", got, "%"}, Term{"voltage drop that is allowed", "u(most)", most, "%"}),
		Remedy: v.chosen(k, iec.ByDrop),
	})
}

// fault is how an earth fault at the end of a circuit is switched off.
type fault struct {
	loop, breaker float64 // Zs and the most with which the breaker trips, Ω
	residual      float64 // the most with which the residual-current device trips, Ω; 0 where the house names none
}

// faultOf computes the disconnection of a circuit; false where something that it needs is not known.
func (k *circuit) faultOf(v *view) (f fault, ok bool) {
	s := &v.house.Site.Supply
	if k.Rating <= 0 || k.Section <= 0 || k.Length <= 0 || k.Curve == "" || s.Loop <= 0 || s.Earthing == "" || s.Earthing == house.IT {
		return f, false
	}
	var err1, err2 error
	f.loop, err1 = k.loop(s, k.Section)
	f.breaker, err2 = iec.LoopMost(v.volts, k.Rating.A(), k.Curve, v.rules.Value(iec.VoltageLeast))
	if k.Residual > 0 {
		f.residual = v.rules.Value(iec.TouchVoltage) / k.Residual.A()
	}
	return f, err1 == nil && err2 == nil
}

func circuitEarthFault(v *view, k *circuit, say sayer) {
	f, ok := k.faultOf(v)
	most, device := f.breaker, fmt.Sprintf("%s%s", k.Curve, strings.TrimSuffix(k.Rating.String(), " A"))
	if k.Residual > 0 {
		most, device = f.residual, fmt.Sprintf("residual-current device of %s", k.Residual)
	}
	if !ok || !above(f.loop, most) {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("The fault loop at the end of circuit %s has %s; its %s switches off in time up to %s.", k.ID, figure(f.loop, "Ω"), device, figure(most, "Ω")),
		Measured: figure(f.loop, "Ω"), Limit: figure(most, "Ω"), Terms: f.terms(v, k),
		Remedy: v.chosen(k, k.disconnection()),
	})
}

func circuitLoop(v *view, k *circuit, say sayer) {
	f, ok := k.faultOf(v)
	if !ok || k.Residual <= 0 || v.house.Site.Supply.Earthing == house.TT || above(f.loop, f.residual) || !above(f.loop, f.breaker) {
		return
	}
	say(Finding{
		Text: fmt.Sprintf("The fault loop at the end of circuit %s has %s; its %s%s trips at once up to %s. The residual-current device of %s alone is left.", k.ID,
			figure(f.loop, "Ω"), k.Curve, strings.TrimSuffix(k.Rating.String(), " A"), figure(f.breaker, "Ω"), k.Residual),
		Measured: figure(f.loop, "Ω"), Limit: figure(f.breaker, "Ω"), Terms: f.terms(v, k),
		Remedy: v.chosen(k, iec.ByLoop),
	})
}

func circuitNotChecked(v *view, k *circuit, say sayer) {
	if len(k.points)+len(k.modules) == 0 {
		return
	}
	missing := k.unknown(&v.house.Site.Supply)
	if len(missing) == 0 {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("Cable and disconnection of circuit %s could not be checked wholly: %s.", k.ID, strings.Join(missing, "; ")),
		Measured: "not known",
		Remedy:   &Remedy{Text: "Find out on site what is missing, and write it into the house."},
	})
}

// unknown lists what is missing for the rules of this file, and what their tables do not hold. The rating has a rule of its own.
func (k *circuit) unknown(s *house.Supply) []string {
	var list []string
	for _, want := range []struct {
		missing bool
		what    string
	}{
		{k.Section <= 0, "the section is not known"}, {k.Method == "", "the method of laying is not known"}, {k.Length <= 0, "the length is not known"},
		{k.Curve == "", "the tripping characteristic is not known"}, {s.Loop <= 0, "the loop impedance of the supply is not known"},
		{s.Earthing == "", "the earthing of the supply is not known"}, {s.Earthing == house.IT, "disconnection in an IT system is not computed here"},
	} {
		if want.missing {
			list = append(list, want.what)
		}
	}
	if k.Section > 0 && k.Method != "" {
		if _, err := k.capacity(k.Section); err != nil {
			list = append(list, err.Error())
		}
	}
	if k.Section > 0 && k.Length > 0 {
		if _, err := k.loop(s, k.Section); err != nil {
			list = append(list, err.Error())
		}
	}
	return list
}
