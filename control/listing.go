package control

import (
	"fmt"
	"strconv"
	"strings"
)

// Listing returns the program in plain words for people: every rule with its causes, condition and actions, and the
// tables that they name. It may be asked of a program that Check refuses; what does not exist is then said so.
func (p *Program) Listing() string {
	l := &lister{p: p}
	l.line("controller %s: %d slots, %d rules, %d bytes", or1(p.Controller, "without a name"), len(p.Slots), len(p.Rules), len(p.Encode()))
	l.section("slots", len(p.Slots), func(i int) { l.line("  %s", l.slotLine(i)) })
	l.section("timers", len(p.Timers), func(i int) { l.line("  %s", l.timerLine(i)) })
	l.section("keys that are recognised", len(p.Gestures), func(i int) { l.line("  %s", l.gestureLine(p.Gestures[i])) })
	l.section("holds", len(p.Holds), func(i int) { l.line("  %s", l.holdLine(i)) })
	l.section("scenes", len(p.Scenes), l.scene)
	l.section("regulators", len(p.Regulators), func(i int) { l.line("  %s", l.regulatorLine(p.Regulators[i])) })
	l.section("rules", len(p.Rules), l.rule)
	return l.b.String()
}

// lister writes a listing.
type lister struct {
	p *Program
	b strings.Builder
}

// line writes one line.
func (l *lister) line(format string, args ...any) { fmt.Fprintf(&l.b, format+"\n", args...) }

// section writes a heading and a row for each of n things, nothing where there are none.
func (l *lister) section(name string, n int, row func(int)) {
	if n == 0 {
		return
	}
	l.line("\n%s", name)
	for i := range n {
		row(i)
	}
}

// or1 is s, or what stands for the empty text.
func or1(s, empty string) string {
	if s == "" {
		return empty
	}
	return s
}

// at returns the row of a table, or what to print where it does not exist.
func at[T any](rows []T, i int) (row T, ok bool) {
	if i < 0 || i >= len(rows) {
		return row, false
	}
	return rows[i], true
}

// rows returns a run of rows as far as it exists.
func rows[T any](table []T, r Range) []T {
	if r.First < 0 || r.Count < 0 || int64(r.First)+int64(r.Count) > int64(len(table)) {
		return nil
	}
	return table[r.First : r.First+r.Count]
}

// text returns a text of the program.
func (l *lister) text(i int16) string {
	if t, ok := at(l.p.Texts, int(i)); ok {
		return t
	}
	return "(no text " + strconv.Itoa(int(i)) + ")"
}

// slot returns the name of a slot.
func (l *lister) slot(i int16) string {
	if s, ok := at(l.p.Slots, int(i)); ok {
		return or1(s.Name, "slot "+strconv.Itoa(int(i)))
	}
	return "(no slot " + strconv.Itoa(int(i)) + ")"
}

// peer returns the name of a peer.
func (l *lister) peer(i int16) string {
	if s, ok := at(l.p.Peers, int(i)); ok {
		return s
	}
	return "(no peer " + strconv.Itoa(int(i)) + ")"
}

// timer returns the name of a timer.
func (l *lister) timer(i int16) string {
	t, ok := at(l.p.Timers, int(i))
	if !ok || t.Name < 0 {
		return "timer " + strconv.Itoa(int(i))
	}
	return "timer " + l.text(t.Name)
}

// list returns the members of a list.
func (l *lister) list(i int16) string {
	r, ok := at(l.p.Lists, int(i))
	if !ok {
		return "(no list " + strconv.Itoa(int(i)) + ")"
	}
	var names []string
	for _, m := range rows(l.p.Members, r) {
		names = append(names, l.slot(m))
	}
	return "{" + strings.Join(names, ", ") + "}"
}

// quantityOf returns how the number in a slot is to be read.
func (l *lister) quantityOf(i int16) Quantity {
	s, _ := at(l.p.Slots, int(i))
	return s.Quantity
}

// figure returns a number as people read it.
func figure(v int32, q Quantity) string {
	switch {
	case v == Unknown:
		return "unknown"
	case q == QuantityBool && v == 0:
		return "off"
	case q == QuantityBool && v == 1:
		return "on"
	case q == QuantityLevel || q == QuantityPosition:
		return decimal(v, 10) + " %"
	case q == QuantityTemperature:
		return decimal(v, 100) + " °C"
	case q == QuantityLight:
		return strconv.Itoa(int(v)) + " lx"
	case q == QuantityWind:
		return decimal(v, 10) + " m/s"
	}
	return strconv.Itoa(int(v))
}

