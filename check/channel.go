package check

import (
	"fmt"

	"wirewright/catalogue"
	"wirewright/house"
)

// channelRules hold every output against what it may carry. A rating holds for the load category that it is stated for;
// where there is none for the category of the load, that is a fault of its own and never taken from another category.
var channelRules = []Rule{
	{
		Slug: "channel/no-rating", Severity: Fault, Kind: "module",
		Title: "An output has no rating for the category of its load",
		Why: "A contact that carries 10 A of heaters (AC-1) may weld on a few lamp drivers and burn on a motor, since each kind of load makes " +
			"and breaks differently: filament lamps close on 10 to 15 times their current, motors start with 4 to 8 times, drivers charge a " +
			"capacitor. So a rating holds for its category only.",
		Source: "IEC 60947-4-1 (AC-1, AC-3, AC-5a, AC-5b, AC-6a, AC-7) and IEC 60947-5-1 (AC-15), utilisation categories", Caution: cautionMains,
		run: onLoad(noRating), sees: mending(),
	},
	{
		Slug: "channel/overload", Severity: Fault, Kind: "module",
		Title: "An output carries more than its rating",
		Why: "The load is held against every limit of the rating for its category: current I = P/(U·cosφ), active power P, apparent power " +
			"S = P/cosφ. Where the house gives no power factor, 1 is taken for heaters and filament lamps, 0.8 for motors and transformers, " +
			"0.5 for lamp drivers, ballasts and coils.",
		Formula: "S = P/cosφ, I = S/U; I ≤ I(rating), P ≤ P(rating), S ≤ S(rating)",
		Source:  "IEC 60947-4-1, rated operational current for a utilisation category; assumed power factors: " + practice, Caution: cautionMains,
		run: onLoad(overload), sees: mending(),
	},
	{
		Slug: "channel/too-many-lamps", Severity: Fault, Kind: "module",
		Title: "An output switches more lamp drivers than it may",
		Why: "A driver draws little but closes hard: its input capacitor is charged from the peak of the mains through a few ohms. Drivers on " +
			"one contact add up, so the limit is their number, not their watts: twelve lamps of 9 W draw under half an ampere and may still weld " +
			"a contact of 1.5 A.",
		Formula: "n ≤ n(rating)",
		Source:  "the catalogue entry; derating by number of drivers is " + practice, Caution: cautionMains,
		run: onLoad(tooManyLamps), sees: mending(),
	},
	{
		Slug: "channel/inrush", Severity: Fault, Kind: "module",
		Title:   "The closing current on an output is above what it may switch",
		Why:     "The peak closing currents of all drivers on the output add up: Σ n · Ipk. Above its limit the contact welds.",
		Formula: "Σ Ipk = n·Ipk ≤ I(inrush)",
		Source:  "the catalogue entry; summing the peaks is " + practice, Caution: cautionMains,
		run: onLoad(inrush), sees: mending(),
	},
	{
		Slug: "channel/inrush-unknown", Severity: Caution, Kind: "module",
		Title: "A closing current could not be checked",
		Why: "The output is limited by closing current alone, and the house does not say what one lamp or driver takes when it is closed on. What " +
			"is not known is not passed. The sheet of the driver gives the figure.",
		Source: practice,
		run:    onLoad(inrushUnknown), sees: near("point"),
	},
	{
		Slug: "channel/load-unknown", Severity: Caution, Kind: "point",
		Title:  "The load of a point is not known",
		Why:    "The house gives neither power nor apparent power, so the output that it lands on could not be checked. What is not known is not passed.",
		Source: practice,
		run:    onPoint(loadUnknown), sees: near(),
	},
	{
		Slug: "channel/common-overload", Severity: Fault, Kind: "module",
		Title: "The outputs of a module together carry more than its common terminal",
		Why: "Outputs that share a feed terminal load it with the sum of their currents: Σ I ≤ I(common). All of them on at once is the case to " +
			"hold, since nothing prevents it.",
		Formula: "Σ I ≤ I(common)",
		Source:  "the catalogue entry; the sum over a shared terminal is " + practice, Caution: cautionMains,
		run: onKnown(commonOverload), sees: mending(),
	},
	{
		Slug: "channel/dimmer-edge", Severity: Fault, Kind: "module",
		Title: "A dimmer cuts an edge that the lamp does not take",
		Why: "Leading-edge dimmers switch on into the wave: electronic transformers and drivers made for trailing edge see a current peak every " +
			"half-wave and fail. Trailing-edge dimmers switch off within the wave: wound transformers answer with voltage peaks.",
		Source: practice, Caution: cautionMains,
		run: onLoad(dimmerEdge), sees: mending(),
	},
	{
		Slug: "channel/dimmer-minimum", Severity: Caution, Kind: "module",
		Title:   "A dimmer has too little load",
		Why:     "Below its smallest load a phase-cut dimmer does not hold its switch through the half-wave: the lamp flickers or glows when off.",
		Formula: "P ≥ P(least)",
		Source:  "the catalogue entry; the effect is " + practice, Caution: cautionMains,
		run: onLoad(dimmerMinimum), sees: mending(),
	},
}

