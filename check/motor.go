package check

import (
	"fmt"

	"wirewright/unit"
)

// motorRules look at what is moved by a motor.
var motorRules = []Rule{
	{
		Slug: "motor/parallel", Severity: Fault, Kind: "point",
		Title: "Several motors stand on one motor point",
		Why: "Two tubular motors on one pair of contacts are joined through their windings: when one has reached its limit switch, the voltage " +
			"that the other induces drives it on, past the switch or backward. Each motor needs an output of its own, or an isolating relay. A load that is said to be isolated is held " +
			"against the rating of its output with the sum of its motors (channel/overload).",
		Source: "manuals of tubular motors: not more than one motor to one switch", Caution: cautionMotor,
		run: onPoint(motorParallel), sees: near(),
	},
	{
		Slug: "motor/no-travel", Severity: Caution, Kind: "point",
		Title: "The travel times of a motor point are not known",
		Why: "Position is computed from run time, and an output runs for the full travel and 10 to 20 % more. Without the times there is no " +
			"position, and the output has to run for its cap.",
		Source: practice,
		run:    onPoint(noTravel), sees: near(),
	},
	{
		Slug: "motor/long-travel", Severity: Caution, Kind: "point",
		Title: "A motor would have to run longer than tubular motors may",
		Why: "Tubular motors are made for short-time duty of 4 min; then their thermal cut-out opens and takes 10 min and more to close again. An " +
			"output runs for the full travel and 20 % more, so the travel must stay below 200 s.",
		Source: "manuals of tubular motors: run time at most 4 min; S2 of IEC 60034-1 (from memory, not verified)", Caution: cautionMotor,
		run: onPoint(longTravel), sees: near(),
	},
}

// travelMost is the longest travel for which travel and 20 % stay within a short-time duty of 4 min.
const travelMost = unit.Duration(200_000)

func motorParallel(v *view, p *point, say sayer) {
	if p.Kind.Motorised() && p.Load != nil && p.Load.Count > 1 && !p.Load.Isolated {
		say(Finding{
			Text:     fmt.Sprintf("%s stands for %d motors, which must not share one output.", p.ID, p.Load.Count),
			Measured: fmt.Sprintf("%d motors", p.Load.Count), Limit: "1 motor",
			Remedy: &Remedy{Text: fmt.Sprintf("Make %d points of it, each landed on an output of its own; a rule can move them together. Or put an isolating relay before each motor but the first, "+
				"with contacts of its own for up and for down, so that no winding is joined to another, and say that they are isolated; their sum must then be within the rating of the output.", p.Load.Count)},
		})
	}
}

func noTravel(v *view, p *point, say sayer) {
	if p.Kind.Motorised() && p.Travel == nil {
		say(Finding{
			Text:     fmt.Sprintf("The travel times of %s are not known.", p.ID),
			Measured: "not known",
			Remedy:   &Remedy{Text: "Time it from end to end, up and down, and write the times into the house."},
		})
	}
}

func longTravel(v *view, p *point, say sayer) {
	if !p.Kind.Motorised() || p.Travel == nil {
		return
	}
	if longest := max(p.Travel.Up, p.Travel.Down); longest > travelMost {
		say(Finding{
			Text:     fmt.Sprintf("%s travels for %s, so that its output would run for more than 4 min.", p.ID, longest),
			Measured: longest.String(), Limit: travelMost.String(),
			Remedy: &Remedy{Text: "Look at the times again; for a drive that is really so slow, ask its maker for the permitted duty."},
		})
	}
}
