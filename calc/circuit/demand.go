package circuit

import (
	"fmt"
	"math"
	"slices"
)

// Use is the load of one circuit, for the demand of a house.
type Use struct {
	Name string  // a use of the rules: lighting, sockets, …
	Line int     // 1, 2 or 3; 0 for a balanced load on all three
	Amps float64 // on each line that it takes
}

// Term is what the circuits of one use add to one line.
type Term struct {
	Use       string
	Line      int     // 1, 2 or 3
	Circuits  int     // how many of the use are on the line
	Connected float64 // A, all of them together
	Demand    float64 // A, with diversity
	Source    string  // of the factors
}

// Demand is the greatest demand of a supply.
type Demand struct {
	Terms     []Term     // sorted by line, then by the order of the uses in the rules
	Lines     [3]float64 // A, with diversity
	Connected [3]float64 // A, without
	Most      float64    // A, the greatest of Lines
}

// Of is what the loads of one use add up to, in A: the largest Whole of them, Flat of what is left, and the Rest's share
// of the remainder.
func (d Diversity) Of(amps []float64) float64 {
	sorted := slices.Clone(amps)
	slices.Sort(sorted)
	slices.Reverse(sorted)
	sum, rest := 0.0, 0.0
	for i, a := range sorted {
		if i < d.Whole {
			sum += a
		} else {
			rest += a
		}
	}
	flat := math.Min(d.Flat.A(), rest)
	return sum + flat + d.Rest*(rest-flat)
}

// MaximumDemand sums the loads of a supply with diversity, line by line.
func MaximumDemand(uses []Use, rules *Rules) (Demand, error) {
	var d Demand
	for i, u := range uses {
		if !(u.Amps >= 0) || u.Amps > 1e5 {
			return d, fmt.Errorf("use %d (%s) draws %g A: expected 0 to 100000 A", i, u.Name, u.Amps)
		}
		if u.Line < 0 || u.Line > 3 {
			return d, fmt.Errorf("use %d (%s) is on line %d: expected 1, 2 or 3, or 0 for all", i, u.Name, u.Line)
		}
		if !slices.ContainsFunc(rules.Diversity, func(v Diversity) bool { return v.Use == u.Name }) {
			return d, fmt.Errorf("use %q has no factor in rule set %s", u.Name, rules.Name)
		}
	}
	for line := 1; line <= 3; line++ {
		for _, v := range rules.Diversity {
			var amps []float64
			t := Term{Use: v.Use, Line: line, Source: v.Source}
			for _, u := range uses {
				if u.Name == v.Use && (u.Line == 0 || u.Line == line) {
					amps = append(amps, u.Amps)
					t.Connected += u.Amps
				}
			}
			if t.Circuits = len(amps); t.Circuits == 0 {
				continue
			}
			t.Demand = v.Of(amps)
			d.Lines[line-1] += t.Demand
			d.Connected[line-1] += t.Connected
			d.Terms = append(d.Terms, t)
		}
		d.Most = math.Max(d.Most, d.Lines[line-1])
	}
	return d, nil
}

// MainRatings are usual ratings of main switches and main devices in A (common practice, no source).
var MainRatings = []float64{16, 20, 25, 32, 35, 40, 50, 63, 80, 100, 125}

// MainFor is the smallest usual main device that carries a demand in A.
func MainFor(demand float64) (float64, error) {
	for _, r := range MainRatings {
		if demand >= 0 && demand <= r {
			return r, nil
		}
	}
	return 0, fmt.Errorf("a demand of %g A: expected 0 to %g A", demand, MainRatings[len(MainRatings)-1])
}
