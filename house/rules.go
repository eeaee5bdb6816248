package house

import (
	"net/netip"
	"slices"
	"strconv"
	"strings"
)

// shapes checks outlines: a floor has three corners at least.
func (v *validator) shapes() {
	for i := range v.Rooms {
		r := &v.Rooms[i]
		v.outline(r.ID, spot{"room", "rooms", i}, r.Outline, r.Holes)
	}
	for i := range v.Slabs {
		s := &v.Slabs[i]
		v.outline(s.ID, spot{"slab", "slabs", i}, s.Outline, s.Holes)
	}
}

func (v *validator) outline(id ID, at spot, outline []XY, holes [][]XY) {
	if n := len(outline); n == 1 || n == 2 {
		v.report(id, at.path("outline"), "", "an outline has 3 corners at least; %d found", n)
	}
	for k, hole := range holes {
		if n := len(hole); n < 3 {
			v.report(id, at.path("holes", k), "", "the outline of a hole has 3 corners at least; %d found", n)
		}
	}
}

// addresses checks the form of the addresses on the network.
func (v *validator) addresses() {
	n := &v.Network
	for _, a := range []struct{ name, text string }{{"router", n.Router}, {"pool-first", n.PoolFirst}, {"pool-last", n.PoolLast}} {
		if a.text != "" && !isIPv4(a.text) {
			v.report("", path("network", a.name), "write for example 192.168.10.1", "%q is not an IPv4 address", a.text)
		}
	}
	if p, err := netip.ParsePrefix(n.Subnet); n.Subnet != "" && (err != nil || !p.Addr().Is4() || p.Masked() != p) {
		v.report("", path("network", "subnet"), "write for example 192.168.10.0/24", "%q is not an IPv4 network", n.Subnet)
	}
	if host, port, ok := strings.Cut(n.Broker, ":"); n.Broker != "" && (!ok || host == "" || !isPort(port)) {
		v.report("", path("network", "broker"), "write host:port, for example broker.local:8883", "%q is not a host and a port", n.Broker)
	}
	for i := range v.Modules {
		m := &v.Modules[i]
		if a := m.Address; a != "" && !isIPv4(a) && !isBusAddress(a) {
			v.report(m.ID, path("modules", i, "address"), "write an IPv4 address, or a number from 1 to 65535 on a line", "%q is not an address", a)
		}
		if m.Host != "" && !isHost(m.Host) {
			v.report(m.ID, path("modules", i, "host"), "letters, digits and hyphens, at most 63 in a word (RFC 1123)", "%q is not a host name", m.Host)
		}
	}
}

func path(steps ...any) []any { return steps }

func isIPv4(s string) bool {
	a, err := netip.ParseAddr(s)
	return err == nil && a.Is4()
}

func isPort(s string) bool {
	n, err := strconv.ParseUint(s, 10, 16)
	return err == nil && n > 0
}

func isBusAddress(s string) bool { return isPort(s) && s[0] != '0' }

// isHost tells whether a text is a host name after RFC 1123, section 2.1.
func isHost(s string) bool {
	if len(s) > 253 {
		return false
	}
	for _, word := range strings.Split(s, ".") {
		if word == "" || len(word) > 63 || word[0] == '-' || word[len(word)-1] == '-' {
			return false
		}
		for _, c := range []byte(word) {
			if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-') {
				return false
			}
		}
	}
	return true
}

// travels checks that a motor's way takes time, and that only keypads have keys.
func (v *validator) travels() {
	for i := range v.Points {
		p := &v.Points[i]
		if t := p.Travel; t != nil && (t.Up <= 0 || t.Down <= 0 || t.Slats < 0) {
			v.report(p.ID, path("points", i, "travel"), "give the seconds from end to end", "a motor needs time to travel; up %v, down %v, slats %v found", t.Up, t.Down, t.Slats)
		}
		if len(p.Keys) > maxKeys || len(p.Keys) > 0 && p.Kind != Keypad {
			v.report(p.ID, path("points", i, "keys"), "", "a keypad has up to %d keys, and nothing else has any; %d on a %s found", maxKeys, len(p.Keys), p.Kind)
		}
	}
}

// maxKeys bounds the keys of one keypad.
const maxKeys = 100

// landings checks that a channel carries one landing, and that a key which lands is there.
func (v *validator) landings() {
	for i := range v.Modules {
		m := &v.Modules[i]
		v.where(m, i)
		taken := make(map[string]int, len(m.Landings))
		for k := range m.Landings {
			l := &m.Landings[k]
			v.key(m, l, i, k)
			j, twice := taken[l.Channel]
			if !twice || l.Channel == "" { // an empty one is said to be missing
				taken[l.Channel] = k
				continue
			}
			v.report(m.ID, path("modules", i, "landings", k, "channel"), "land one of the two on another channel",
				"%s carries %s already", l.Channel, m.Landings[j].Point).Note(path("modules", i, "landings", j), "the other landing is here")
		}
	}
}

// where checks that a module sits in one place.
func (v *validator) where(m *Module, i int) {
	count := 0
	for _, id := range []ID{m.Board, m.Point, m.Room} {
		if id != "" {
			count++
		}
	}
	if count > 1 {
		v.report(m.ID, path("modules", i), "keep one of board, point and room", "a module sits in a board, in the box of a point, or hangs in a room; %d of these found", count)
	}
	if m.Board == "" && (m.Row != 0 || m.Slot != 0) {
		v.report(m.ID, path("modules", i), "name the board", "row and slot are places in a board, and there is no board")
	}
}

func (v *validator) key(m *Module, l *Landing, i, k int) {
	at, ok := v.known["point"][l.Point]
	if !ok || l.Key == 0 {
		return
	}
	if p := &v.Points[at.index]; p.Kind != Keypad || l.Key > max(len(p.Keys), 1) {
		v.report(m.ID, path("modules", i, "landings", k, "key"), "", "%s has no key %d", l.Point, l.Key)
	}
}

// taps checks that a module is on one line, once.
func (v *validator) taps() {
	line := map[ID]ID{}
	at := map[ID][]any{}
	for i := range v.Lines {
		l := &v.Lines[i]
		if other, taken := line[l.Head]; taken {
			v.report(l.ID, path("lines", i, "head"), "a line has a head of its own", "%s is on line %s already", l.Head, other).Note(at[l.Head], "here")
		}
		for k := range l.Taps {
			m := l.Taps[k].Module
			if other, taken := line[m]; taken {
				v.report(l.ID, path("lines", i, "taps", k, "module"), "a module is on one line, once", "%s is on line %s already", m, other).Note(at[m], "here")
				continue
			}
			line[m], at[m] = l.ID, path("lines", i, "taps", k)
			if from := l.Taps[k].From; from != "" && !slices.ContainsFunc(l.Taps[:k], func(t Tap) bool { return t.Module == from }) {
				v.report(l.ID, path("lines", i, "taps", k, "from"), "a tap that stands before it on the line", "%s comes from %s, which does not", m, from)
			}
		}
		if _, taken := line[l.Head]; !taken {
			line[l.Head], at[l.Head] = l.ID, path("lines", i, "head")
		}
	}
}
