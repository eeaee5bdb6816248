package check

import (
	"fmt"
	"math"

	"wirewright/calc/dcline"
)

// signalRules are the rules that look at what the currents of a line do to its data, and at the moment when it comes up.
func signalRules() []Rule {
	return []Rule{
		{
			Slug: "bus/common-shift", Severity: Fault, Kind: "line",
			Title: "The 0 V of two modules on a line lie too far apart",
			Why: "The current of a line raises the common conductor of a module above that of another by half of what the voltages between them differ, since " +
				"both cores are equal. The transceivers hear each other only while that stays within −7 to +12 V; as each talks to each, 7 V is the limit. That is a drop " +
				"of 14 V: a line of 24 V lacks voltage or headroom before, so this stands beside the finding that says so, and tells that data fails too.",
			Formula: "U(shift) = (U(high) − U(low)) / 2 ≤ 7 V",
			Source:  "TIA-485-A (ISO/IEC 8482), common-mode voltage −7 to +12 V; Kirchhoff's laws",
			run:     onLine(commonShift), sees: lifting(),
		},
		{
			Slug: "bus/cold-start", Severity: Caution, Kind: "line",
			Title: "A line may not come up by itself",
			Why: "When the line is switched on, all modules charge their inputs at once and take about 1.3 times their current. Then too each must have the " +
				"voltage that it needs, and each of several supplies must give no more than it can: what one gives is set by the cable, not by its size.",
			Formula: "I(start) = 1.3·I; U(module) ≥ U(least); I(supply) ≤ I(rated)",
			Source:  "Kirchhoff's laws; the catalogue entries; 1.3 times the steady current: " + practice,
			run:     onLine(coldStart), sees: lifting(),
		},
	}
}

func commonShift(v *view, l *line, say sayer) {
	s := &v.voltages(l).steady
	limit := math.Min(-dcline.CommonLow, dcline.CommonHigh)
	if !s.known || s.collapse || !above(s.shift, limit) {
		return
	}
	say(Finding{
		Text: fmt.Sprintf("On line %s the 0 V of %s stands %s above that of %s with all outputs on, more than %s.", l.ID, s.deepest.ID, figure(s.shift, "V"),
			s.highest.ID, figure(limit, "V")),
		Measured: figure(s.shift, "V"), Limit: figure(limit, "V"),
		Terms: []Term{{"voltage at " + string(s.highest.ID), "U(high)", s.least + 2*s.shift, "V"}, {"voltage at " + string(s.deepest.ID), "U(low)", s.least, "V"},
			{"shift of the common conductor", "U(shift)", s.shift, "V"}},
		Remedy: v.liftVoltage(l, "bus/common-shift"),
	})
}

func coldStart(v *view, l *line, say sayer) {
	f := v.voltages(l)
	if !f.steady.suffices() || !f.tight.suffices() {
		return
	}
	s := &f.start
	if over, amps := f.wire.overloaded(s); over != nil {
		say(Finding{
			Text: fmt.Sprintf("On line %s the supply %s gives %s when all modules start, more than its %s, though all supplies together have enough.",
				l.ID, over.ID, figure(amps, "A"), over.typ.Bus.Supply),
			Measured: figure(amps, "A"), Limit: over.typ.Bus.Supply.String(),
			Terms:  []Term{{"current of " + string(over.ID) + " at the start", "I(supply)", amps, "A"}, {"what it is rated for", "I(rated)", over.typ.Bus.Supply.A(), "A"}},
			Remedy: v.feedMoreAt(over, amps),
		})
		return
	}
	if s.known && !s.suffices() {
		text := fmt.Sprintf("Line %s collapses when all modules start.", l.ID)
		found := Finding{Text: text, Measured: "no steady state", Terms: f.terms(l, s, 1), Remedy: v.liftVoltage(l, "bus/cold-start")}
		if !s.collapse {
			found.Text = fmt.Sprintf("On line %s the voltage at %s is %s when all modules start; a %s needs %s.", l.ID, s.worst.ID, figure(s.volts, "V"), s.worst.typ.ID, s.worst.typ.Bus.Least)
			found.Measured, found.Limit = figure(s.volts, "V"), s.worst.typ.Bus.Least.String()
		}
		say(found)
	}
}
