package check

import (
	"fmt"
	"math"
	"slices"

	iec "wirewright/calc/circuit"
	"wirewright/house"
)

// From where on the unbalance of a supply is worth a word (common practice, no source), and how long is searched.
const (
	unbalanceLeast  = 10.0   // A between the most and the least loaded line
	unbalanceShare  = 0.3    // of the most loaded line
	balanceUnit     = 10.0   // parts of an ampere: currents are no better known than to 0.1 A
	balanceBudget   = 50_000 // steps
	balanceCircuits = 1000   // beyond that many the remark is left to those who design the mains
)

// balance is a better assignment of circuits to lines.
type balance struct {
	line    []int // of each circuit that was given: 1 to 3, 0 for all
	changes []house.Change
	before  [3]float64 // A by line
	after   [3]float64
	proved  bool
	bound   float64 // A; no assignment has a smaller difference
}

func difference3(a [3]float64) float64 {
	return max(a[0], a[1], a[2]) - min(a[0], a[1], a[2])
}

// balanced finds the assignment of least difference between the lines. Of the ways to name its lines it takes the one that
// leaves most circuits where they are. False where the supply has not three lines, or too many circuits.
func (v *view) balanced(list []*circuit, uses []iec.Use) (balance, bool) {
	if v.house.Site.Supply.Phases == 1 || len(list) > balanceCircuits {
		return balance{}, false
	}
	b := balance{line: make([]int, len(list))}
	var p iec.Balance
	var of []int // the circuit of each load of the problem
	for i, u := range uses {
		tenths := int64(math.Round(u.Amps * balanceUnit))
		for k := range 3 {
			if u.Line == 0 || u.Line == k+1 {
				b.before[k] += u.Amps
			}
			if u.Line == 0 {
				p.Base[k] += tenths
			}
		}
		if u.Line != 0 {
			p.Loads = append(p.Loads, tenths)
			of = append(of, i)
		}
	}
	a, err := p.Solve(balanceBudget)
	if err != nil {
		return balance{}, false
	}
	names := nearestNames(a.Line, of, uses)
	for n, i := range of {
		b.line[i] = names[a.Line[n]-1]
	}
	for i, k := range list {
		for line := range 3 {
			if b.line[i] == 0 || b.line[i] == line+1 {
				b.after[line] += uses[i].Amps
			}
		}
		if b.line[i] != uses[i].Line {
			after := *k.Circuit
			after.Phase = fmt.Sprintf("L%d", b.line[i])
			b.changes = append(b.changes, k.changed(after)...)
		}
	}
	b.proved, b.bound = a.Proved(), float64(a.Bound)/balanceUnit
	return b, true
}

// nearestNames is the way to name the three lines of an assignment that leaves most circuits on the line where they are.
func nearestNames(line, of []int, uses []iec.Use) [3]int {
	best, most := [3]int{1, 2, 3}, -1
	for _, names := range [][3]int{{1, 2, 3}, {1, 3, 2}, {2, 1, 3}, {2, 3, 1}, {3, 1, 2}, {3, 2, 1}} {
		same := 0
		for n, i := range of {
			if names[line[n]-1] == uses[i].Line {
				same++
			}
		}
		if same > most {
			best, most = names, same
		}
	}
	return best
}

// exceeds tells whether an assignment brings the demand with diversity above the main device, which it was not before.
func (v *view) exceeds(list []*circuit, uses []iec.Use, b balance) bool {
	moved := slices.Clone(uses)
	for i := range list {
		moved[i].Line = b.line[i]
	}
	now, err1 := iec.MaximumDemand(uses, v.rules)
	then, err2 := iec.MaximumDemand(moved, v.rules)
	main := v.house.Site.Supply.Main.A()
	return err1 == nil && err2 == nil && main > 0 && !above(now.Most, main) && above(then.Most, main)
}

func supplyUnbalance(v *view, say sayer) {
	list, uses, _ := v.counted()
	var sums [3]float64
	for _, u := range uses {
		for k := range 3 {
			if u.Line == 0 || u.Line == k+1 {
				sums[k] += u.Amps
			}
		}
	}
	spread := difference3(sums)
	if spread <= unbalanceLeast || spread <= unbalanceShare*max(sums[0], sums[1], sums[2]) {
		return
	}
	b, ok := v.balanced(list, uses)
	if !ok || len(b.changes) == 0 || difference3(b.after) > spread/2 {
		return
	}
	proof := "no assignment is better"
	if !b.proved {
		proof = fmt.Sprintf("the best found; none differs by less than %s", figure(b.bound, "A"))
	}
	if v.exceeds(list, uses, b) {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("The lines of the supply carry %s, %s and %s with all loads on.", figure(sums[0], "A"), figure(sums[1], "A"), figure(sums[2], "A")),
		Measured: figure(spread, "A"), Limit: figure(max(unbalanceLeast, unbalanceShare*max(sums[0], sums[1], sums[2])), "A"),
		Terms: []Term{{"line 1", "I1", sums[0], "A"}, {"line 2", "I2", sums[1], "A"}, {"line 3", "I3", sums[2], "A"},
			{"current in the neutral at equal power factors", "In", iec.Neutral(sums[0], sums[1], sums[2]), "A"}, {"difference with the better assignment", "Δ", difference3(b.after), "A"}},
		Remedy: &Remedy{Text: fmt.Sprintf("Move %s to other lines: they then carry %s, %s and %s (%s, to 0.1 A).", several(len(b.changes), "circuit"),
			figure(b.after[0], "A"), figure(b.after[1], "A"), figure(b.after[2], "A"), proof), Changes: b.changes},
	})
}
