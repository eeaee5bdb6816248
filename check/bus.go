package check

import (
	"fmt"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/internal/problem"
	"wirewright/unit"
)

// lengthMost is the most cable that a line may have in all where its head does not say (common practice, no source).
const lengthMost = 300 * unit.Length(1_000_000)

// unitLoadsMost is the most receiver loads on one segment, TIA-485-A.
const unitLoadsMost = 32

// busRules look at a wired line as it is laid out: its head, its cable, and who is on it. That a module is on one line,
// once, package house sees to already.
var busRules = []Rule{
	{
		Slug: "bus/no-head", Severity: Fault, Kind: "line",
		Title:  "A line has no head that can execute for it",
		Why:    "Modules on a line execute nothing: its head does, for all of them. Without one nothing on the line works.",
		Source: "the design of the line: a controller is a line's head or a Wi-Fi module",
		run:    onLine(noHead), sees: near("module"),
	},
	{
		Slug: "bus/foreign-module", Severity: Fault, Kind: "line",
		Title: "A module that is not made for the line is on it",
		Why: "Only wired modules, line heads and bus supplies face a line. A Wi-Fi module or one of another make has no terminals for it, and a " +
			"module that carries mains on the wrong terminals puts mains on the line.",
		Source: "the catalogue entry", Caution: cautionMains,
		run: onLine(foreignModule), sees: near("module"),
	},
	{
		Slug: "bus/not-on-line", Severity: Fault, Kind: "module",
		Title:  "A wired module or a bus supply is on no line",
		Why:    "A wired module is fed and addressed by its line, and a supply feeds one. On none it does nothing.",
		Source: "the catalogue entry",
		run:    onKnown(notOnLine), sees: near("line"),
	},
	{
		Slug: "bus/too-long", Severity: Fault, Kind: "line",
		Title: "A line has too much cable",
		Why: "The cable of all taps and their stubs together, as laid, must stay within the limit of the head, 300 m where it does not say: beyond " +
			"it the signal and the voltage are not what the modules are made for. Lines are laid in series, tap after tap, without a star.",
		Formula: "Σ l ≤ l(most)",
		Source:  "300 m in all, serial topology: " + practice,
		run:     onLine(tooLong), sees: near("module"),
	},
	{
		Slug: "bus/length-unknown", Severity: Caution, Kind: "line",
		Title:  "The cable length to a tap is not known",
		Why:    "Length and voltage of the line could be checked only in part. What is not known is not passed.",
		Source: practice,
		run:    onLine(lengthUnknown), sees: near(),
	},
	{
		Slug: "bus/too-many-taps", Severity: Fault, Kind: "line",
		Title:   "A line has more modules than its head can serve",
		Why:     "The head polls every module on its line and has room for a number of them.",
		Formula: "n ≤ n(head)",
		Source:  "the catalogue entry of the head",
		run:     onLine(tooManyTaps), sees: mendingFrom(),
	},
	{
		Slug: "bus/unit-load", Severity: Fault, Kind: "line",
		Title:   "The receivers on a line load it too much",
		Why:     "A driver is made for 32 unit loads of 12 kΩ on one segment; the shares of all modules add up.",
		Formula: "Σ UL ≤ 32",
		Source:  "TIA-485-A (ISO/IEC 8482), unit load",
		run:     onLine(unitLoad), sees: near("module"),
	},
	{
		Slug: "bus/unknown-cable", Severity: Fault, Kind: "line",
		Title:  "The catalogue has no such cable",
		Why:    "The voltage along the line is computed from the loop resistance of its cable, which stands in the catalogue.",
		Source: "the catalogue",
		run:    onLine(unknownCable), sees: near(),
	},
}

// onBus lists the known modules of a line, its head first whether it stands among the taps or not.
func onBus(l *line) []*module {
	var list []*module
	if l.head != nil && l.head.typ != nil {
		list = append(list, l.head)
	}
	for _, m := range l.taps {
		if m != nil && m.typ != nil && m != l.head {
			list = append(list, m)
		}
	}
	return list
}

