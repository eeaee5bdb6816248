package check

import (
	"fmt"
	"slices"

	"wirewright/calc/dcline"
	"wirewright/house"
	"wirewright/unit"
)

// A driver of moderate speed on a usual cable, where the head of a line says nothing of its stubs (common practice, no source).
const (
	riseOfDriver = 250e-9 // s
	speedInCable = 0.66   // share of the speed of light
)

// layoutRules are the rules that look at how the cable of a line runs: without branches, with short stubs, terminated at its ends.
func layoutRules() []Rule {
	return []Rule{
		{
			Slug: "bus/tree", Severity: Fault, Kind: "line",
			Title: "A line branches",
			Why: "A serial line runs from tap to tap. Where three or more pieces of cable meet, the signal is thrown back from every arm. A head or a supply in " +
				"the middle of a line is no branch: two pieces meet there. The voltages along a line that branches are computed all the same.",
			Formula: "n(pieces at a tap) ≤ 2",
			Source:  "TIA-485-A (ISO/IEC 8482), daisy chain; makers' installation guides",
			run:     onLine(busTree), sees: near("module"),
		},
		{
			Slug: "bus/stub-too-long", Severity: Fault, Kind: "line",
			Title: "The branch from a line to a module is too long",
			Why: "A stub throws the signal back. It does no harm while the signal runs along it in a tenth of the time in which the driver rises: L = 0.1·tr·v·c. " +
				"Where the head does not say what its line bears, 250 ns and 0.66 of the speed of light are taken (common practice, no source): 4.947 m.",
			Formula: "L = 0.1·tr·v·c",
			Source:  "maker's data sheet for TIA-485-A transceivers, stub length",
			run:     onLine(stubTooLong), sees: near("module"),
		},
		{
			Slug: "bus/termination", Severity: Fault, Kind: "line",
			Title: "The terminating resistors of a line are not at its ends",
			Why: "A resistor of the impedance of the cable, 120 Ω, sits at both ends of the trunk and nowhere else: two, so that the driver sees 60 Ω beside its " +
				"receivers. Where no tap says that it has one, they are taken to be at the ends, as the drawing of the line shows them.",
			Formula: "n = 2; Z = 120 Ω / n",
			Source:  "TIA-485-A (ISO/IEC 8482), terminations at the ends of the trunk; makers' installation guides",
			run:     onLine(termination), sees: near("module"),
		},
	}
}

// cameFrom is the tap that the cable to a tap comes from; the one before it where nothing else is said, or nothing that can be.
func cameFrom(l *house.Line, k int) int {
	if from := l.Taps[k].From; from != "" {
		for i := range k {
			if l.Taps[i].Module == from {
				return i
			}
		}
	}
	return k - 1
}

// forks are the nodes of the trunk where more than two pieces of it meet, ascending.
func (w *wire) forks() []int {
	pieces := make([]int, len(w.parent))
	for i, p := range w.parent {
		if p >= 0 && !w.stub[i] {
			pieces[i]++
			pieces[p]++
		}
	}
	var list []int
	for i, n := range pieces {
		if n > 2 {
			list = append(list, i)
		}
	}
	return list
}

func busTree(v *view, l *line, say sayer) {
	w := lay(l)
	forks := w.forks()
	if len(forks) == 0 {
		return
	}
	k := slices.Index(w.trunk, forks[0])
	pieces := 0
	for i, p := range w.parent {
		if !w.stub[i] && p >= 0 && (i == forks[0] || p == forks[0]) {
			pieces++
		}
	}
	text := fmt.Sprintf("Line %s branches at %s, where %d pieces of cable meet", l.ID, l.Taps[k].Module, pieces)
	if len(forks) > 1 {
		text += fmt.Sprintf(", and at %s", several(len(forks)-1, "other tap"))
	}
	say(Finding{Text: text + ".", Measured: fmt.Sprintf("%d pieces", pieces), Limit: "2 pieces",
		Terms: []Term{{"pieces of cable at " + string(l.Taps[k].Module), "n", float64(pieces), ""}}, Remedy: v.inSeries(l, w)})
}

// inSeries is the remedy for a line that branches: the cable goes back from the end of each arm to where the next one begins,
// if the line bears the longer way.
func (v *view) inSeries(l *line, w *wire) *Remedy {
	after := *l.Line
	after.Taps = slices.Clone(l.Taps)
	added := unit.Length(0)
	forks := w.forks()
	for k := 1; k < len(after.Taps); k++ {
		from := cameFrom(l.Line, k)
		if from == k-1 || !slices.Contains(forks, w.trunk[from]) {
			continue
		}
		back := unit.Metres(w.between(w.trunk[k-1], w.trunk[from]))
		added += back
		after.Taps[k].From, after.Taps[k].Length = "", after.Taps[k].Length+back
	}
	changes := []house.Change{{Kind: "line", ID: l.ID, Before: *l.Line, After: after}}
	if added > 0 && v.harmless(changes, l, "bus/tree") {
		return &Remedy{Text: fmt.Sprintf("Lead the cable back from the end of each arm to where the next begins: %s more of it, beside the one that is there.", added), Changes: changes}
	}
	return &Remedy{Text: "Lay the cable from tap to tap, out to the end of each arm and back, or put an arm on a line of its own."}
}

