// Package twin makes the bad twin of a house: the same house with one fault of every kind beside it, to try checks,
// remedies and screens with.
//
// Each rule of package check brings a bad example, a small house that has its finding once and nothing else. Make puts all
// of these beside a clean house, each as an annex of its own: identities carry the name of the rule ("bus.too-long.line1"),
// places are moved a kilometre apart so that no radio reaches over, addresses and host names are given anew on one larger
// network. What an annex shows is then shown once in the whole house, under a name that says why. Rules that look at the
// network or the site as a whole cannot stand side by side; each of these has a twin of its own, the clean house with that
// one thing changed. It is for tests and demonstrations; no house should be built like it.
package twin

import (
	"cmp"
	"fmt"
	"net"
	"net/netip"
	"reflect"
	"slices"
	"strings"

	"wirewright/check"
	"wirewright/house"
)

// The network of the twin: large enough for a part of 256 addresses for each annex.
const (
	subnet    = "10.77.0.0/16"
	router    = "10.77.0.1"
	poolFirst = "10.77.254.0"
	poolLast  = "10.77.254.255"
	broadcast = "10.77.255.255"
	annexMost = 250 // parts of the network
	apart     = 1000.0
)

// Annex is the bad example of one rule as a part of the twin.
type Annex struct {
	Rule   check.Rule
	Prefix house.ID // of all its identities
}

// Make puts the annexes of rules beside a clean house, which stays as it is. It is on the network of the twin, too.
func Make(clean *house.House, rules []check.Rule) (*house.House, []Annex, error) {
	if len(rules) > annexMost {
		return nil, nil, fmt.Errorf("a twin has room for %d annexes, and %d are asked for", annexMost, len(rules))
	}
	h, err := house.Read("clean", house.Write(clean)) // a copy that shares nothing
	if err != nil {
		return nil, nil, err
	}
	settle(h, 0)
	h.Network.Subnet, h.Network.Router, h.Network.PoolFirst, h.Network.PoolLast = subnet, router, poolFirst, poolLast
	var list []Annex
	for i, r := range rules {
		a := Annex{r, house.ID(strings.ReplaceAll(r.Slug, "/", ".") + ".")}
		part, err := house.Read(r.Slug, []byte(r.Bad))
		if err != nil {
			return nil, nil, err
		}
		settle(part, i+1)
		move(reflect.ValueOf(part).Elem(), a.Prefix, apart*float64(i+1))
		join(h, part)
		list = append(list, a)
	}
	return h, list, nil
}

// join puts the lists of one house behind those of another.
func join(h, more *house.House) {
	h.Storeys = append(h.Storeys, more.Storeys...)
	h.Rooms = append(h.Rooms, more.Rooms...)
	h.Walls = append(h.Walls, more.Walls...)
	h.Openings = append(h.Openings, more.Openings...)
	h.Slabs = append(h.Slabs, more.Slabs...)
	h.Boards = append(h.Boards, more.Boards...)
	h.Circuits = append(h.Circuits, more.Circuits...)
	h.Points = append(h.Points, more.Points...)
	h.Modules = append(h.Modules, more.Modules...)
	h.Lines = append(h.Lines, more.Lines...)
	h.Network.AccessPoints = append(h.Network.AccessPoints, more.Network.AccessPoints...)
}

// move gives every identity in a value a prefix, and moves every place to the east.
func move(v reflect.Value, prefix house.ID, east float64) {
	switch at := v.Addr().Interface().(type) {
	case *house.ID:
		if *at != "" {
			*at = prefix + *at
		}
		return
	case *house.XY:
		at.X += east
		return
	case *house.XYZ:
		at.X += east
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			move(v.Field(i), prefix, east)
		}
	case reflect.Slice:
		for i := range v.Len() {
			move(v.Index(i), prefix, east)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			move(v.Elem(), prefix, east)
		}
	}
}

// settle gives the modules of a house addresses in its part of the network of the twin, and names of their own. What was
// wrong about an address stays wrong: one in the pool stays in the pool, one that is reserved is reserved.
func settle(h *house.House, part int) {
	for i := range h.Modules {
		m := &h.Modules[i]
		m.Address = address(&h.Network, m.Address, part)
		if m.Host != "" {
			m.Host += fmt.Sprintf("-%d", part)
		}
		m.Hardware = hardware(m.Hardware, part)
	}
}

