package check

import (
	"fmt"
	"net"
	"strings"

	"wirewright/catalogue"
	"wirewright/house"
)

// addressRules look at the address plan. That an address or a host name has its form, package house sees to already.
var addressRules = []Rule{
	{
		Slug: "address/outside", Severity: Fault, Kind: "module",
		Title:  "The address of a module is outside of the network",
		Why:    "Modules and broker find each other on one network; an address beyond its prefix is reached by nobody there.",
		Source: "RFC 4632 (prefixes)",
		run:    onAddress(addressOutside), sees: named(),
	},
	{
		Slug: "address/reserved", Severity: Fault, Kind: "module",
		Title:  "The address of a module is kept for something else",
		Why:    "The first address of a network names the network, the last one reaches everybody (broadcast), and the router has its own.",
		Source: "RFC 919 and RFC 922 (broadcast), RFC 950 (network address)",
		run:    onAddress(addressReserved), sees: named(),
	},
	{
		Slug: "address/in-pool", Severity: Fault, Kind: "module",
		Title: "The address of a module lies in the pool of the router",
		Why: "The router hands the addresses of its pool to whoever comes; sooner or later it gives this one to a visitor's telephone, and the " +
			"module drops out. Addresses of modules are reserved outside of the pool.",
		Source: "RFC 2131 (a server must not offer an address in use; reservations are administered); outside of the pool: " + practice,
		run:    onAddress(addressInPool), sees: named(),
	},
	{
		Slug: "address/twice", Severity: Fault, Kind: "module",
		Title:  "Two modules have one address",
		Why:    "An address names one device: on the network of the house, or on its line.",
		Source: "RFC 791, 2.3 (addressing); RFC 5227 (address conflicts)",
		run:    onModule(addressTwice), sees: named(),
	},
	{
		Slug: "address/wrong-form", Severity: Fault, Kind: "module",
		Title:  "A module has an address of the wrong form",
		Why:    "Modules on the network of the house have an IPv4 address; modules on a line have a number there.",
		Source: "the catalogue entry (how a type is reached)",
		run:    onKnown(addressForm), sees: named(),
	},
	{
		Slug: "address/missing", Severity: Remark, Kind: "module",
		Title:  "A module on the network has no planned address",
		Why:    "It will be found by its name when it is enrolled, but the router should reserve an address for it, and the papers should say which.",
		Source: practice,
		run:    onKnown(addressMissing), sees: named(),
	},
	{
		Slug: "host/twice", Severity: Fault, Kind: "module",
		Title:  "Two modules have one host name",
		Why:    "Names are compared without regard to capitals; of two with one name, only one is found.",
		Source: "RFC 1123, 2.1 (host names); RFC 4343 (letters of both cases are equal); RFC 6762, 9 (conflicts)",
		run:    onModule(hostTwice), sees: named(),
	},
	{
		Slug: "hardware/twice", Severity: Fault, Kind: "module",
		Title:  "One device is enrolled as two modules",
		Why:    "A hardware identity (MAC address or serial number) belongs to one device; two modules of the plan cannot both be it.",
		Source: "IEEE 802 (an EUI-48 is given once)",
		run:    onModule(hardwareTwice), sees: named(),
	},
	{
		Slug: "hardware/not-a-device", Severity: Fault, Kind: "module",
		Title:  "A hardware address is one that no device can have",
		Why:    "The lowest bit of the first octet says that an address is for a group; a single device has 0 there.",
		Source: "IEEE 802 (individual/group bit of an EUI-48)",
		run:    onModule(hardwareGroup), sees: near(),
	},
	{
		Slug: "network/no-subnet", Severity: Remark, Kind: "network",
		Title:  "The network of the house is not known",
		Why:    "Modules are on it, and their addresses could not be checked or proposed.",
		Source: practice,
		run:    onNetwork(noSubnet), sees: only(nameOfModule, "network"),
	},
	{
		Slug: "network/router-outside", Severity: Fault, Kind: "network",
		Title:  "The router is outside of its own network",
		Why:    "The router must have an address in the network that it serves, other than the network's own and the broadcast one.",
		Source: "RFC 4632 (prefixes)",
		run:    onNetwork(routerOutside), sees: only("network"),
	},
	{
		Slug: "network/pool", Severity: Fault, Kind: "network",
		Title:  "The pool of the router is not a range of its network",
		Why:    "The pool runs from its first to its last address, both within the network. With a wrong pool the addresses of modules could not be held against it.",
		Source: "RFC 2131; RFC 4632 (prefixes)",
		run:    onNetwork(wrongPool), sees: only("network"),
	},
}