// decimal prints v parts of one whole.
func decimal(v, parts int32) string {
	sign, n := "", int64(v)
	if n < 0 {
		sign, n = "-", -n
	}
	s := sign + strconv.FormatInt(n/int64(parts), 10)
	if frac := n % int64(parts); frac != 0 {
		s += "." + strings.TrimRight(fmt.Sprintf("%0*d", len(strconv.Itoa(int(parts)))-1, frac), "0")
	}
	return s
}

// duration prints ms as people write them.
func duration(ms int32) string {
	if ms < 0 {
		return strconv.Itoa(int(ms)) + " ms"
	}
	var parts []string
	for _, u := range []struct {
		ms   int32
		name string
	}{{86_400_000, "d"}, {3_600_000, "h"}, {60_000, "min"}} {
		if n := ms / u.ms; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, u.name))
			ms %= u.ms
		}
	}
	switch {
	case ms >= 1000:
		parts = append(parts, decimal(ms, 1000)+" s")
	case ms > 0 || len(parts) == 0:
		parts = append(parts, fmt.Sprintf("%d ms", ms))
	}
	return strings.Join(parts, " ")
}

// kindNames are the words for the kinds of slot.
var kindNames = [...]string{"input", "key", "mirror", "clock", "link", "message", "switch", "level", "motor", "variable"}

// slotLine describes a slot.
func (l *lister) slotLine(i int) string {
	s := l.p.Slots[i]
	kind := fmt.Sprintf("kind %d", s.Kind)
	if int(s.Kind) < len(kindNames) {
		kind = kindNames[s.Kind]
	}
	parts := []string{fmt.Sprintf("%-3d %-24s %s", i, s.Name, kind)}
	if s.Module != "" || s.Channel != "" {
		parts = append(parts, "at "+s.Module+" "+s.Channel)
	}
	if s.Kind == SlotMirror {
		parts = append(parts, fmt.Sprintf("of %s slot %d", l.peer(s.Peer), s.Remote))
	}
	if s.Kind == SlotLink && s.Peer >= 0 {
		parts = append(parts, "to "+l.peer(s.Peer))
	}
	if s.Start != Unknown {
		parts = append(parts, "starts "+figure(s.Start, s.Quantity))
	}
	if s.Kind == SlotMotor {
		parts = append(parts, fmt.Sprintf("up %s, down %s, slats %s, pause %s", duration(s.Up), duration(s.Down), duration(s.Slats), duration(s.Pause)))
	}
	for _, flag := range []struct {
		set  bool
		name string
	}{{s.Publish, "published"}, {s.Retain, "retained"}, {s.Forget, "forgotten when its peer is lost"}} {
		if flag.set {
			parts = append(parts, flag.name)
		}
	}
	return strings.Join(parts, ", ")
}

// timerNames are the words for the kinds of timer.
var timerNames = [...]string{"pulse (TP)", "on-delay (TON)", "off-delay (TOF)", "run-on, prolonged by each start", "wait"}

// timerLine describes a timer.
func (l *lister) timerLine(i int) string {
	t := l.p.Timers[i]
	kind := fmt.Sprintf("kind %d", t.Kind)
	if int(t.Kind) < len(timerNames) {
		kind = timerNames[t.Kind]
	}
	by := "driven by actions"
	if t.In >= 0 {
		by = "driven by " + l.slot(t.In)
		if t.Invert {
			by = "driven by not " + l.slot(t.In)
		}
	}
	return fmt.Sprintf("%s: %s of %s, %s", l.timer(int16(i)), kind, duration(t.Time), by)
}

// gestureLine describes what is recognised at a key.
func (l *lister) gestureLine(g Gesture) string {
	s := fmt.Sprintf("%s: steady for %s", l.slot(g.Slot), duration(g.Debounce))
	if g.Long > 0 {
		s += ", long from " + duration(g.Long)
	}
	if g.Gap > 0 {
		s += ", double within " + duration(g.Gap)
	}
	return s
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
