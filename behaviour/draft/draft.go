// Package draft writes an ordinary behaviour for a house that has none yet: what every key, sensor and thermometer would
// be expected to do by what is written on it and where it is. The text is a beginning that people read and change.
//
// A house goes in, a behaviour text comes out, with the keys for which nothing could be guessed. Only points that exist
// are named, so the text compiles for the house that it was made of.
//
// Sources: none; what a caption is taken for is common practice.
package draft

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/house"
)

// Draft is an ordinary behaviour.
type Draft struct {
	Text  string   // of the behaviour language
	Open  []string // keys for which nothing could be guessed, as "point.key (caption)"
	Rules int
}

// writer gathers the rules of one house.
type writer struct {
	h     *house.House
	index *house.Index
	b     strings.Builder
	d     Draft
	away  bool
}

// House drafts the behaviour of a house.
func House(h *house.House) Draft {
	w := &writer{h: h, index: house.NewIndex(h)}
	w.away = w.anyCaption("leave", "away")
	w.b.WriteString("# An ordinary beginning, drafted from the points of the house: read it, and change it to what the client wishes.\n")
	if w.away {
		w.b.WriteString("\nmode away is off\n")
	}
	for i := range h.Rooms {
		w.room(&h.Rooms[i])
	}
	w.d.Text = w.b.String()
	return w.d
}

func (w *writer) anyCaption(words ...string) bool {
	for _, p := range w.h.Points {
		for _, k := range p.Keys {
			if slices.Contains(words, plain(k)) {
				return true
			}
		}
	}
	return false
}

// room writes the rules of one room, under a line that names it.
func (w *writer) room(r *house.Room) {
	points := w.index.PointsIn(r.ID)
	before := w.b.Len()
	fmt.Fprintf(&w.b, "\n# %s\n", strings.TrimSpace(strings.ReplaceAll(or(r.Title, string(r.ID)), "\n", " ")))
	rules := w.d.Rules
	for _, p := range points {
		switch p.Kind {
		case house.Keypad:
			w.keypad(r, p, points)
		case house.Presence:
			w.presence(p, points)
		case house.Thermometer:
			w.heating(p, points)
		}
	}
	if w.d.Rules == rules { // nothing to say: no heading either
		text := w.b.String()[:before]
		w.b.Reset()
		w.b.WriteString(text)
	}
}

// rule writes one rule.
func (w *writer) rule(trigger, effect string) {
	fmt.Fprintf(&w.b, "when %s: %s\n", trigger, effect)
	w.d.Rules++
}

func (w *writer) keypad(r *house.Room, p *house.Point, points []*house.Point) {
	keys := p.Keys
	if len(keys) == 0 {
		keys = []string{""}
	}
	for i, caption := range keys {
		key := fmt.Sprintf("%s.%d", p.ID, i+1)
		if !w.key(r, key, plain(caption), points) {
			w.d.Open = append(w.d.Open, fmt.Sprintf("%s (%s)", key, caption))
		}
	}
}

// key writes what a key does by what is written on it; false where that says nothing.
func (w *writer) key(r *house.Room, key, caption string, points []*house.Point) bool {
	lamps, dimmed, shutters := ofKind(points, house.Lamp), dimmable(points), ofKind(points, house.Shutter)
	room := string(r.ID)
	switch {
	case caption == "all off" && len(lamps) > 0:
		w.rule(key+" is pressed", "turn off all lamps of "+room)
	case caption == "brighter" && len(dimmed) > 0:
		w.rule(key+" is held", "brighten "+list(dimmed)+" while held")
	case caption == "darker" && len(dimmed) > 0:
		w.rule(key+" is held", "darken "+list(dimmed)+" while held")
	case (caption == "shutters up" || caption == "shutter up") && len(shutters) > 0:
		w.rule(key+" is pressed", "raise all shutters of "+room)
	case (caption == "shutters down" || caption == "shutter down") && len(shutters) > 0:
		w.rule(key+" is pressed", "lower all shutters of "+room)
	case caption == "leave":
		fmt.Fprintf(&w.b, "when %s is held:\n  set away to on\n  turn off all lamps\n", key)
		w.d.Rules++
	case caption == "home":
		w.rule(key+" is pressed", "set away to off")
	default:
		return w.lampKey(key, caption, lamps)
	}
	return true
}

// lampKey toggles the lamps that a caption names, or all lamps of the room where it names none or is just "light".
func (w *writer) lampKey(key, caption string, lamps []*house.Point) bool {
	if len(lamps) == 0 {
		return false
	}
	named := slices.DeleteFunc(slices.Clone(lamps), func(p *house.Point) bool {
		own := string(p.ID)[strings.LastIndexByte(string(p.ID), '.')+1:]
		return caption == "" || !(strings.HasPrefix(own, caption) || strings.Contains(plain(p.Title), caption))
	})
	general := caption == "" || caption == "light" || caption == "lights"
	switch {
	case len(named) > 0:
		w.rule(key+" is pressed", "toggle "+list(named))
	case general:
		w.rule(key+" is pressed", "toggle "+list(lamps))
	default:
		return false
	}
	return true
}

// presence lights the room of a detector and airs it, each with its run-on.
func (w *writer) presence(p *house.Point, points []*house.Point) {
	lamps, fans := ofKind(points, house.Lamp), ofKind(points, house.Fan)
	if len(lamps) > 0 {
		w.rule(string(p.ID)+" begins", "turn on "+list(lamps)+" until 2 min after it ends")
	}
	if len(fans) > 0 {
		w.rule(string(p.ID)+" begins", "turn on "+list(fans)+" until 3 min after it ends")
	}
}

// heating opens and closes the valves of a room around 20.5 °C.
func (w *writer) heating(p *house.Point, points []*house.Point) {
	valves := ofKind(points, house.Valve)
	if len(valves) == 0 {
		return
	}
	unless := ""
	if w.away {
		unless = ", unless away"
	}
	w.rule(fmt.Sprintf("%s falls below 20 °C until above 21 °C%s", p.ID, unless), "turn on "+list(valves))
	w.rule(fmt.Sprintf("%s rises above 21 °C until below 20 °C", p.ID), "turn off "+list(valves))
}

func ofKind(points []*house.Point, k house.Kind) []*house.Point {
	return slices.DeleteFunc(slices.Clone(points), func(p *house.Point) bool { return p.Kind != k })
}

func dimmable(points []*house.Point) []*house.Point {
	return slices.DeleteFunc(ofKind(points, house.Lamp), func(p *house.Point) bool { return p.Load == nil || !p.Load.Dimmed })
}

func list(points []*house.Point) string {
	names := make([]string, len(points))
	for i, p := range points {
		names[i] = string(p.ID)
	}
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return names[0]
}

func plain(s string) string { return strings.Join(strings.Fields(strings.ToLower(s)), " ") }

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}
