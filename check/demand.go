package check

import (
	"fmt"
	"slices"
	"strings"

	iec "wirewright/calc/circuit"
	"wirewright/house"
	"wirewright/unit"
)

// demandRules hold all loads of the house against its supply.
var demandRules = []Rule{
	{
		Slug: "supply/demand", Severity: Caution, Kind: "site",
		Title: "The loads of the house together may draw more than its main device is rated for",
		Why: "The circuits of each line are added by what they feed, with the diversity of the rule set: of lighting 66 %, of sockets the largest " +
			"circuit and 40 % of the others, of motors the largest and 50 %, of all else everything (common practice, no source). A circuit counts with its loads, or with " +
			"the rating of its device where a load is not known. The greatest of the three lines is held against the main device. Nothing is said where " +
			"the house does not give the main device.",
		Formula: "max(I1, I2, I3) ≤ In(main)",
		Source:  "IEC 60364-1, 311 (that demand be found, with diversity); factors: " + practice, Caution: cautionMains,
		run: onSite(supplyDemand), sees: demandSight(),
	},
	{
		Slug: "supply/demand-unknown", Severity: Remark, Kind: "site",
		Title: "The demand of the house is not known wholly",
		Why: "Circuits on a supply of three lines whose line is not known, and circuits with neither loads nor rating, could not be added. The main device is held " +
			"against the others alone.",
		Source: practice,
		run:    onSite(supplyDemandUnknown), sees: demandSight(),
	},
	{
		Slug: "supply/unbalance", Severity: Remark, Kind: "site",
		Title: "The lines of the supply are loaded unevenly, and could be more evenly",
		Why: "The currents of the circuits are added by line, each with its loads, or with the rating of its device where a load is not known. It is said where the lines " +
			"differ by more than 10 A and by more than 30 % of the greatest, and another assignment halves the difference. The assignment of least difference is " +
			"found by branch and bound, to 0.1 A; circuits on all three lines stay.",
		Formula: "max(I1, I2, I3) − min(I1, I2, I3)",
		Source:  practice, Caution: cautionMains,
		run: onSite(supplyUnbalance), sees: demandSight(),
	},
}

// demandSight is what the sums of the supply look at.
func demandSight() sight { return only("circuit", "point", "module") }

func onSite(f func(*view, sayer)) func(*view, int, sayer) {
	return func(v *view, _ int, say sayer) { f(v, say) }
}

// use is what a circuit feeds most, by current, as the factors of diversity distinguish it.
func (k *circuit) use(volts float64) string {
	sums := map[string]float64{}
	for _, p := range k.points {
		sums[useOf(p)] += 1e-9 + drawOf(p.Load, volts).current
	}
	best := iec.UseOther
	for _, u := range []string{iec.UseLighting, iec.UseSockets, iec.UseMotors} {
		if sums[u] > sums[best] {
			best = u
		}
	}
	return best
}

func useOf(p *point) string {
	switch {
	case p.Kind == house.Lamp:
		return iec.UseLighting
	case p.Kind == house.Socket:
		return iec.UseSockets
	case p.Load != nil && p.Load.Category == house.Motor:
		return iec.UseMotors
	}
	return iec.UseOther
}

// phaseOf is the line of a circuit: 1 to 3, 0 for all; false where it is not known.
func (v *view) phaseOf(k *circuit) (int, bool) {
	if k.threePhase() {
		return 0, true
	}
	if i := slices.Index([]string{"L1", "L2", "L3"}, strings.ToUpper(k.Phase)); i >= 0 {
		return i + 1, true
	}
	return 1, v.house.Site.Supply.Phases == 1
}

// counted lists the circuits whose current and line are known, and their uses; left out are those for which one is not.
func (v *view) counted() (list []*circuit, uses []iec.Use, left []house.ID) {
	for i := range v.house.Circuits {
		k := v.circuits[v.house.Circuits[i].ID]
		line, ok := v.phaseOf(k)
		_, whole := k.load(v.volts)
		switch {
		case len(k.points)+len(k.modules) == 0 && k.Rating <= 0:
		case !ok || (!whole && k.Rating <= 0):
			left = append(left, k.ID)
		default:
			list = append(list, k)
			uses = append(uses, iec.Use{Name: k.use(v.volts), Line: line, Amps: k.sought(v.volts)})
		}
	}
	return list, uses, left
}

// sought is the current in A with which a circuit counts: its loads, at most its rating where it has one, and all of the
// rating where a load is not known.
func (k *circuit) sought(volts float64) float64 {
	if k.Rating > 0 {
		return k.demand(volts)
	}
	amps, _ := k.load(volts)
	return amps
}

func supplyDemand(v *view, say sayer) {
	main := v.house.Site.Supply.Main
	list, uses, _ := v.counted()
	d, err := iec.MaximumDemand(uses, v.rules)
	if main <= 0 || err != nil || !above(d.Most, main.A()) {
		return
	}
	f := Finding{
		Text:     fmt.Sprintf("With diversity the house draws %s on its most loaded line; its main device is rated %s.", figure(d.Most, "A"), main),
		Measured: figure(d.Most, "A"), Limit: main.String(), Terms: demandTerms(d, main),
	}
	f.Remedy = &Remedy{Text: "Put some of the loads under a rule that keeps them from running together, or have a stronger supply laid."}
	if b, ok := v.balanced(list, uses); ok {
		moved := slices.Clone(uses)
		for i := range moved {
			moved[i].Line = b.line[i]
		}
		if better, err := iec.MaximumDemand(moved, v.rules); err == nil && !above(better.Most, main.A()) && len(b.changes) > 0 {
			f.Remedy = &Remedy{Text: fmt.Sprintf("Move %s to other lines; the most loaded then draws %s.", several(len(b.changes), "circuit"), figure(better.Most, "A")), Changes: b.changes}
		}
	}
	if enough, err := iec.MainFor(d.Most); err == nil && len(f.Remedy.Changes) == 0 {
		f.Remedy.Text += fmt.Sprintf(" A main device of %s would carry it, where the supply and its cable do.", figure(enough, "A"))
	}
	say(f)
}

func demandTerms(d iec.Demand, main unit.Current) []Term {
	list := []Term{{"rating of the main device", "In(main)", main.A(), "A"}}
	for _, t := range d.Terms {
		list = append(list, Term{fmt.Sprintf("%s on line %d, %s of %s", t.Use, t.Line, several(t.Circuits, "circuit"), figure(t.Connected, "A")),
			fmt.Sprintf("I%d(%s)", t.Line, t.Use), t.Demand, "A"})
	}
	for i, amps := range d.Lines {
		list = append(list, Term{fmt.Sprintf("line %d in all", i+1), fmt.Sprintf("I%d", i+1), amps, "A"})
	}
	return list
}

func supplyDemandUnknown(v *view, say sayer) {
	_, _, left := v.counted()
	if v.house.Site.Supply.Main <= 0 || len(left) == 0 {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("%s could not be added to the demand of the house: %s.", several(len(left), "circuit"), firstOf(left)),
		Measured: "not known",
		Remedy:   &Remedy{Text: "Find out on which line each is, and how its device is rated, and write it into the house."},
	})
}

// firstOf names some identities, and how many more there are.
func firstOf(ids []house.ID) string {
	const most = 5
	var names []string
	for _, id := range ids[:min(most, len(ids))] {
		names = append(names, string(id))
	}
	text := strings.Join(names, ", ")
	if len(ids) > most {
		text += fmt.Sprintf(" and %d more", len(ids)-most)
	}
	return text
}
