package check

import (
	"cmp"
	"fmt"
	"slices"

	"wirewright/catalogue"
)

// startMargin is what a supply must have beyond the steady current, since many modules charge their inputs at once when
// the line comes up.
const startMargin = 1.3

// supplyRules look at what feeds a line.
var supplyRules = []Rule{
	{
		Slug: "bus/no-supply", Severity: Fault, Kind: "line",
		Title:  "A line has no supply",
		Why:    "Heads and modules take current from the line and give none.",
		Source: "the catalogue entries of the modules on the line",
		run:    onLine(noSupply), sees: near("module"),
	},
	{
		Slug: "bus/supply-overload", Severity: Fault, Kind: "line",
		Title: "The modules on a line take more current than its supply gives",
		Why: "The currents of head and modules, all outputs on, add up: Σ I ≤ I(supply). The sum is that at nominal voltage; modules with " +
			"switching regulators take more where the voltage is lower.",
		Formula: "Σ I ≤ I(supply)",
		Source:  "the catalogue entries; Kirchhoff's current law",
		run:     onLine(supplyOverload), sees: mendingFrom(),
	},
	{
		Slug: "bus/supply-margin", Severity: Caution, Kind: "line",
		Title:   "The supply of a line has no margin for its start",
		Why:     "When the line comes up, all modules charge their inputs at once. A supply of 1.3 times the steady current starts it surely.",
		Formula: "1.3·Σ I ≤ I(supply)",
		Source:  "1.3 times the steady current: " + practice,
		run:     onLine(supplyMargin), sees: mendingFrom(),
	},
	{
		Slug: "bus/two-supplies", Severity: Caution, Kind: "line",
		Title: "A line has more than one supply",
		Why: "Supplies may stand in parallel only if they are made for it; otherwise the plus conductor is split between them and only 0 V is " +
			"common. The catalogue says which are made for it; a line with none but those has no such finding. The sum of their currents was taken as what " +
			"the line has.",
		Source: practice,
		run:    onLine(twoSupplies), sees: near("module"),
	},
	{
		Slug: "bus/wrong-voltage", Severity: Fault, Kind: "line",
		Title:  "Supply and modules of a line have different nominal voltages",
		Why:    "A module on a higher voltage than its own is destroyed; on a lower one it does not start.",
		Source: "the catalogue entries",
		run:    onLine(wrongVoltage), sees: near("module"),
	},
}

// budget is what a line takes and has, in A.
type budget struct {
	draw, supply float64
	supplies     []*module
}

func budgetOf(l *line) budget {
	var b budget
	for _, m := range onBus(l) {
		switch {
		case m.typ.Bus == nil:
		case m.typ.Does() == catalogue.RoleSupply:
			b.supply += m.typ.Bus.Supply.A()
			b.supplies = append(b.supplies, m)
		default:
			b.draw += m.typ.Bus.Draw.A()
		}
	}
	return b
}

// terms are the figures of a budget.
func (b budget) terms() []Term {
	return []Term{{"current of all modules, outputs on", "Σ I", b.draw, "A"}, {"the same with the margin for the start", "1.3·Σ I", b.draw * startMargin, "A"},
		{"current that the supplies give", "I(supply)", b.supply, "A"}}
}

func noSupply(v *view, l *line, say sayer) {
	if b := budgetOf(l); len(b.supplies) == 0 && b.draw > 0 {
		say(Finding{
			Text:     fmt.Sprintf("Line %s takes %s and has no supply.", l.ID, figure(b.draw, "A")),
			Measured: figure(b.draw, "A"), Limit: "0 A",
			Remedy: &Remedy{Text: fmt.Sprintf("Put a bus supply of at least %s among its taps.", figure(b.draw*startMargin, "A"))},
		})
	}
}

func supplyOverload(v *view, l *line, say sayer) {
	if b := budgetOf(l); len(b.supplies) > 0 && above(b.draw, b.supply) {
		say(Finding{
			Text:     fmt.Sprintf("Line %s takes %s, more than the %s that its supply gives.", l.ID, figure(b.draw, "A"), figure(b.supply, "A")),
			Measured: figure(b.draw, "A"), Limit: figure(b.supply, "A"), Terms: b.terms(),
			Remedy: v.feedMore(b),
		})
	}
}