// loaded is a landing of a moved point on an output, with the figures that the rules of this file share.
type loaded struct {
	*landing
	load   *house.Load
	draw   draw
	rating *catalogue.Rating // nil where there is none for the category
}

// onLoad looks at every landing of a point with a load on an output that serves its kind.
func onLoad(f func(*view, *loaded, sayer)) func(*view, int, sayer) {
	return onLanding(func(v *view, l *landing, say sayer) {
		if l.point.Load == nil || !l.channel.Kind.Output() || !Fits(l.channel.Kind, l.point.Point) {
			return
		}
		x := &loaded{landing: l, load: l.point.Load, draw: drawOf(l.point.Load, v.volts)}
		x.rating, _ = ratingFor(l.channel, x.load.Category)
		f(v, x, say)
	})
}

// where names channel, module and point of a landing.
func (l *landing) where() string {
	return fmt.Sprintf("%s of %s (%s)", l.Channel, l.module.ID, l.point.ID)
}

func noRating(v *view, x *loaded, say sayer) {
	if x.rating != nil {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("%s has no rating for %s loads.", x.where(), x.load.Category),
		Measured: string(x.load.Category), Limit: ratedFor(x.channel),
		Remedy: v.mend(x.landing, "Choose an output that is rated for this category, "+contactorFor(x)+"."),
	})
}

func ratedFor(g *catalogue.ChannelGroup) string {
	text := ""
	for i, r := range g.Ratings {
		if i > 0 {
			text += ", "
		}
		text += string(r.Category)
	}
	return text
}

func overload(v *view, x *loaded, say sayer) {
	if x.rating == nil || !x.draw.known {
		return
	}
	if list := excessOf(x.rating, x.draw); len(list) > 0 { // one finding a landing: a second limit says nothing new
		e := list[0]
		text := fmt.Sprintf("%s carries %s of %s load, more than %s.", x.where(), e.measured, x.load.Category, e.limit)
		if x.draw.assumed {
			text += fmt.Sprintf(" The power factor was taken as %g.", x.draw.factor)
		}
		say(Finding{Text: text, Measured: e.measured, Limit: e.limit, Terms: x.terms(v),
			Remedy: v.mend(x.landing, "Split the load over several outputs, choose an output that carries it, "+contactorFor(x)+".")})
	}
}

func tooManyLamps(v *view, x *loaded, say sayer) {
	if x.rating == nil || x.rating.Count <= 0 || lamps(x.load) <= x.rating.Count {
		return
	}
	n := (lamps(x.load)-1)/x.rating.Count + 1
	say(Finding{
		Text:     fmt.Sprintf("%s switches %s, more than %d.", x.where(), several(lamps(x.load), "lamp"), x.rating.Count),
		Measured: several(lamps(x.load), "lamp"), Limit: several(x.rating.Count, "lamp"), Terms: lampTerms(x.load, x.rating),
		Remedy: v.mend(x.landing, fmt.Sprintf("Split the lamps over %d outputs, %s.", n, contactorFor(x))),
	})
}