func noHead(v *view, l *line, say sayer) {
	switch {
	case l.head == nil:
		say(Finding{Text: fmt.Sprintf("Line %s has no head.", l.ID),
			Remedy: &Remedy{Text: "Put a line head on it and name it as its head."}})
	case l.head.typ != nil && l.head.typ.Does() != catalogue.RoleHead:
		f := Finding{
			Text:     fmt.Sprintf("%s is the head of line %s, but a %s is no line head.", l.head.ID, l.ID, l.head.typ.ID),
			Measured: string(l.head.typ.Does()), Limit: string(catalogue.RoleHead),
			Remedy: &Remedy{Text: "Name a line head as its head."},
		}
		if other := otherHead(l); other != nil {
			after := *l.Line
			after.Head = other.ID
			f.Remedy = &Remedy{Text: fmt.Sprintf("Name %s, which is on the line, as its head.", other.ID),
				Changes: []house.Change{{Kind: "line", ID: l.ID, Before: *l.Line, After: after}}}
		}
		say(f)
	}
}

// otherHead finds a line head among the taps.
func otherHead(l *line) *module {
	for _, m := range l.taps {
		if m != nil && m.typ != nil && m.typ.Does() == catalogue.RoleHead {
			return m
		}
	}
	return nil
}

func foreignModule(v *view, l *line, say sayer) {
	for k, m := range l.taps {
		if m == nil || m.typ == nil || m.typ.Medium == catalogue.Wired || m.typ.Does() == catalogue.RoleSupply {
			continue
		}
		say(Finding{
			Text:     fmt.Sprintf("%s is on line %s, but a %s is reached by %s.", m.ID, l.ID, m.typ.ID, m.typ.Medium),
			Measured: string(m.typ.Medium), Limit: string(catalogue.Wired),
			Remedy: &Remedy{Text: "Take it off the line; the cable goes on to the next tap.", Changes: []house.Change{without(l, k)}},
		})
	}
}

// without is the change that takes a tap off a line; the cable to it becomes part of the cable to the next.
func without(l *line, k int) house.Change {
	after := *l.Line
	after.Taps = append([]house.Tap(nil), l.Taps[:k]...)
	after.Taps = append(after.Taps, l.Taps[k+1:]...)
	if k < len(after.Taps) {
		after.Taps[k].Length += l.Taps[k].Length
	}
	return house.Change{Kind: "line", ID: l.ID, Before: *l.Line, After: after}
}

func notOnLine(v *view, m *module, say sayer) {
	if (m.typ.Medium != catalogue.Wired && m.typ.Does() != catalogue.RoleSupply) || len(m.lines) > 0 || v.heads[m.ID] {
		return
	}
	say(Finding{
		Text:   fmt.Sprintf("%s, a %s, is on no line.", m.ID, m.typ.ID),
		Remedy: &Remedy{Text: "Put it among the taps of a line, where the cable passes it."},
	})
}

// longestOf is the most cable that a line may have.
func longestOf(l *line) unit.Length {
	if l.head != nil && l.head.typ != nil && l.head.typ.Bus != nil && l.head.typ.Bus.MaxLength > 0 {
		return l.head.typ.Bus.MaxLength
	}
	return lengthMost
}

func tooLong(v *view, l *line, say sayer) {
	most := longestOf(l)
	var total, reached unit.Length
	last, next := house.ID(""), house.ID("")
	for _, t := range l.Taps {
		total += t.Length + t.Stub
		switch {
		case total <= most:
			last, reached = t.Module, total
		case next == "":
			next = t.Module
		}
	}
	if total <= most {
		return
	}
	remedy := fmt.Sprintf("Put %s and what follows on a line of its own", next)
	if last != "" {
		remedy += fmt.Sprintf("; up to %s the cable takes %s", last, reached)
	}
	say(Finding{
		Text:     fmt.Sprintf("Line %s has %s of cable, more than %s.", l.ID, total, most),
		Measured: total.String(), Limit: most.String(), Terms: []Term{{"cable of all taps and stubs", "Σ l", total.M(), "m"}, {"most cable of the line", "l(most)", most.M(), "m"}},
		Remedy: &Remedy{Text: remedy + "."},
	})
}