func supplyMargin(v *view, l *line, say sayer) {
	if b := budgetOf(l); len(b.supplies) > 0 && !above(b.draw, b.supply) && above(b.draw*startMargin, b.supply) {
		say(Finding{
			Text: fmt.Sprintf("Line %s takes %s; with the margin for its start that is %s, more than %s.", l.ID, figure(b.draw, "A"),
				figure(b.draw*startMargin, "A"), figure(b.supply, "A")),
			Measured: figure(b.draw*startMargin, "A"), Limit: figure(b.supply, "A"), Terms: b.terms(),
			Remedy: v.feedMore(b),
		})
	}
}

// feedMore is the remedy for a supply that is too small: the cheapest that is enough and goes where it sits.
func (v *view) feedMore(b budget) *Remedy {
	old, need := b.supplies[0], b.draw*startMargin-b.supply
	need += old.typ.Bus.Supply.A()
	if best := v.largerSupply(old, need); best != nil {
		return v.replaced(old, best, "it gives "+best.Bus.Supply.String())
	}
	return &Remedy{Text: fmt.Sprintf("Feed the line with at least %s: a larger supply, or a second line with a supply of its own.", figure(b.draw*startMargin, "A"))}
}

// largerSupply finds the cheapest supply that gives a current in A and goes where one sits; nil for none.
func (v *view) largerSupply(old *module, need float64) *catalogue.Type {
	var best *catalogue.Type
	for i := range v.cat.Types {
		t := &v.cat.Types[i]
		if t.Does() != catalogue.RoleSupply || t.Mount != old.typ.Mount || t.Bus == nil || above(need, t.Bus.Supply.A()) || t.Bus.Parallel != old.typ.Bus.Parallel && old.typ.Bus.Parallel ||
			t.Bus.Voltage != old.typ.Bus.Voltage || (t.Units > old.typ.Units && !v.free(old, old.Row, old.Slot, t.Units)) {
			continue
		}
		if best == nil || cmp.Or(cmp.Compare(t.Price, best.Price), cmp.Compare(t.ID, best.ID)) < 0 {
			best = t
		}
	}
	return best
}

// feedMoreAt is the remedy for one of several supplies that gives more than it can.
func (v *view) feedMoreAt(over *module, amps float64) *Remedy {
	if best := v.largerSupply(over, amps); best != nil {
		return v.replaced(over, best, "it gives "+best.Bus.Supply.String())
	}
	return &Remedy{Text: fmt.Sprintf("Take a supply of at least %s for %s, or set another supply nearer to the modules that it feeds.", figure(amps, "A"), over.ID)}
}

func twoSupplies(v *view, l *line, say sayer) {
	b := budgetOf(l)
	together := !slices.ContainsFunc(b.supplies, func(m *module) bool { return !m.typ.Bus.Parallel })
	if len(b.supplies) > 1 && !together {
		say(Finding{
			Text:     fmt.Sprintf("Line %s has %d supplies.", l.ID, len(b.supplies)),
			Measured: fmt.Sprintf("%d supplies", len(b.supplies)), Limit: "1 supply",
			Remedy: &Remedy{Text: "Use one supply that is large enough, or supplies that may stand in parallel, or split the plus conductor and say so in a note."},
		})
	}
}

func wrongVoltage(v *view, l *line, say sayer) {
	b := budgetOf(l)
	if len(b.supplies) == 0 {
		return
	}
	feed := b.supplies[0].typ.Bus.Voltage
	var odd []*module
	for _, m := range onBus(l) {
		if m.typ.Bus != nil && m.typ.Bus.Voltage != feed {
			odd = append(odd, m)
		}
	}
	if len(odd) > 0 {
		say(Finding{
			Text: fmt.Sprintf("Line %s has %s (%s first) made for %s, but %s gives %s.", l.ID, several(len(odd), "module"), odd[0].ID,
				odd[0].typ.Bus.Voltage, b.supplies[0].ID, feed),
			Measured: feed.String(), Limit: odd[0].typ.Bus.Voltage.String(),
			Remedy: &Remedy{Text: "Choose modules and a supply of one nominal voltage."},
		})
	}
}
