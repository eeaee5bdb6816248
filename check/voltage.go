package check

import (
	"errors"
	"fmt"
	"slices"

	"wirewright/calc/dcline"
	"wirewright/catalogue"
)

// The conditions under which the voltage along a line is computed (common practice, no source).
const (
	busWarm     = 40.0 // °C, of the cable, in a warm wall or ceiling
	busHeadroom = 1.1  // more loop resistance than the cable's own: joints, terminals, the tolerance of the cable
)

// voltageRules are the rules that look at the voltage along a line, computed by package dcline: the taps are the nodes, the catalogue gives the
// loop resistance of the cable and what each module takes and needs.
func voltageRules() []Rule {
	return []Rule{
		{
			Slug: "bus/voltage-low", Severity: Fault, Kind: "line",
			Title: "A module on a line gets less voltage than it needs",
			Why: "Every piece of cable drops U = r·l·I, where r is the loop resistance at 40 °C and I the current of all modules behind it, all " +
				"outputs on, each at its nominal current. The supply is taken at its nominal voltage, where it is tapped. At each module the voltage " +
				"must be at least what its type works with. Cable whose length is not known counts as none, so the truth is then worse.",
			Formula: "U = r·l·I from node to node; U(module) ≥ U(least)",
			Source:  "Kirchhoff's laws; IEC 60228 (conductor resistance, temperature coefficient 0.00393 1/K); the catalogue entries",
			run:     onLine(voltageLow), sees: lifting(),
		},
		{
			Slug: "bus/collapse", Severity: Fault, Kind: "line",
			Title: "A line cannot carry the current of its modules at all",
			Why: "With all outputs on, the cable would drop more than the supply gives: there is no steady state, and the line goes down as " +
				"a whole. No voltage can be named.",
			Source: "Kirchhoff's laws; IEC 60228 (conductor resistance); the catalogue entries",
			run:    onLine(busCollapse), sees: lifting(),
		},
		{
			Slug: "bus/no-headroom", Severity: Caution, Kind: "line",
			Title: "A line works by the figures, but has no headroom",
			Why: "Modules with switching regulators take more current where the voltage is lower (I = P/U), and joints and terminals add resistance. " +
				"The catalogue does not say which modules have one, so here all are taken to hold their power, with 10 % more loop resistance: the " +
				"voltage must still suffice, and the line must not collapse.",
			Formula: "I = P/U, r·1.1; U(module) ≥ U(least)",
			Source:  "Kirchhoff's laws; the share of 10 % and the constant power: " + practice,
			run:     onLine(noHeadroom), sees: lifting(),
		},
		{
			Slug: "bus/no-cable", Severity: Remark, Kind: "line",
			Title:  "The cable of a line is not known",
			Why:    "Without the loop resistance of its cable, the voltage along the line could not be checked. What is not known is not passed.",
			Source: practice,
			run:    onLine(noCable), sees: near(),
		},
	}
}

// wire is a line as a chain of nodes with its stubs: the first tap is node 0.
type wire struct {
	parent []int
	metres []float64 // cable from the parent
	feed   []float64 // V that a supply holds there, 0 for none
	rated  []float64 // A that the supplies there give together
	stub   []bool    // the piece from the parent is a stub
	taps   []tapped
	fed    []tapped // the supplies
	trunk  []int    // by tap of the line: its node on the trunk
}

// tapped is a module on a line with the node that it draws from.
type tapped struct {
	*module
	node int
}

// lay makes the wire of a line. Taps without a length are where the one before them is; a head that is not among the taps is
// at the first.
func lay(l *line) *wire {
	w := &wire{}
	at := w.node(-1, 0)
	if l.head != nil && !slices.Contains(l.taps, l.head) {
		w.tap(l.head, at)
	}
	for k, t := range l.Taps {
		if k > 0 {
			at = w.trunk[cameFrom(l.Line, k)]
		}
		if k > 0 && t.Length > 0 {
			at = w.node(at, t.Length.M())
		}
		w.trunk = append(w.trunk, at)
		end := at
		if t.Stub > 0 {
			end = w.node(at, t.Stub.M())
			w.stub[end] = true
		}
		w.tap(l.taps[k], end)
	}
	return w
}

func (w *wire) node(parent int, metres float64) int {
	w.parent, w.metres, w.stub = append(w.parent, parent), append(w.metres, metres), append(w.stub, false)
	w.feed, w.rated = append(w.feed, 0), append(w.rated, 0)
	return len(w.parent) - 1
}