func inrush(v *view, x *loaded, say sayer) {
	if x.rating == nil || x.rating.Inrush <= 0 || x.load.Inrush <= 0 || !above(inrushOf(x.load), x.rating.Inrush.A()) {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("%s closes on %s, more than %s.", x.where(), figure(inrushOf(x.load), "A"), x.rating.Inrush),
		Measured: figure(inrushOf(x.load), "A"), Limit: x.rating.Inrush.String(), Terms: lampTerms(x.load, x.rating),
		Remedy: v.mend(x.landing, "Split the lamps over several outputs, limit the closing current (NTC, zero-crossing switching), "+contactorFor(x)+"."),
	})
}

func inrushUnknown(v *view, x *loaded, say sayer) {
	if x.rating != nil && x.rating.Inrush > 0 && x.rating.Count <= 0 && x.load.Inrush <= 0 {
		say(Finding{
			Text:     fmt.Sprintf("%s: the closing current of the load is not known and was not checked.", x.where()),
			Measured: "not known", Limit: x.rating.Inrush.String(),
			Remedy: &Remedy{Text: "Write the inrush of one lamp or driver into the load, as its sheet gives it."},
		})
	}
}

func loadUnknown(v *view, p *point, say sayer) {
	if !p.Kind.Moved() || drawOf(p.Load, v.volts).known || dry(p.Load) {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("The load of %s is not known: its output and its circuit were not checked.", p.ID),
		Measured: "not known",
		Remedy:   &Remedy{Text: "Write its load (category, and power or apparent power) into the house, as the label gives it."},
	})
}

// dry tells whether a load is the signal input of another device: it takes no power worth naming.
func dry(l *house.Load) bool { return l != nil && l.Category == house.Dry }

func commonOverload(v *view, m *module, say sayer) {
	if m.typ.Common <= 0 {
		return
	}
	total, n := 0.0, 0
	for k := range m.landings {
		if l := &m.landings[k]; l.channel != nil && l.point != nil && l.channel.Kind.Output() {
			total += drawOf(l.point.Load, v.volts).current
			n++
		}
	}
	if !above(total, m.typ.Common.A()) {
		return
	}
	f := Finding{
		Text:     fmt.Sprintf("The %d outputs of %s in use carry %s together, more than %s.", n, m.ID, figure(total, "A"), m.typ.Common),
		Measured: figure(total, "A"), Limit: m.typ.Common.String(), Terms: []Term{{"outputs in use", "n", float64(n), ""},
			{"sum of their currents", "Σ I", total, "A"}, {"what the common terminal may carry", "I(common)", m.typ.Common.A(), "A"}},
		Remedy: &Remedy{Text: "Land some of the loads on another module, or let one output switch a contactor."},
	}
	if t, ok := v.replacement(m); ok {
		f.Remedy = v.replaced(m, t, "its common terminal carries the sum")
	}
	say(f)
}

func dimmerEdge(v *view, x *loaded, say sayer) {
	if x.channel.Kind != catalogue.Dimmer || edgesAgree(x.channel.Edge, x.load.Edge) {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("%s cuts the %s edge, but the lamp takes the %s edge.", x.where(), x.channel.Edge, x.load.Edge),
		Measured: x.channel.Edge, Limit: x.load.Edge,
		Remedy: v.mend(x.landing, "Choose a dimmer for that edge, or lamps that take either."),
	})
}

func dimmerMinimum(v *view, x *loaded, say sayer) {
	if x.channel.Kind != catalogue.Dimmer || !x.draw.known || x.draw.power >= x.channel.Least.W() {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("%s dims %s, less than the %s that it needs.", x.where(), figure(x.draw.power, "W"), x.channel.Least),
		Measured: figure(x.draw.power, "W"), Limit: x.channel.Least.String(), Terms: append(x.draw.terms(v.volts), Term{"smallest load of the dimmer", "P(least)", x.channel.Least.W(), "W"}),
		Remedy: v.mend(x.landing, "Add a base load made for it, or choose a dimmer for smaller loads."),
	})
}
