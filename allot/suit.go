package allot

import (
	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/house"
)

// suits tells whether an item may land on a channel group of a type: kind and rating by check.Carries, and a device that
// is there already (push-buttons, a contact, a detector) on an input, while one that is still to come is brought by
// the module itself.
func (j *job) suits(g *catalogue.ChannelGroup, it item) bool {
	p := it.point
	if g.Count < it.channels || !check.Carries(g, p, j.volts) {
		return false
	}
	if p.Kind.Moved() || p.Kind == house.Contact || p.Kind == house.Meter {
		return true
	}
	onInput := g.Kind == catalogue.Input || g.Kind == catalogue.Analogue
	return onInput == p.Fitted
}

// houses tells whether a module of a type may sit at a point: keys at their own keypad, sensors at their own place, box
// modules in a box that is deep enough and has the neutral that they need.
func houses(t *catalogue.Type, p *house.Point) bool {
	if t.Neutral && p.Box != nil && !p.Box.Neutral {
		return false
	}
	switch t.Mount {
	case catalogue.BoxIn:
		return p.Box != nil && (p.Box.Depth == 0 || p.Box.Depth >= t.Depth)
	case catalogue.Plate:
		return p.Kind == house.Keypad && !p.Fitted && (p.Box == nil || p.Box.Depth == 0 || p.Box.Depth >= t.Depth)
	case catalogue.Surface:
		return !p.Kind.Moved() && p.Kind != house.Keypad
	}
	return false
}

// price is what one module of a type costs in a search; whole millionths of the currency.
func price(t *catalogue.Type) int64 { return int64(t.Price) }
