package check

import (
	"fmt"
	"math"

	"wirewright/calc/enclosure"
	"wirewright/catalogue"
	"wirewright/house"
)

// roomAir is the air that modules are in where no board warms it, in °C: the reference of IEC 60364-5-52 for cables in air.
const roomAir = 30.0

// derateRules hold outputs against what is left of their ratings by the table of their type.
var derateRules = []Rule{
	{
		Slug: "channel/derated", Severity: Fault, Kind: "module",
		Title: "An output carries more than is left of its rating in heat, or beside its loaded neighbours",
		Why: "Ratings hold for cool air and few channels loaded at a time. Where the catalogue entry has a derating table, the least share of all its rows " +
			"that apply counts; all landed outputs are taken as loaded at once, since nothing prevents it. The air is taken at 30 °C, in a board warmer by " +
			"the rise under its top, where its size is known.",
		Formula: "I ≤ k·I(rating), P ≤ k·P(rating), S ≤ k·S(rating); k = min of the rows with ϑ(row) ≤ ϑ and n(row) ≤ n",
		Source:  "the catalogue entry; air of 30 °C, IEC 60364-5-52; rise IEC TR 60890; all outputs at once: " + practice, Caution: cautionMains,
		run: onLoad(derated), sees: near("point", "board module", "board circuit"),
	},
	{
		Slug: "channel/edge-unknown", Severity: Caution, Kind: "module",
		Title: "Whether a dimmer cuts the edge that a transformer takes is not known",
		Why: "Electronic transformers are capacitive and take the trailing edge only, wound ones are inductive and take the leading edge; on the wrong one " +
			"they fail or drive voltage peaks. The house does not say which edge this one takes, and the dimmer cuts one alone.",
		Source: practice, Caution: cautionMains,
		run: onLoad(edgeUnknown), sees: mending(),
	},
}

// warmth is the rise under the top of a board in K, 0 where its size is not known; more is heat in W that is added to it.
func (b *board) warmth(more float64) float64 {
	if b == nil || b.Height <= 0 || b.Width <= 0 || b.Depth <= 0 {
		return 0
	}
	h := b.heat()
	_, top := enclosure.Rises(h.total()+more, b.Height.M(), b.Width.M(), b.Depth.M(), b.placing())
	if math.IsNaN(top) || math.IsInf(top, 0) {
		return 0
	}
	return top
}

// airOf is the air in °C around a module if it were of a type.
func (v *view) airOf(m *module, t *catalogue.Type) float64 {
	more := t.Heat.W()
	if m.typ != nil {
		more -= m.typ.Heat.W()
	}
	return roomAir + v.boards[m.Board].warmth(more)
}

// assigned is a point on a channel of a group.
type assigned struct {
	group *catalogue.ChannelGroup
	point *house.Point
}

// loadedOf counts how many of some points load a group.
func loadedOf(list []assigned, g *catalogue.ChannelGroup) int {
	n := 0
	for _, a := range list {
		if a.group == g && a.point.Load != nil {
			n++
		}
	}
	return n
}

// bearsTogether tells whether the channels of a type carry some points with all of them loaded at a time, by its derating
// table.
func (v *view) bearsTogether(m *module, t *catalogue.Type, list []assigned) bool {
	for _, a := range list {
		if len(a.group.Derate) == 0 || a.point.Load == nil {
			continue
		}
		left := a.group.Left(v.airOf(m, t), loadedOf(list, a.group))
		if r, ok := ratingFor(a.group, a.point.Load.Category); ok && left < 1 && len(excessOf(lessened(r, left), drawOf(a.point.Load, v.volts))) > 0 {
			return false
		}
	}
	return true
}

// assignedOf are the points on the outputs of a module.
func assignedOf(m *module) []assigned {
	var list []assigned
	for k := range m.landings {
		if l := &m.landings[k]; l.channel != nil && l.point != nil {
			list = append(list, assigned{l.channel, l.point.Point})
		}
	}
	return list
}

// lessened is a rating of which a share is left.
func lessened(r *catalogue.Rating, left float64) *catalogue.Rating {
	less := *r
	scale(&less.Current, left)
	scale(&less.Power, left)
	scale(&less.Apparent, left)
	return &less
}

func scale[Q ~int64](q *Q, share float64) { *q = Q(math.Round(float64(*q) * share)) }

func derated(v *view, x *loaded, say sayer) {
	if x.rating == nil || !x.draw.known || len(x.channel.Derate) == 0 || len(excessOf(x.rating, x.draw)) > 0 {
		return // what is over the whole rating has a finding of its own
	}
	air, n := v.airOf(x.module, x.module.typ), loadedOf(assignedOf(x.module), x.channel)
	left := x.channel.Left(air, n)
	list := excessOf(lessened(x.rating, left), x.draw)
	if left >= 1 || len(list) == 0 {
		return
	}
	say(Finding{
		Text: fmt.Sprintf("%s carries %s of %s load; of its rating %s are left at %s with %s loaded: %s.", x.where(), list[0].measured, x.load.Category,
			figure(100*left, "%"), figure(math.Round(air), "°C"), several(n, "channel"), list[0].limit),
		Measured: list[0].measured, Limit: list[0].limit,
		Terms: append(x.terms(v), Term{"air around the module", "ϑ", air, "°C"}, Term{"channels of the group loaded", "n", float64(n), ""}, Term{"share of the rating that is left", "k", left, ""}),
		Remedy: &Remedy{Text: "Land some of the loads of the module on another, split this load over two outputs, or bring the module into cooler air; " +
			contactorFor(x) + "."},
	})
}

func edgeUnknown(v *view, x *loaded, say sayer) {
	if x.channel.Kind != catalogue.Dimmer || edgeKnown(x.channel, x.load) {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("%s cuts the %s edge; which one the transformer takes is not known.", x.where(), x.channel.Edge),
		Measured: "not known", Limit: x.channel.Edge,
		Remedy: v.mend(x.landing, "Read on the transformer which edge it takes (electronic ones: trailing; wound ones: leading) and write it into the load, or choose a dimmer for either."),
	})
}

// edgeKnown tells whether it is known that a dimmer cuts the edge that a load takes, where the wrong one destroys it.
func edgeKnown(g *catalogue.ChannelGroup, l *house.Load) bool {
	return l.Category != house.Transformer || l.Edge != "" || g.Edge == "either" || g.Edge == ""
}