func onNetwork(f func(*view, *network, sayer)) func(*view, int, sayer) {
	return func(v *view, _ int, say sayer) { f(v, &v.network, say) }
}

// onAddress looks at every module with an IPv4 address, where the house has a network to hold it against.
func onAddress(f func(*view, *module, sayer)) func(*view, int, sayer) {
	return onModule(func(v *view, m *module, say sayer) {
		if addr(m.Address).IsValid() && v.network.subnet.IsValid() {
			f(v, m, say)
		}
	})
}

func addressOutside(v *view, m *module, say sayer) {
	if n := &v.network; !n.subnet.Contains(addr(m.Address)) {
		say(Finding{Text: fmt.Sprintf("%s has the address %s, outside of %s.", m.ID, m.Address, n.subnet),
			Measured: m.Address, Limit: n.subnet.String(), Remedy: v.readdress(m, "Give it a free address of the network.")})
	}
}

func addressReserved(v *view, m *module, say sayer) {
	n := &v.network
	if a := addr(m.Address); n.subnet.Contains(a) && n.reserved(a) != "" {
		say(Finding{Text: fmt.Sprintf("%s has the address %s, which is kept for %s.", m.ID, m.Address, n.reserved(a)),
			Measured: m.Address, Remedy: v.readdress(m, "Give it a free address of the network.")})
	}
}

func addressInPool(v *view, m *module, say sayer) {
	if n := &v.network; n.pooled(addr(m.Address)) {
		say(Finding{Text: fmt.Sprintf("%s has the address %s, which the router gives to others.", m.ID, m.Address),
			Measured: m.Address, Limit: fmt.Sprintf("not %s to %s", n.pool[0], n.pool[1]),
			Remedy: v.readdress(m, "Make the pool smaller, or give it an address outside.")})
	}
}

func addressTwice(v *view, m *module, say sayer) {
	first := v.network.addresses[m.addressKey()]
	if m.addressKey() == "" || first == m {
		return
	}
	f := Finding{Text: fmt.Sprintf("%s has the address %s, which is that of %s.", m.ID, m.Address, first.ID), Measured: m.Address,
		Remedy: &Remedy{Text: "Give it a number that is free on its line."}}
	if addr(m.Address).IsValid() {
		f.Remedy = v.readdress(m, "Give it an address of its own.")
	}
	say(f)
}

func addressForm(v *view, m *module, say sayer) {
	ip := addr(m.Address).IsValid()
	switch {
	case m.Address == "" || m.typ.Medium == catalogue.Gateway:
	case m.onNetwork() && !ip:
		say(Finding{Text: fmt.Sprintf("%s is on the network and needs an IPv4 address; it has %q.", m.ID, m.Address), Measured: m.Address, Limit: "IPv4 address",
			Remedy: v.readdress(m, "Give it an IPv4 address of the network.")})
	case !m.onNetwork() && ip:
		say(Finding{Text: fmt.Sprintf("%s is on a line and needs a number there; it has %s.", m.ID, m.Address), Measured: m.Address, Limit: "number on the line",
			Remedy: &Remedy{Text: "Give it a number on its line, or leave the address to the head.",
				Changes: []house.Change{m.changed(func(h *house.Module) { h.Address = "" })}}})
	}
}

