package check

import (
	"fmt"
	"slices"
	"strings"

	iec "wirewright/calc/circuit"
	"wirewright/house"
	"wirewright/unit"
)

// request is a circuit as package circuit takes it, with the conditions left out for which the house does not say enough, and
// those that only names, where it names any.
func (v *view) request(k *circuit, only ...string) iec.Request {
	s := &v.house.Site.Supply
	r := iec.Request{Volts: v.volts, Amps: k.demand(v.volts), Factor: 1, ThreePhase: k.threePhase(), Metres: k.Length.M(), Earth: k.Earth.MM2(),
		Laid:    iec.Laid{Method: k.Method, Celsius: k.celsius(), Circuits: max(1, k.Grouped)},
		Purpose: iec.Purpose{Lighting: k.lights(), Sockets: k.sockets()}, System: iec.TN, External: s.Loop.Ohm(), Residual: k.Residual.A(),
		Curve: k.Curve, Rating: k.Rating.A(), Without: []string{iec.ByLoad, iec.ByHeat, iec.ByBreaking}}
	if s.Earthing == house.TT && k.Residual > 0 {
		r.System = iec.TT
	}
	unknown := map[string]bool{iec.ByCapacity: k.Method == "", iec.ByDrop: k.Length <= 0}
	loop := s.Loop <= 0 || s.Earthing == "" || s.Earthing == house.IT || k.Length <= 0
	unknown[iec.ByLoop], unknown[iec.ByTouch] = loop || k.Curve == "", loop || k.Residual <= 0
	for _, name := range []string{iec.ByCapacity, iec.ByDrop, iec.ByLoop, iec.ByTouch} {
		if unknown[name] || (len(only) > 0 && !slices.Contains(only, name)) {
			r.Without = append(r.Without, name)
		}
	}
	return r
}

// disconnection is the condition that must hold for an earth fault on a circuit to be switched off in time.
func (k *circuit) disconnection() string {
	if k.Residual > 0 {
		return iec.ByTouch
	}
	return iec.ByLoop
}

// sockets tells whether a circuit has a socket.
func (k *circuit) sockets() bool {
	return slices.ContainsFunc(k.points, func(p *point) bool { return p.Kind == house.Socket })
}

// chosen is the remedy for a condition that a circuit fails: the smallest cable that satisfies every condition that can be
// computed; where there is none, the one that satisfies this condition; else a smaller device on the cable that is there.
func (v *view) chosen(k *circuit, name string) *Remedy {
	device := v.smallerDevice(k)
	for _, r := range []iec.Request{v.request(k), v.request(k, name)} {
		r.Section = k.Section.MM2()
		c, err := iec.Choose(r, v.rules)
		if err != nil || c.Section <= k.Section.MM2() {
			continue
		}
		after := *k.Circuit
		after.Section = unit.SquareMillimetres(c.Section)
		return &Remedy{Text: fmt.Sprintf("Lay it with %s: %s.%s", after.Section, sayChoice(c), deviceText(device)), Changes: k.changed(after)}
	}
	if device > 0 {
		after := *k.Circuit
		after.Rating = unit.Amperes(device)
		return &Remedy{Text: fmt.Sprintf("No section of the tables is enough.%s", deviceText(device)), Changes: k.changed(after)}
	}
	return &Remedy{Text: "No section of the tables is enough: shorten the way, divide the loads over two circuits, or lay it otherwise."}
}

func (k *circuit) changed(after house.Circuit) []house.Change {
	return []house.Change{{Kind: "circuit", ID: k.ID, Before: *k.Circuit, After: after}}
}

// sayChoice says what a choice is right by: its governing condition, and the figure of every condition.
func sayChoice(c iec.Choice) string {
	parts := make([]string, 0, len(c.Conditions))
	for _, x := range c.Conditions {
		switch x.Name {
		case iec.ByCapacity:
			parts = append(parts, fmt.Sprintf("it carries %s", figure(x.Limit, "A")))
		case iec.ByDrop:
			parts = append(parts, fmt.Sprintf("the voltage then drops by %s of %s", figure(x.Figure, "%"), figure(x.Limit, "%")))
		case iec.ByLoop:
			parts = append(parts, fmt.Sprintf("the loop then has %s of %s", figure(x.Figure, "Ω"), figure(x.Limit, "Ω")))
		}
	}
	if c.Governing != iec.BySize {
		parts = append(parts, "the "+c.Governing+" governs")
	}
	return strings.Join(parts, ", ")
}

// smallerDevice is the largest rating in A below that of a circuit with which its cable satisfies every condition and that
// its loads leave; 0 where there is none, or where a load is not known.
func (v *view) smallerDevice(k *circuit) float64 {
	amps, whole := k.load(v.volts)
	if !whole || k.Curve == "" {
		return 0
	}
	for _, r := range slices.Backward(iec.Ratings) {
		if r >= k.Rating.A() || above(amps, r) {
			continue
		}
		c, err := iec.Assess(v.request(k), iec.Device{Rating: r, Curve: k.Curve}, k.Section.MM2(), v.rules)
		if err == nil && c.Passes() {
			return r
		}
	}
	return 0
}

func deviceText(rating float64) string {
	if rating <= 0 {
		return ""
	}
	return fmt.Sprintf(" The cable that is there bears a device of %s, which its loads leave.", figure(rating, "A"))
}
