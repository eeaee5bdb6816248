package control

import (
	"fmt"
	"strconv"
	"strings"
)

// dayNames are the days of a schedule, from bit 0 on.
var dayNames = [7]string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}

// schedule describes a calendar entry.
func (l *lister) schedule(i int16) string {
	s, ok := at(l.p.Schedules, int(i))
	if !ok {
		return "no calendar entry"
	}
	words := anchor(s.From)
	switch {
	case s.Every > 0:
		words = fmt.Sprintf("every %d min", s.Every)
	case s.Window:
		words = "from " + words + " to " + anchor(s.To)
	}
	if days := s.Days & 127; days != 127 {
		var names []string
		for d, name := range dayNames {
			if days>>d&1 == 1 {
				names = append(names, name)
			}
		}
		words += " on " + or1(strings.Join(names, " "), "no day")
	}
	if s.First != 0 {
		words += fmt.Sprintf(" from %08d", s.First)
	}
	if s.Last != 0 {
		words += fmt.Sprintf(" until %08d", s.Last)
	}
	return words
}

// anchorNames are the words for the kinds of anchor; %s is the elevation.
var anchorNames = [...]string{AnchorTime: "", AnchorSunrise: "sunrise", AnchorSunset: "sunset", AnchorSunAbove: "sun above %s°", AnchorSunBelow: "sun below %s°"}

// anchor describes a moment of a day.
func anchor(a Anchor) string {
	if int(a.Kind) >= len(anchorNames) {
		return fmt.Sprintf("(anchor %d)", a.Kind)
	}
	words := clockTime(a.Minute)
	if a.Kind != AnchorTime {
		if words = anchorNames[a.Kind]; a.Kind >= AnchorSunAbove {
			words = fmt.Sprintf(words, decimal(int32(a.Elevation), 10))
		}
		if a.Minute != 0 {
			words += fmt.Sprintf(" %+d min", a.Minute)
		}
	}
	if a.NotBefore >= 0 {
		words += " not before " + clockTime(a.NotBefore)
	}
	if a.NotAfter >= 0 {
		words += " not after " + clockTime(a.NotAfter)
	}
	return words
}

// clockTime prints minutes after midnight.
func clockTime(minute int16) string {
	if minute < 0 {
		return fmt.Sprintf("%d min", minute)
	}
	return fmt.Sprintf("%02d:%02d", minute/60, minute%60)
}

// rankNames are the words for the ranks.
var rankNames = [RankCount]string{"plain", "automatic", "manual", "safety"}

// rank returns the word for a rank.
func rank(r Rank) string {
	if r < RankCount {
		return rankNames[r]
	}
	return fmt.Sprintf("rank %d", r)
}

// holdLine describes a hold.
func (l *lister) holdLine(i int) string {
	h := l.p.Holds[i]
	s := fmt.Sprintf("%s holds %s (%s", or1(l.holdName(int16(i)), "hold"), l.slot(h.Slot), rank(h.Rank))
	if h.Peer >= 0 {
		s += ", put by " + l.peer(h.Peer)
	}
	if h.Restore {
		return s + "); afterwards what was last asked for is done"
	}
	return s + "); afterwards it stays"
}

// holdName returns the name of a hold.
func (l *lister) holdName(i int16) string {
	h, ok := at(l.p.Holds, int(i))
	if !ok {
		return "(no hold " + strconv.Itoa(int(i)) + ")"
	}
	if h.Name < 0 {
		return "hold " + strconv.Itoa(int(i))
	}
	return l.text(h.Name)
}

// regulatorLine describes a regulator.
func (l *lister) regulatorLine(r Regulator) string {
	verb := "heats"
	if r.Cooling {
		verb = "cools"
	}
	q := l.quantityOf(r.Sensor)
	law := fmt.Sprintf("on and off ± %s", figure(r.Half, q))
	if r.Kind == RegulatorProportional {
		law = fmt.Sprintf("in proportion over %s, reset %s, pulses of %s", figure(r.Band, q), duration(min(r.Reset, MaxDelay/1000)*1000), duration(r.Period))
	}
	s := fmt.Sprintf("%s %s by %s towards %s, %s", l.slot(r.Output), verb, l.slot(r.Sensor), l.slot(r.SetPoint), law)
	if r.Enable >= 0 {
		s += ", while " + l.slot(r.Enable)
	}
	if r.Window >= 0 {
		s += fmt.Sprintf(", set back by %s while %s", figure(r.SetBack, q), l.slot(r.Window))
	}
	if r.Frost != Unknown && !r.Cooling {
		s += ", never below " + figure(r.Frost, q)
	}
	return s
}

// scene describes a scene.
func (l *lister) scene(i int) {
	s := l.p.Scenes[i]
	stored := ""
	if s.Stored {
		stored = " (can be captured)"
	}
	l.line("  %s%s", l.sceneName(int16(i)), stored)
	for _, item := range rows(l.p.SceneItems, s.Items) {
		slats := ""
		if item.Slats {
			slats = " slats"
		}
		l.line("    %s%s %s", l.slot(item.Slot), slats, figure(item.Value, l.quantityOf(item.Slot)))
	}
}

// sceneName returns the name of a scene.
func (l *lister) sceneName(i int16) string {
	if s, ok := at(l.p.Scenes, int(i)); ok && s.Name >= 0 {
		return l.text(s.Name)
	}
	return "scene " + strconv.Itoa(int(i))
}