func addressMissing(v *view, m *module, say sayer) {
	if m.onNetwork() && m.Address == "" && m.typ.Medium != catalogue.Gateway {
		say(Finding{Text: fmt.Sprintf("%s has no planned address.", m.ID), Remedy: v.readdress(m, "Say what the network is, and give it an address there.")})
	}
}

func hostTwice(v *view, m *module, say sayer) {
	first := v.network.hosts[strings.ToLower(m.Host)]
	if m.Host == "" || first == m {
		return
	}
	f := Finding{Text: fmt.Sprintf("%s has the host name %s, which is that of %s.", m.ID, m.Host, first.ID), Measured: m.Host,
		Remedy: &Remedy{Text: "Give it a host name of its own."}}
	if name := v.freeHost(m.Host); name != "" {
		f.Remedy = &Remedy{Text: fmt.Sprintf("Call it %s, which is free.", name), Changes: []house.Change{m.changed(func(h *house.Module) { h.Host = name })}}
	}
	say(f)
}

// freeHost appends a number to a host name until it is free; "" where that makes it too long.
func (v *view) freeHost(host string) string {
	const most = 1000
	for i := 2; i < most && len(host) <= 59; i++ {
		if name := fmt.Sprintf("%s-%d", host, i); v.network.hosts[strings.ToLower(name)] == nil {
			return name
		}
	}
	return ""
}

func hardwareTwice(v *view, m *module, say sayer) {
	if first := v.network.hardware[hardwareKey(m.Hardware)]; m.Hardware != "" && first != nil && first != m {
		say(Finding{Text: fmt.Sprintf("%s is enrolled as the device %s, which is %s already.", m.ID, m.Hardware, first.ID), Measured: m.Hardware,
			Remedy: &Remedy{Text: "Read the label of the device and correct the one that is wrong; then enrol the other anew."}})
	}
}

func hardwareGroup(v *view, m *module, say sayer) {
	if mac, err := net.ParseMAC(m.Hardware); err == nil && mac[0]&1 == 1 {
		say(Finding{Text: fmt.Sprintf("%s has the hardware address %s, which is that of a group.", m.ID, m.Hardware), Measured: m.Hardware,
			Remedy: &Remedy{Text: "Read the label of the device again."}})
	}
}

func noSubnet(v *view, n *network, say sayer) {
	if n.members > 0 && !n.subnet.IsValid() {
		say(Finding{Text: fmt.Sprintf("The subnet of the house is not known, and it has %s on its network.", several(n.members, "module")), Measured: "not known",
			Remedy: &Remedy{Text: "Write subnet, router and pool into the house, as the router shows them."}})
	}
}

func routerOutside(v *view, n *network, say sayer) {
	if !n.subnet.IsValid() || !n.router.IsValid() {
		return
	}
	if !n.subnet.Contains(n.router) || (n.subnet.Bits() <= 30 && (n.router == n.subnet.Addr() || !n.subnet.Contains(n.router.Next()))) {
		say(Finding{Text: fmt.Sprintf("The router's address %s is none of the network %s.", n.router, n.subnet), Measured: n.router.String(), Limit: n.subnet.String(),
			Remedy: &Remedy{Text: "Look at the router: address and prefix length."}})
	}
}

func wrongPool(v *view, n *network, say sayer) {
	h := &v.house.Network
	if h.PoolFirst == "" && h.PoolLast == "" {
		return
	}
	inside := !n.subnet.IsValid() || (n.subnet.Contains(n.pool[0]) && n.subnet.Contains(n.pool[1]))
	if n.hasPool() && inside {
		return
	}
	say(Finding{Text: fmt.Sprintf("The pool from %q to %q is no range of the network.", h.PoolFirst, h.PoolLast),
		Measured: h.PoolFirst + " to " + h.PoolLast, Limit: h.Subnet,
		Remedy: &Remedy{Text: "Look at the router: first and last address that it gives to others."}})
}