func lengthUnknown(v *view, l *line, say sayer) {
	var missing []house.ID
	for k, t := range l.Taps {
		if k > 0 && t.Length <= 0 {
			missing = append(missing, t.Module)
		}
	}
	if len(missing) == 0 {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("On line %s the cable to %d of %d taps has no length, %s first.", l.ID, len(missing), len(l.Taps), missing[0]),
		Measured: "not known",
		Remedy:   &Remedy{Text: "Measure along the cable, as laid, from tap to tap, and write the lengths into the house."},
	})
}

func tooManyTaps(v *view, l *line, say sayer) {
	if l.head == nil || l.head.typ == nil || l.head.typ.Bus == nil || l.head.typ.Bus.MaxTaps <= 0 {
		return
	}
	n := 0
	for _, m := range onBus(l) {
		if m.typ.Does() == catalogue.RoleModule {
			n++
		}
	}
	most := l.head.typ.Bus.MaxTaps
	if n <= most {
		return
	}
	f := Finding{
		Text:     fmt.Sprintf("Line %s has %d modules, more than the %d that %s can serve.", l.ID, n, most, l.head.ID),
		Measured: fmt.Sprintf("%d modules", n), Limit: fmt.Sprintf("%d modules", most), Terms: []Term{{"modules on the line", "n", float64(n), ""}, {"modules that the head serves", "n(head)", float64(most), ""}},
		Remedy: &Remedy{Text: fmt.Sprintf("Put %d of them on another line.", n-most)},
	}
	if t, ok := v.biggerHead(l, n); ok {
		f.Remedy = v.replaced(l.head, t, fmt.Sprintf("it serves %d modules", t.Bus.MaxTaps))
	}
	say(f)
}

// biggerHead finds the cheapest line head for n modules that goes where the head of a line is.
func (v *view) biggerHead(l *line, n int) (*catalogue.Type, bool) {
	var best *catalogue.Type
	for i := range v.cat.Types {
		t := &v.cat.Types[i]
		if t.Bus == nil || t.Bus.MaxTaps < n || !sameUse(l.head.typ, t) || !v.suits(l.head, t) || t.Bus.MaxLength < l.head.typ.Bus.MaxLength {
			continue
		}
		if best == nil || t.Price < best.Price {
			best = t
		}
	}
	return best, best != nil
}

func unitLoad(v *view, l *line, say sayer) {
	total := 0.0
	for _, m := range onBus(l) {
		if m.typ.Bus != nil {
			total += m.typ.Bus.UnitLoad
		}
	}
	if !above(total, unitLoadsMost) {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("The receivers on line %s are %s, more than %d.", l.ID, figure(total, "unit loads"), unitLoadsMost),
		Measured: figure(total, "unit loads"), Limit: fmt.Sprintf("%d unit loads", unitLoadsMost), Terms: []Term{{"unit loads of all receivers", "Σ UL", total, ""}},
		Remedy: &Remedy{Text: "Divide the line by a second head or a repeater."},
	})
}

func unknownCable(v *view, l *line, say sayer) {
	if l.Cable == "" {
		return
	}
	if _, ok := v.cat.Cable(l.Cable); ok {
		return
	}
	f := Finding{Text: fmt.Sprintf("The catalogue has no cable %q, which line %s is laid with.", l.Cable, l.ID), Measured: l.Cable,
		Remedy: &Remedy{Text: "Name a cable of the catalogue, or add it to yours."}}
	if near := problem.Nearest(l.Cable, v.cat.CableIDs()); near != "" {
		after := *l.Line
		after.Cable = near
		f.Remedy = &Remedy{Text: fmt.Sprintf("Name %s, which is near.", near), Changes: []house.Change{{Kind: "line", ID: l.ID, Before: *l.Line, After: after}}}
	}
	say(f)
}