// tap puts a module at a node: a supply feeds there, others draw there.
func (w *wire) tap(m *module, node int) {
	switch {
	case m == nil || m.typ == nil || m.typ.Bus == nil:
	case m.typ.Does() == catalogue.RoleSupply:
		w.feed[node] = m.typ.Bus.Voltage.V()
		w.rated[node] += m.typ.Bus.Supply.A()
		w.fed = append(w.fed, tapped{m, node})
	default:
		w.taps = append(w.taps, tapped{m, node})
	}
}

// state is how a line stands.
type state struct {
	known    bool // false where it could not be computed: no supply, or lengths beyond sense
	collapse bool
	worst    tapped    // the module with the least to spare; no module where none says what it needs
	volts    float64   // there
	low      int       // modules below what they need
	given    []float64 // A, by node: what the supplies there give
	volt     []float64 // V, by node
	deepest  tapped    // the module with the lowest voltage
	highest  tapped    // the module with the highest
	least    float64   // V, the lowest voltage of a module
	shift    float64   // V, of the common conductor between these two
}

// suffices tells whether a line was computed, stands, and every module has the voltage that it needs.
func (s *state) suffices() bool { return s.known && !s.collapse && s.low == 0 }

// demand is what the modules of a line take: their nominal current, or what they need to hold their nominal power, as a
// share of it.
type demand struct {
	power bool
	share float64
}

// The demands that a line is judged at.
var (
	atNominal = demand{share: 1}
	atPower   = demand{power: true, share: 1}
	atStart   = demand{share: startMargin}
)

// nodes is the wire as package dcline has it, for a loop resistance in Ω/m.
func (w *wire) nodes(perMetre float64, d demand) []dcline.Node {
	nodes := make([]dcline.Node, len(w.parent))
	for i := range nodes {
		nodes[i] = dcline.Node{Parent: w.parent[i], Ohm: perMetre * w.metres[i], Supply: w.feed[i]}
	}
	for _, t := range w.taps {
		if b := t.typ.Bus; d.power {
			nodes[t.node].Watts += d.share * b.Draw.A() * b.Voltage.V()
		} else {
			nodes[t.node].Amps += d.share * b.Draw.A()
		}
	}
	return nodes
}

// solve computes a wire of a loop resistance in Ω/m at a demand.
func (w *wire) solve(perMetre float64, d demand) state {
	r, err := dcline.Solve(w.nodes(perMetre, d))
	if err != nil {
		return state{known: errors.Is(err, dcline.ErrCollapse), collapse: errors.Is(err, dcline.ErrCollapse)}
	}
	s := state{known: true, given: r.Supplied, volt: r.Volts}
	s.apart(w.taps, &r)
	for _, t := range w.taps {
		need, has := t.typ.Bus.Least.V(), r.Volts[t.node]
		if need <= 0 {
			continue
		}
		if above(need, has) {
			s.low++
		}
		if s.worst.module == nil || has-need < s.volts-s.worst.typ.Bus.Least.V() {
			s.worst, s.volts = t, has
		}
	}
	return s
}

// apart finds the two modules whose common conductors are furthest apart.
func (s *state) apart(taps []tapped, r *dcline.Result) {
	places := make([]int, len(taps))
	for i, t := range taps {
		places[i] = t.node
	}
	low, high, shift := r.Between(places)
	for _, t := range taps {
		if t.node == low && s.deepest.module == nil {
			s.deepest, s.least = t, r.Volts[low]
		}
		if t.node == high && s.highest.module == nil {
			s.highest = t
		}
	}
	s.shift = shift
}

// overloaded finds a supply that gives more than it can, though all supplies together have enough, and what it gives in A;
// nil where none does.
func (w *wire) overloaded(s *state) (*module, float64) {
	given, rated := 0.0, 0.0
	for i := range s.given {
		given, rated = given+s.given[i], rated+w.rated[i]
	}
	if len(w.fed) < 2 || above(given, rated) {
		return nil, 0 // said by the rules about all supplies together
	}
	for _, t := range w.fed {
		if above(s.given[t.node], w.rated[t.node]) {
			return t.module, s.given[t.node] * t.typ.Bus.Supply.A() / w.rated[t.node]
		}
	}
	return nil, 0
}

// loopOf is the warm loop resistance of a cable in Ω/m.
func loopOf(c *catalogue.Cable) float64 { return dcline.AtTemperature(c.Loop.Ohm()/1000, busWarm) }

// voltages is what the rules of this file know of a line, computed once.
type voltages struct {
	cable         *catalogue.Cable // nil where there is nothing to compute with
	wire          *wire
	steady, tight state // nominal currents; constant power and more resistance
	start         state // currents as the line comes up
}

