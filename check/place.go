package check

import (
	"fmt"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/unit"
)

// placeRules look at what a module is, where it sits, and whether it fits there.
var placeRules = []Rule{
	{
		Slug: "type/unknown", Severity: Fault, Kind: "module",
		Title:  "The catalogue has no such type",
		Why:    "A module is checked, priced, drawn and loaded by its catalogue type. Nothing else about this module was checked.",
		Source: "the catalogue",
		run:    onModule(unknownType), sees: near(),
	},
	{
		Slug: "place/none", Severity: Caution, Kind: "module",
		Title:  "A module sits nowhere",
		Why:    "The house names neither a board, nor the point in whose box it sits, nor a room, so that room for it could not be checked.",
		Source: practice,
		run:    onKnown(placeNone), sees: near(),
	},
	{
		Slug: "place/wrong-mount", Severity: Fault, Kind: "module",
		Title: "A module sits where it cannot be mounted",
		Why: "A rail module clips on the rail of a board (IEC 60715) and has no enclosure of its own; a module for a box or a surface is not made " +
			"for the rail. Live parts must be out of reach wherever it sits.",
		Source: "IEC 60715 (35 mm rail); IEC 60364-4-41, basic protection", Caution: cautionMains,
		run: onKnown(wrongMount), sees: near(),
	},
	{
		Slug: "box/too-shallow", Severity: Fault, Kind: "point",
		Title: "A box is too shallow for what sits in it",
		Why: "Everything in one box needs its depth, one behind the other, plates included. A module that is pressed in pinches conductors and " +
			"cannot lose its heat.",
		Source: "the catalogue entries; stacking in one box is " + practice, Caution: cautionMains,
		run: onPoint(tooShallow), sees: mendingFrom(),
	},
	{
		Slug: "box/no-neutral", Severity: Fault, Kind: "module",
		Title: "A module needs a neutral that is not in its box",
		Why: "A module that is fed from 230 V between line and neutral cannot work in a box with a switched line alone, and the protective " +
			"conductor must never serve as neutral.",
		Source: "IEC 60364-5-54, 543.4: no current through protective conductors in normal service", Caution: cautionMains,
		run: onKnown(noNeutral), sees: near("point"),
	},
	{
		Slug: "box/unknown", Severity: Caution, Kind: "point",
		Title:  "The box that a module is to sit in is not known",
		Why:    "Whether the module fits and has its neutral could not be checked. What is not known is not passed.",
		Source: practice,
		run:    onPoint(boxUnknown), sees: near("module"),
	},
}

func unknownType(v *view, m *module, say sayer) {
	if m.typ != nil {
		return
	}
	f := Finding{Text: fmt.Sprintf("The catalogue has no type %q, of which %s is said to be.", m.Type, m.ID), Measured: m.Type,
		Remedy: &Remedy{Text: "Name a type of the catalogue, or add this one to yours."}}
	if near := v.nearestType(m.Type); near != "" {
		f.Remedy = &Remedy{Text: fmt.Sprintf("Name %s, which is near.", near), Changes: []house.Change{m.changed(func(h *house.Module) { h.Type = near })}}
	}
	say(f)
}

// nearestType is the catalogue's nearest name, looked up once for each wrong one.
func (v *view) nearestType(name string) string {
	near, ok := v.nearest[name]
	if !ok {
		near = v.cat.NearestType(name)
		v.nearest[name] = near
	}
	return near
}

func placeNone(v *view, m *module, say sayer) {
	if m.Board == "" && m.Point == "" && m.Room == "" {
		say(Finding{Text: fmt.Sprintf("The house does not say where %s sits.", m.ID),
			Remedy: &Remedy{Text: "Name the board and slot, the point in whose box it sits, or the room where it hangs."}})
	}
}

func wrongMount(v *view, m *module, say sayer) {
	onRail := m.typ.Mount == catalogue.Rail
	elsewhere := m.Point != "" || m.Room != ""
	switch {
	case onRail && m.Board == "" && elsewhere:
		say(Finding{Text: fmt.Sprintf("%s is a rail module and sits in no board.", m.ID), Measured: "box or room", Limit: "board",
			Remedy: &Remedy{Text: "Put it on the rail of a board, or choose a type for the box."}})
	case !onRail && m.Board != "":
		say(Finding{Text: fmt.Sprintf("%s sits in board %s, but a %s is made for a %s.", m.ID, m.Board, m.typ.ID, mountText(m.typ.Mount)),
			Measured: "board", Limit: mountText(m.typ.Mount),
			Remedy: &Remedy{Text: "Put it where it is made for, or choose a rail type."}})
	}
}

func mountText(m catalogue.Mount) string {
	switch m {
	case catalogue.BoxIn:
		return "wall box or ceiling void"
	case catalogue.Plate:
		return "plate on a wall box"
	}
	return string(m)
}

// depthIn is the depth that all modules in the box of a point need together.
func depthIn(p *point) unit.Length {
	var sum unit.Length
	for _, m := range p.hosts {
		if m.typ != nil {
			sum += m.typ.Depth
		}
	}
	return sum
}

func tooShallow(v *view, p *point, say sayer) {
	need := depthIn(p)
	if p.Box == nil || p.Box.Depth <= 0 || need <= p.Box.Depth {
		return
	}
	f := Finding{
		Text:     fmt.Sprintf("The box of %s is %s deep; what sits in it needs %s.", p.ID, p.Box.Depth, need),
		Measured: p.Box.Depth.String(), Limit: need.String(),
		Remedy: &Remedy{Text: fmt.Sprintf("Set a box of %s or more, or take a flatter module.", need)},
	}
	for _, m := range p.hosts {
		if t, ok := v.replacementThat(m, func(t *catalogue.Type) bool { return v.deepEnough(m, t) }); ok {
			f.Remedy = v.replaced(m, t, fmt.Sprintf("it takes %s", t.Depth))
			break
		}
	}
	say(f)
}

func noNeutral(v *view, m *module, say sayer) {
	p := v.byPoint[m.Point]
	if p == nil || p.Box == nil || p.Box.Neutral || !m.typ.Neutral {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("%s needs a neutral, and there is none in the box of %s.", m.ID, p.ID),
		Measured: "no neutral", Limit: "neutral",
		Remedy: &Remedy{Text: "Draw a neutral of the same circuit into the box, put the module where there is one (the lamp's ceiling void), or serve the point by wire."},
	})
}

func boxUnknown(v *view, p *point, say sayer) {
	for _, m := range p.hosts {
		if m.typ == nil || (m.typ.Mount != catalogue.BoxIn && m.typ.Mount != catalogue.Plate) {
			continue
		}
		if p.Box == nil || p.Box.Depth <= 0 {
			say(Finding{
				Text:     fmt.Sprintf("The depth of the box of %s, where %s sits, is not known.", p.ID, m.ID),
				Measured: "not known", Limit: depthIn(p).String(),
				Remedy: &Remedy{Text: "Open the box, measure its depth, look for a neutral, and write both into the house."},
			})
			return
		}
	}
}
