package check

import (
	"slices"

	"wirewright/catalogue"
	"wirewright/house"
)

// kindsFor lists, for each kind of point, the kinds of channel that it may land on, the fittest first.
var kindsFor = map[house.Kind][]catalogue.ChannelKind{
	house.Lamp:        {catalogue.Relay, catalogue.Dimmer},
	house.Shutter:     {catalogue.MotorOut},
	house.Awning:      {catalogue.MotorOut},
	house.Valve:       {catalogue.ValveOut, catalogue.Relay},
	house.Socket:      {catalogue.Relay},
	house.Fan:         {catalogue.Relay},
	house.Gate:        {catalogue.Relay},
	house.Contactor:   {catalogue.Relay},
	house.Keypad:      {catalogue.Key, catalogue.Input},
	house.Contact:     {catalogue.Input},
	house.Presence:    {catalogue.Presence, catalogue.Input},
	house.Thermometer: {catalogue.TempIn, catalogue.Analogue},
	house.Light:       {catalogue.LightIn, catalogue.Analogue},
	house.Wind:        {catalogue.WindIn, catalogue.Analogue},
	house.Rain:        {catalogue.RainIn, catalogue.Input},
	house.Meter:       {catalogue.MeterIn, catalogue.Input},
}

// Fits tells whether a point may land on a channel of a kind at all. A dimmed lamp fits a plain relay and a plain lamp a
// dimmer: those are cautions, not mistakes of kind.
func Fits(k catalogue.ChannelKind, p *house.Point) bool {
	return slices.Contains(kindsFor[p.Kind], k)
}

// Carries tells whether one channel of a group may take a point with no finding about kind, rating, load, closing
// current, number of lamps or edge; volts is the line to neutral voltage in V. What the house does not say (a load without
// a power) is taken as carried, as the rules that ask for it say so.
func Carries(g *catalogue.ChannelGroup, p *house.Point, volts float64) bool {
	if !Fits(g.Kind, p) {
		return false
	}
	if !g.Kind.Output() || p.Load == nil {
		return true
	}
	l := p.Load
	if p.Kind == house.Lamp && l.Dimmed != (g.Kind == catalogue.Dimmer) {
		return false
	}
	r, ok := ratingFor(g, l.Category)
	if !ok {
		return false
	}
	d := drawOf(l, volts)
	if d.known && len(excessOf(r, d)) > 0 {
		return false
	}
	return countFits(r, l) && (g.Kind != catalogue.Dimmer || dimmerTakes(g, l, d))
}

// countFits tells whether number and closing current of lamps are within a rating.
func countFits(r *catalogue.Rating, l *house.Load) bool {
	if r.Count > 0 && lamps(l) > r.Count {
		return false
	}
	if r.Inrush > 0 && l.Inrush <= 0 {
		return r.Count > 0
	}
	return r.Inrush <= 0 || !above(inrushOf(l), r.Inrush.A())
}

// dimmerTakes tells whether edge and smallest load of a dimmer suit a lamp.
func dimmerTakes(g *catalogue.ChannelGroup, l *house.Load, d draw) bool {
	return edgesAgree(g.Edge, l.Edge) && edgeKnown(g, l) && (!d.known || d.power >= g.Least.W())
}

// edgesAgree tells whether a dimmer can cut the edge that a lamp takes; what is not said agrees.
func edgesAgree(dimmer, lamp string) bool {
	return dimmer == lamp || dimmer == "either" || lamp == "either" || dimmer == "" || lamp == ""
}

// inrushOf is the summed peak closing current of a load in A.
func inrushOf(l *house.Load) float64 { return float64(lamps(l)) * l.Inrush.A() }
