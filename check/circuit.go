package check

import (
	"fmt"

	"wirewright/catalogue"
	"wirewright/house"
)

// circuitRules look at what feeds points and modules; protectionRules look at the cable.
var circuitRules = []Rule{
	{
		Slug: "circuit/none", Severity: Remark, Kind: "point",
		Title:  "The circuit of a load is not known",
		Why:    "Its load is missing from the sum of its circuit, and whoever works on it does not learn here what to switch off.",
		Source: practice, Caution: cautionMains,
		run: onPoint(circuitNone), sees: near("module"),
	},
	{
		Slug: "circuit/overload", Severity: Caution, Kind: "circuit",
		Title: "The loads on a circuit together draw more than its protective device is rated for",
		Why: "The currents of all loads on the circuit are added, all of them on, with the stand-by of its modules: Ib = Σ S/U, held against In " +
			"(Ib ≤ In ≤ Iz). On a three-phase circuit they are taken as balanced. Where loads surely never run together the sum is too high: then " +
			"say so in a note, or let a rule see to it.",
		Formula: "Ib = Σ S/U ≤ In",
		Source:  "IEC 60364-4-43, 433.1", Caution: cautionMains,
		run: onCircuit(circuitOverload), sees: near("point", "module"),
	},
	{
		Slug: "circuit/no-rating", Severity: Remark, Kind: "circuit",
		Title:  "The rating of a protective device is not known",
		Why:    "The loads of the circuit could not be held against it. What is not known is not passed.",
		Source: practice,
		run:    onCircuit(circuitNoRating), sees: near("point", "module"),
	},
	{
		Slug: "circuit/feed-differs", Severity: Caution, Kind: "module",
		Title: "A module in a box switches a load of another circuit",
		Why: "The outputs of such a module are fed from its own terminals, so the load is on the module's circuit whatever the plan says; or two " +
			"circuits meet in one box, and whoever isolates one stays in danger from the other.",
		Source: "IEC 60364-5-53 (isolation) and " + practice, Caution: cautionMains,
		run: onLanding(feedDiffers), sees: near("point"),
	},
	{
		Slug: "module/no-feed", Severity: Caution, Kind: "module",
		Title:  "What feeds a module is not known",
		Why:    "Wi-Fi modules and bus supplies are fed from 230 V. The house does not say by which circuit, so nobody learns here what to switch off.",
		Source: practice, Caution: cautionMains,
		run: onKnown(noFeed), sees: near("point"),
	},
}

func onCircuit(f func(*view, *circuit, sayer)) func(*view, int, sayer) {
	return func(v *view, i int, say sayer) { f(v, v.circuits[v.house.Circuits[i].ID], say) }
}

func circuitNone(v *view, p *point, say sayer) {
	if p.Kind.Moved() && p.Circuit == "" && !dry(p.Load) {
		f := Finding{Text: fmt.Sprintf("The circuit that feeds %s is not known.", p.ID), Measured: "not known",
			Remedy: &Remedy{Text: "Find its circuit and write it into the house."}}
		if m := feeder(p); m != nil {
			after := *p.Point
			after.Circuit = m.Circuit
			f.Remedy = &Remedy{Text: fmt.Sprintf("Name %s, the circuit of %s, which feeds it.", m.Circuit, m.ID),
				Changes: []house.Change{{Kind: "point", ID: p.ID, Before: *p.Point, After: after}}}
		}
		say(f)
	}
}

// feeder is the module whose own feed a load is switched from, nil where there is none of known circuit.
func feeder(p *point) *module {
	for _, l := range p.landings {
		if l.feeds() && l.module.Circuit != "" {
			return l.module
		}
	}
	return nil
}

// feeds tells whether the output of a landing is fed from the module's own terminals: that of a Wi-Fi module for the box
// whose contact is not potential-free.
func (l *landing) feeds() bool {
	return l.module.typ != nil && l.channel != nil && feeds(l.module.typ, l.channel)
}

// feeds tells whether a group of channels of a type feeds what it switches from the type's own terminals.
func feeds(t *catalogue.Type, g *catalogue.ChannelGroup) bool {
	return g.Kind.Output() && t.Medium == catalogue.WiFi && t.Mount != catalogue.Rail && !potentialFree(g)
}

// potentialFree tells whether the contacts of a group are apart from the feed of their module: only such carry signals.
func potentialFree(g *catalogue.ChannelGroup) bool {
	_, ok := ratingFor(g, house.Dry)
	return ok
}

func feedDiffers(v *view, l *landing, say sayer) {
	if !l.feeds() || l.point.Circuit == "" || l.module.Circuit == "" || l.point.Circuit == l.module.Circuit {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("%s switches %s, which is on circuit %s, but is itself fed by %s.", l.module.ID, l.point.ID, l.point.Circuit, l.module.Circuit),
		Measured: string(l.point.Circuit), Limit: string(l.module.Circuit),
		Remedy: &Remedy{Text: "Feed both from one circuit, or choose a module with a potential-free contact and mark the box."},
	})
}

func circuitNoRating(v *view, k *circuit, say sayer) {
	if k.Rating <= 0 && len(k.points)+len(k.modules) > 0 {
		say(Finding{Text: fmt.Sprintf("The rating of the device of circuit %s is not known.", k.ID), Measured: "not known",
			Remedy: &Remedy{Text: "Read it off the device and write it into the house."}})
	}
}

func circuitOverload(v *view, k *circuit, say sayer) {
	if k.Rating <= 0 {
		return
	}
	total, _ := k.load(v.volts)
	if !above(total, k.Rating.A()) {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("Circuit %s with %s draws %s in all, more than %s.", k.ID, several(len(k.points), "load"), figure(total, "A"), k.Rating),
		Measured: figure(total, "A"), Limit: k.Rating.String(), Terms: []Term{{"loads of the circuit", "n", float64(len(k.points)), ""},
			{"sum of their currents and of the stand-by of modules", "Ib", total, "A"}, {"rating of the device", "In", k.Rating.A(), "A"}},
		Remedy: &Remedy{Text: "Put some of the loads on another circuit. A larger device is no remedy unless the cable carries it."},
	})
}

func noFeed(v *view, m *module, say sayer) {
	fed := m.typ.Medium == catalogue.WiFi || m.typ.Does() == catalogue.RoleSupply
	if !fed || m.Circuit != "" {
		return
	}
	f := Finding{Text: fmt.Sprintf("The circuit that feeds %s is not known.", m.ID), Measured: "not known",
		Remedy: &Remedy{Text: "Find the circuit and write it into the house."}}
	if k := m.likelyFeed(); k != "" {
		f.Remedy = &Remedy{Text: fmt.Sprintf("Name %s, the circuit of all the loads that it feeds.", k),
			Changes: []house.Change{m.changed(func(h *house.Module) { h.Circuit = k })}}
	}
	say(f)
}

// likelyFeed is the one circuit of all loads that a module feeds from its own terminals, "" where there is none.
func (m *module) likelyFeed() house.ID {
	var found house.ID
	for k := range m.landings {
		l := &m.landings[k]
		switch {
		case l.point == nil || !l.feeds() || l.point.Circuit == "":
		case found == "" || found == l.point.Circuit:
			found = l.point.Circuit
		default:
			return ""
		}
	}
	return found
}
