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
	switch {
	case s.Kind == SlotMirror:
		kind += fmt.Sprintf(" of %s slot %d", l.peer(s.Peer), s.Remote)
	case s.Kind == SlotLink && s.Peer >= 0:
		kind += " to " + l.peer(s.Peer)
	case s.Kind == SlotClock:
		kind += ": " + l.schedule(s.Schedule)
	}
	parts := []string{fmt.Sprintf("%-3d %-24s %s", i, s.Name, kind)}
	if s.Module != "" || s.Channel != "" {
		parts = append(parts, "at "+s.Module+" "+s.Channel)
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
