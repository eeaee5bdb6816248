package check

import (
	"fmt"
	"net"
	"net/netip"
	"strings"

	"wirewright/catalogue"
	"wirewright/house"
)

// network is the address plan: what the house says of it, and who has which address, host name and hardware.
type network struct {
	subnet    netip.Prefix // invalid where the house has none
	router    netip.Addr
	pool      [2]netip.Addr // first and last, valid only together
	addresses map[string]*module
	hosts     map[string]*module
	hardware  map[string]*module
	free      netip.Addr // the first address that a module may have and none has
	members   int        // modules that are on the network
}

func newNetwork(v *view) network {
	n := network{addresses: map[string]*module{}, hosts: map[string]*module{}, hardware: map[string]*module{}}
	h := &v.house.Network
	if p, err := netip.ParsePrefix(h.Subnet); err == nil && p.Addr().Is4() {
		n.subnet = p.Masked()
	}
	n.router = addr(h.Router)
	n.pool = [2]netip.Addr{addr(h.PoolFirst), addr(h.PoolLast)}
	for i := range v.modules {
		m := &v.modules[i]
		if m.onNetwork() {
			n.members++
		}
		enter(n.addresses, m.addressKey(), m)
		enter(n.hosts, strings.ToLower(m.Host), m)
		enter(n.hardware, hardwareKey(m.Hardware), m)
	}
	n.free = n.firstFree()
	return n
}

// addr reads an IPv4 address; the zero Addr where the text is none.
func addr(s string) netip.Addr {
	a, err := netip.ParseAddr(s)
	if err != nil || !a.Is4() {
		return netip.Addr{}
	}
	return a
}

// enter keeps the first module that has a name.
func enter(table map[string]*module, name string, m *module) {
	if _, taken := table[name]; name != "" && !taken {
		table[name] = m
	}
}

// onNetwork tells whether a module speaks to the house network: Wi-Fi modules, gateway types and line heads.
func (m *module) onNetwork() bool {
	return m.typ != nil && (m.typ.Medium == catalogue.WiFi || m.typ.Medium == catalogue.Gateway || m.typ.Does() == catalogue.RoleHead)
}

// addressKey is the address as it must be unique: in the house for an IPv4 address, on its line for a number.
func (m *module) addressKey() string {
	if a := addr(m.Address); a.IsValid() {
		return a.String()
	}
	if m.Address == "" || len(m.lines) == 0 {
		return ""
	}
	return string(m.lines[0].ID) + " " + m.Address
}

// hardwareKey is a hardware identity as it must be unique: a MAC address in one form, a serial number in lower case.
func hardwareKey(s string) string {
	if mac, err := net.ParseMAC(s); err == nil {
		return mac.String()
	}
	return strings.ToLower(strings.TrimSpace(s))
}

// searchMost bounds the search for a free address.
const searchMost = 1 << 16

// firstFree finds the first address for a module: from the twentieth of the network on, where it is that large, since the
// first ones are left to router, switches and access points (common practice, no source).
func (n *network) firstFree() netip.Addr {
	if !n.subnet.IsValid() || n.subnet.Bits() > 30 {
		return netip.Addr{}
	}
	a := n.subnet.Addr().Next()
	if n.subnet.Bits() <= 26 {
		for range 19 {
			a = a.Next()
		}
	}
	for range searchMost {
		if !n.subnet.Contains(a) || !n.subnet.Contains(a.Next()) { // the last one is the broadcast address
			return netip.Addr{}
		}
		if n.addresses[a.String()] == nil && a != n.router && !n.pooled(a) {
			return a
		}
		a = a.Next()
	}
	return netip.Addr{}
}

// hasPool tells whether both ends of the pool are known, in order.
func (n *network) hasPool() bool {
	return n.pool[0].IsValid() && n.pool[1].IsValid() && n.pool[0].Compare(n.pool[1]) <= 0
}

func (n *network) pooled(a netip.Addr) bool {
	return n.hasPool() && n.pool[0].Compare(a) <= 0 && a.Compare(n.pool[1]) <= 0
}

// reserved says what an address of the network is kept for, "" if for nothing.
func (n *network) reserved(a netip.Addr) string {
	switch {
	case n.router.IsValid() && a == n.router:
		return "the router"
	case n.subnet.Bits() > 30:
		return ""
	case a == n.subnet.Addr():
		return "the network itself"
	case !n.subnet.Contains(a.Next()):
		return "broadcast"
	}
	return ""
}

// readdress is the remedy that gives a module the first free address.
func (v *view) readdress(m *module, otherwise string) *Remedy {
	a := v.network.free
	if !a.IsValid() {
		return &Remedy{Text: otherwise}
	}
	return &Remedy{
		Text:    fmt.Sprintf("Give it %s, which is free and outside of the pool.", a),
		Changes: []house.Change{m.changed(func(h *house.Module) { h.Address = a.String() })},
	}
}
