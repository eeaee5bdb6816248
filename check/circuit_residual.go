package check

import (
	"fmt"
	"slices"

	iec "wirewright/calc/circuit"
	"wirewright/house"
	"wirewright/unit"
)

// residualRules look at the residual-current device and the breaking capacity of a circuit.
var residualRules = []Rule{
	{
		Slug: "circuit/no-residual", Severity: Caution, Kind: "circuit",
		Title: "Sockets are not covered by a residual-current device of 30 mA",
		Why: "Whoever touches a live part on a lead from a socket is protected by nothing else. Circuits with a socket up to 32 A need a device of " +
			"30 mA or less. A circuit for which the house names no such device counts as not covered. For lighting of dwellings the 2017 edition asks the " +
			"same; countries differ, so it is not asked here.",
		Formula: "IΔn ≤ 30 mA",
		Source:  "IEC 60364-4-41, 411.3.3 and 415.1 (from memory; " + nationalRules + ")", Caution: cautionMains,
		run: onCircuit(circuitNoResidual), sees: near("point"),
	},
	{
		Slug: "circuit/residual-type", Severity: Caution, Kind: "circuit",
		Title: "The residual-current device does not see what its loads may leak",
		Why: "Dimmers and the drivers of lamps rectify: their residual current may be pulsating direct current, which a device of type AC does not see. " +
			"They need type A at least. Only circuits for which the house says the type are looked at.",
		Source: "IEC 60755; IEC 60364-5-53 (from memory; " + nationalRules + ")", Caution: cautionMains,
		run: onCircuit(circuitResidualType), sees: near("point"),
	},
	{
		Slug: "circuit/breaking", Severity: Fault, Kind: "circuit",
		Title: "A protective device cannot break the fault current",
		Why: "On a short circuit behind the device its contacts must break the prospective current of the place where it stands. That of the origin " +
			"is taken, which is the most there can be. Only where the house gives both figures they are compared.",
		Formula: "Ik ≤ Icn",
		Source:  "IEC 60364-4-43, 434.5.1; IEC 60898-1; usual capacities from memory", Caution: cautionMains,
		run: onCircuit(circuitBreaking), sees: near(),
	},
}

// additional is the rated residual current of a device that protects persons.
const additional = unit.Current(30_000)

func circuitNoResidual(v *view, k *circuit, say sayer) {
	why := iec.ResidualNeed(iec.Purpose{Sockets: k.sockets()}, k.Rating.A(), v.rules)
	if k.Rating <= 0 || why == "" || (k.Residual > 0 && k.Residual <= additional) {
		return
	}
	f := Finding{Measured: "none named", Limit: additional.String(),
		Text:  fmt.Sprintf("Circuit %s has a socket, and the house names no residual-current device for it.", k.ID),
		Terms: []Term{{"rated residual current that is asked", "IΔn", additional.A(), "A"}, {"rating of the device", "In", k.Rating.A(), "A"}}}
	if k.Residual > 0 {
		f.Measured = k.Residual.String()
		f.Text = fmt.Sprintf("Circuit %s has a socket, and its residual-current device is rated %s.", k.ID, k.Residual)
	}
	after := *k.Circuit
	after.Residual = additional
	f.Remedy = &Remedy{Text: fmt.Sprintf("Cover it with a residual-current device of %s, type %s or better; write it down if there is one already.", additional, v.residualAsked(k))}
	if loop, ok := k.faultOf(v); !ok || !above(loop.loop, loop.breaker) {
		f.Remedy.Changes = k.changed(after) // else the loop stays a finding, and is to be mended first
	}
	say(f)
}

// residualAsked is the least type of residual-current device for the loads of a circuit.
func (v *view) residualAsked(k *circuit) iec.ResidualType {
	electronic := slices.ContainsFunc(k.points, func(p *point) bool {
		return p.Load != nil && (p.Load.Category == house.LED || p.Load.Dimmed)
	})
	return iec.ResidualFor(iec.Equipment{Electronic: electronic})
}

func circuitResidualType(v *view, k *circuit, say sayer) {
	asked := v.residualAsked(k)
	if k.ResidualType == "" || iec.ResidualType(k.ResidualType).Sees(asked) {
		return
	}
	after := *k.Circuit
	after.ResidualType = string(asked)
	say(Finding{
		Text:     fmt.Sprintf("Circuit %s feeds electronic loads; its residual-current device is of type %s.", k.ID, k.ResidualType),
		Measured: k.ResidualType, Limit: string(asked),
		Remedy: &Remedy{Text: fmt.Sprintf("Put in a residual-current device of type %s.", asked), Changes: k.changed(after)},
	})
}

func circuitBreaking(v *view, k *circuit, say sayer) {
	fault := v.house.Site.Supply.Fault
	if k.Breaking <= 0 || fault <= 0 || fault <= k.Breaking {
		return
	}
	f := Finding{
		Text:     fmt.Sprintf("The device of circuit %s breaks %s; the fault current at the origin is %s.", k.ID, k.Breaking, fault),
		Measured: fault.String(), Limit: k.Breaking.String(),
		Terms: []Term{{"prospective fault current at the origin", "Ik", fault.A(), "A"}, {"rated breaking capacity of the device", "Icn", k.Breaking.A(), "A"}},
	}
	enough, err := iec.BreakingFor(fault.A())
	if err != nil {
		f.Remedy = &Remedy{Text: "No usual circuit-breaker breaks it: ask for a device in front that limits the current, by the maker's table."}
	} else {
		after := *k.Circuit
		after.Breaking = unit.Amperes(enough)
		f.Remedy = &Remedy{Text: fmt.Sprintf("Put in a device that breaks %s, or have the fault current at the board measured.", after.Breaking), Changes: k.changed(after)}
	}
	say(f)
}