func (v *view) voltages(l *line) *voltages {
	if l.volts != nil {
		return l.volts
	}
	l.volts = &voltages{}
	if c, ok := v.cat.Cable(l.Cable); ok && c.Loop > 0 && oneVoltage(l) {
		w := lay(l)
		l.volts = &voltages{cable: c, wire: w, steady: w.solve(loopOf(c), atNominal), start: w.solve(loopOf(c), atStart)}
		if l.volts.steady.suffices() {
			l.volts.tight = w.solve(loopOf(c)*busHeadroom, atPower)
		}
	}
	return l.volts
}

// oneVoltage tells whether a line has a supply and all on it are made for what that gives; the rest has findings of its own.
func oneVoltage(l *line) bool {
	supplies := budgetOf(l).supplies
	return len(supplies) > 0 && !slices.ContainsFunc(onBus(l), func(m *module) bool {
		return m.typ.Bus != nil && m.typ.Bus.Voltage != supplies[0].typ.Bus.Voltage
	})
}

// terms are the figures of a line in a state; share is what its loop resistance was multiplied by.
func (f *voltages) terms(l *line, s *state, share float64) []Term {
	feed := 0.0
	for _, u := range f.wire.feed {
		feed = max(feed, u)
	}
	list := []Term{{"voltage of the supply", "U(supply)", feed, "V"}, {"current of all modules, outputs on", "Σ I", budgetOf(l).draw, "A"},
		{"loop resistance of 1 km of the cable, warm", "r", 1000 * share * loopOf(f.cable), "Ω/km"}}
	if s.worst.module == nil {
		return list
	}
	return append(list, Term{"cable from the first tap to " + string(s.worst.ID), "l", f.wire.reach(s.worst.node), "m"},
		Term{"voltage at " + string(s.worst.ID), "U(module)", s.volts, "V"}, Term{"voltage that it needs", "U(least)", s.worst.typ.Bus.Least.V(), "V"})
}

func voltageLow(v *view, l *line, say sayer) {
	s := &v.voltages(l).steady
	if !s.known || s.collapse || s.low == 0 {
		return
	}
	say(Finding{
		Text: fmt.Sprintf("On line %s with cable %s the voltage at %s is %s with all outputs on; a %s needs %s. Too low in all: %s.", l.ID, l.Cable,
			s.worst.ID, figure(s.volts, "V"), s.worst.typ.ID, s.worst.typ.Bus.Least, several(s.low, "module")),
		Measured: figure(s.volts, "V"), Limit: s.worst.typ.Bus.Least.String(), Terms: v.voltages(l).terms(l, s, 1),
		Remedy: v.liftVoltage(l, "bus/voltage-low"),
	})
}

func busCollapse(v *view, l *line, say sayer) {
	if s := &v.voltages(l).steady; s.collapse {
		draw := budgetOf(l).draw
		say(Finding{
			Text: fmt.Sprintf("Line %s with cable %s collapses: with all outputs on its modules take %s, and the cable would drop more than the supply gives.",
				l.ID, l.Cable, figure(draw, "A")),
			Measured: figure(draw, "A"), Terms: v.voltages(l).terms(l, s, 1),
			Remedy: v.liftVoltage(l, "bus/collapse"),
		})
	}
}

func noHeadroom(v *view, l *line, say sayer) {
	f := v.voltages(l)
	if !f.steady.suffices() || !f.tight.known || f.tight.suffices() {
		return
	}
	found := Finding{
		Text:     fmt.Sprintf("Line %s with cable %s would collapse if its modules hold their power and the loop has 10 %% more resistance.", l.ID, l.Cable),
		Measured: "no steady state", Terms: f.terms(l, &f.tight, busHeadroom), Remedy: v.liftVoltage(l, "bus/no-headroom"),
	}
	if s := &f.tight; !s.collapse {
		found.Text = fmt.Sprintf("On line %s with cable %s the voltage at %s is %s if its modules hold their power and the loop has 10 %% more resistance; a %s needs %s.",
			l.ID, l.Cable, s.worst.ID, figure(s.volts, "V"), s.worst.typ.ID, s.worst.typ.Bus.Least)
		found.Measured, found.Limit = figure(s.volts, "V"), s.worst.typ.Bus.Least.String()
	}
	say(found)
}

func noCable(v *view, l *line, say sayer) {
	c, ok := v.cat.Cable(l.Cable)
	if l.Cable != "" && (!ok || c.Loop > 0) {
		return
	}
	text := fmt.Sprintf("The house does not say which cable line %s is laid with.", l.ID)
	if ok {
		text = fmt.Sprintf("The catalogue gives no loop resistance for %s, which line %s is laid with.", l.Cable, l.ID)
	}
	say(Finding{Text: text, Measured: "not known", Remedy: &Remedy{Text: "Name a cable of the catalogue with its loop resistance."}})
}