func address(n *house.Network, text string, part int) string {
	a, err := netip.ParseAddr(text)
	old, bad := netip.ParsePrefix(n.Subnet)
	if err != nil || bad != nil || !a.Is4() || !old.Contains(a) {
		return text // a number on a line, or an address outside
	}
	low := a.As4()[3]
	first, err1 := netip.ParseAddr(n.PoolFirst)
	last, err2 := netip.ParseAddr(n.PoolLast)
	switch {
	case text == n.Router:
		return router
	case a == old.Masked().Addr():
		return netip.MustParsePrefix(subnet).Addr().String()
	case !old.Contains(a.Next()):
		return broadcast
	case err1 == nil && err2 == nil && first.Compare(a) <= 0 && a.Compare(last) <= 0:
		return netip.AddrFrom4([4]byte{10, 77, 254, low}).String()
	}
	return netip.AddrFrom4([4]byte{10, 77, byte(part), low}).String()
}

// hardware makes the identity of a device one of its part.
func hardware(text string, part int) string {
	if mac, err := net.ParseMAC(text); err == nil && len(mac) == 6 {
		mac[3] ^= byte(part)
		return mac.String()
	}
	if text != "" {
		text += fmt.Sprintf("-%d", part)
	}
	return text
}

const sharedHeight = "its board is in no room, and the storey of a place without a room is that of its height, which many share"

// Alone says why the example of a rule cannot stand beside others, by slug: it is shown by itself.
var Alone = map[string]string{
	"radio/shielded":   "an access point elsewhere that no metal hides is taken for the better one, however far it is",
	"route/separation": sharedHeight, "circuit/length-short": sharedHeight,
	"circuit/breaking": "it takes a supply of more fault current than that of the house",
	"supply/demand":    "it is about the supply of the whole house",
}

// Beside names, for a rule that is never found by itself, what is found with it: a shift of 7 V takes a drop of 14 V, at which
// the modules of a 24 V line have too little voltage.
var Beside = map[string]string{"bus/common-shift": "bus/voltage-low"}

// Seedable are the rules that a house can show beside all others: those of faults and cautions about one entity.
func Seedable(rules []check.Rule) []check.Rule {
	list := slices.DeleteFunc(slices.Clone(rules), func(r check.Rule) bool {
		return r.Severity == check.Remark || Alone[r.Slug] != "" || Beside[r.Slug] != "" || !slices.Contains([]string{"point", "module", "line", "circuit", "board"}, r.Kind)
	})
	slices.SortFunc(list, func(a, b check.Rule) int { return cmp.Compare(a.Slug, b.Slug) })
	return list
}

// Table prints the findings of a twin for a person, in Markdown: what was seeded, where it is found, and what is said.
func Table(annexes []Annex, findings []check.Finding) string {
	var b strings.Builder
	b.WriteString("# The bad twin of the example house\n\nGenerated from the examples of the rules; do not edit (`go test ./check/twin -rewrite`). Remedies in words are there to be read over.\n\n")
	b.WriteString("| seeded | severity | found of | what is said | found | limit | remedy |\n|---|---|---|---|---|---|---|\n")
	for _, a := range annexes {
		for _, f := range findings {
			if strings.HasPrefix(string(f.Entity), string(a.Prefix)) && f.Severity != check.Remark {
				fmt.Fprintf(&b, "| `%s` | %s | %s `%s` | %s | %s | %s | %s |\n", f.Slug, f.Severity, f.Kind, f.Entity, cell(f.Text), cell(f.Measured), cell(f.Limit), remedy(f.Remedy))
			}
		}
	}
	return b.String()
}

func cell(text string) string { return strings.ReplaceAll(text, "|", "\\|") }

func remedy(r *check.Remedy) string {
	switch {
	case r == nil:
		return "none"
	case len(r.Changes) > 0:
		return "by itself: " + cell(r.Text)
	}
	return "in words: " + cell(r.Text)
}