// between is the cable in m between two nodes.
func (w *wire) between(a, b int) float64 {
	sum := 0.0
	for a != b {
		if a < b {
			a, b = b, a
		}
		sum += w.metres[a]
		a = w.parent[a]
	}
	return sum
}

// longestStub is the longest stub that a line bears.
func longestStub(l *line) unit.Length {
	if l.head != nil && l.head.typ != nil && l.head.typ.Bus != nil && l.head.typ.Bus.MaxStub > 0 {
		return l.head.typ.Bus.MaxStub
	}
	most, err := dcline.LongestStub(riseOfDriver, speedInCable)
	if err != nil {
		return 0
	}
	return unit.Metres(most)
}

func stubTooLong(v *view, l *line, say sayer) {
	most := longestStub(l)
	worst, n := -1, 0
	for k, t := range l.Taps {
		if t.Stub <= most {
			continue
		}
		n++
		if worst < 0 || t.Stub > l.Taps[worst].Stub {
			worst = k
		}
	}
	if worst < 0 {
		return
	}
	text := fmt.Sprintf("On line %s the stub to %s is %s, more than %s", l.ID, l.Taps[worst].Module, l.Taps[worst].Stub, figure(most.M(), "m"))
	if n > 1 {
		text += fmt.Sprintf("; too long in all: %d", n)
	}
	say(Finding{Text: text + ".", Measured: l.Taps[worst].Stub.String(), Limit: figure(most.M(), "m"),
		Terms:  []Term{{"longest stub of the line", "L(stub)", l.Taps[worst].Stub.M(), "m"}, {"longest stub that it bears", "L", most.M(), "m"}},
		Remedy: v.looped(l, most)})
}

// looped is the remedy for stubs that are too long: the trunk goes to the module and back, if the line bears the longer way.
func (v *view) looped(l *line, most unit.Length) *Remedy {
	after := *l.Line
	after.Taps = slices.Clone(l.Taps)
	for k := range after.Taps {
		stub := l.Taps[k].Stub
		if stub <= most {
			continue
		}
		after.Taps[k].Stub = 0
		if k > 0 {
			after.Taps[k].Length += stub
		}
		for i := k + 1; i < len(after.Taps); i++ {
			if cameFrom(l.Line, i) == k {
				after.Taps[i].Length += stub
			}
		}
	}
	changes := []house.Change{{Kind: "line", ID: l.ID, Before: *l.Line, After: after}}
	if v.harmless(changes, l, "bus/stub-too-long") {
		return &Remedy{Text: "Lead the trunk to the module and back instead of a stub.", Changes: changes}
	}
	return &Remedy{Text: "Lead the trunk to the module and back instead of a stub, on a line that has the length for it, or move the module to the trunk."}
}

func termination(v *view, l *line, say sayer) {
	w := lay(l)
	ends := w.ends()
	var at []int
	for k, t := range l.Taps {
		if t.Ended {
			at = append(at, k)
		}
	}
	if len(at) == 0 || len(ends) != 2 {
		return
	}
	good := len(at) == 2
	for _, e := range ends {
		good = good && slices.ContainsFunc(at, func(k int) bool { return w.trunk[k] == e && l.Taps[k].Stub <= 0 })
	}
	if good {
		return
	}
	after := *l.Line
	after.Taps = slices.Clone(l.Taps)
	for k := range after.Taps {
		after.Taps[k].Ended = false
	}
	var names []string
	for _, e := range ends {
		if k := w.atEnd(l, e); k >= 0 {
			after.Taps[k].Ended = true
			names = append(names, string(l.Taps[k].Module))
		}
	}
	f := Finding{
		Text:     fmt.Sprintf("Line %s has %s, first at %s; they belong at its two ends.", l.ID, several(len(at), "terminating resistor"), l.Taps[at[0]].Module),
		Measured: several(len(at), "resistor"), Limit: "2 resistors, at the ends", Terms: []Term{{"terminating resistors", "n", float64(len(at)), ""},
			{"what the driver sees of them", "Z", dcline.DriverLoad(len(at), 0), "Ω"}},
		Remedy: &Remedy{Text: "Terminate the trunk where its cable ends, with the module there on the trunk and not on a stub."},
	}
	if len(names) == 2 {
		f.Remedy = &Remedy{Text: fmt.Sprintf("Terminate it at %s and %s and nowhere else.", names[0], names[1]),
			Changes: []house.Change{{Kind: "line", ID: l.ID, Before: *l.Line, After: after}}}
	}
	say(f)
}

// ends are the two nodes where the trunk ends; fewer for a trunk of one place, more for one that branches.
func (w *wire) ends() []int {
	pieces := make([]int, len(w.parent))
	for i, p := range w.parent {
		if p >= 0 && !w.stub[i] {
			pieces[i]++
			pieces[p]++
		}
	}
	var list []int
	for i, n := range pieces {
		if n == 1 && !w.stub[i] {
			list = append(list, i)
		}
	}
	return list
}

// atEnd is the tap at an end of the trunk that can carry the resistor: the last one there without a stub, -1 for none.
func (w *wire) atEnd(l *line, end int) int {
	best := -1
	for k, node := range w.trunk {
		if node == end && l.Taps[k].Stub <= 0 {
			best = k
		}
	}
	return best
}
