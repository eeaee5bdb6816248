package catalogue

import (
	"fmt"

	"wirewright/house"
)

// pauseFloor is the least pause before a motor may be reversed; the manuals of tubular motors ask for 0.5 s at least
// (common practice, published in motor manuals).
const pauseFloor = 500

func (v *validator) channels(t *Type) {
	if t.Does() == RoleModule {
		v.must(len(t.Channels) > 0, "channels", "a module needs at least one group of channels")
	}
	v.must(len(t.Channels) <= groupsMost, "channels", fmt.Sprintf("at most %d groups of channels are expected", groupsMost))
	outputs := false
	for i := range t.Channels {
		v.within("channels", i, func() { v.group(&t.Channels[i]) })
		outputs = outputs || t.Channels[i].Kind.Output()
	}
	v.must(t.Common == 0 || outputs, "common", "only a module with outputs has a shared terminal", "leave it out")
}

func (v *validator) group(g *ChannelGroup) {
	if g.Kind.Output() {
		v.must(len(g.Ratings) > 0, "ratings", "an output needs at least one rating: what it may carry, by load category")
	} else {
		v.must(len(g.Ratings) == 0, "ratings", "only outputs have ratings", "leave them out")
	}
	v.special(g)
	v.ratings(g)
	v.derating(g)
}

// special checks what only dimmers and motor outputs have.
func (v *validator) special(g *ChannelGroup) {
	if g.Kind == Dimmer {
		v.must(g.Edge != "", "edge", "a dimmer needs the edge that it cuts: leading, trailing or either")
	} else {
		v.must(g.Edge == "", "edge", "only dimmers cut an edge", "leave it out")
		v.must(g.Least == 0, "least", "only dimmers have a smallest load", "leave it out")
	}
	if g.Kind == MotorOut {
		v.must(g.Pause == 0 || g.Pause >= pauseFloor, "pause", "the pause before a reversal must be at least 500 ms (manuals of tubular motors)")
	} else {
		v.must(g.Pause == 0, "pause", "only motor outputs pause before a reversal", "leave it out")
	}
}

func (v *validator) ratings(g *ChannelGroup) {
	seen := map[house.Category]bool{}
	for i := range g.Ratings {
		v.within("ratings", i, func() { v.rating(&g.Ratings[i], seen) })
	}
	v.must(g.Kind != MotorOut || len(g.Ratings) == 0 || seen[house.Motor], "ratings", "a motor output needs a rating for motors")
}

// derateMost bounds the rows of a derating table.
const derateMost = 32

// derating checks the derating table of a group.
func (v *validator) derating(g *ChannelGroup) {
	v.must(len(g.Derate) == 0 || g.Kind.Output(), "derate", "only outputs are derated", "leave it out")
	v.must(len(g.Derate) <= derateMost, "derate", fmt.Sprintf("at most %d rows are expected", derateMost))
	for i := range g.Derate {
		d := &g.Derate[i]
		v.within("derate", i, func() {
			v.must(d.Above != 0 || d.Loaded > 0, "", "a row needs a condition: above a temperature, from a number of loaded channels on, or both")
			v.must(d.Loaded <= g.Count, "loaded", fmt.Sprintf("the group has %d channels", g.Count))
		})
	}
}

func (v *validator) rating(r *Rating, seen map[house.Category]bool) {
	v.must(!seen[r.Category], "category", fmt.Sprintf("the category %s stands twice in this group", r.Category))
	seen[r.Category] = true
	v.must(r.Current > 0 || r.Power > 0 || r.Apparent > 0 || r.Count > 0 || r.Inrush > 0, "", "a rating needs at least one limit: current, power, apparent, count or inrush")
}
