package handover

import (
	"fmt"
	"net/netip"
	"strings"

	"wirewright/house"
)

// Reservations is the address plan as a configuration file for the dnsmasq address server, which many routers use: the
// pool of the household, and one reservation for each controller whose hardware address is known, since the server and
// not the module holds the address. Controllers that are not enrolled yet stand there as comments. Nil where the house
// has no subnet.
//
// Source: the file form is that of dnsmasq 2.90, whose own checker reads it in the tests; RFC 1918 and RFC 8375 for the
// addresses and the domain.
func Reservations(h *house.House) []byte {
	prefix, err := netip.ParsePrefix(h.Network.Subnet)
	if err != nil || !prefix.Addr().Is4() {
		return nil
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# Addresses of %s. Hardware addresses are recorded when a module is enrolled.\n", oneLine(or(h.Title, "the house")))
	b.WriteString("domain=home.arpa\n")
	n := h.Network
	if n.PoolFirst != "" && n.PoolLast != "" {
		fmt.Fprintf(&b, "dhcp-range=%s,%s,%s,12h\n", n.PoolFirst, n.PoolLast, mask(prefix))
	}
	if n.Router != "" {
		fmt.Fprintf(&b, "dhcp-option=option:router,%s\n", n.Router)
	}
	for _, m := range h.Modules {
		address, err := netip.ParseAddr(m.Address)
		if err != nil || !address.Is4() {
			continue // a number on a line
		}
		if m.Hardware == "" {
			fmt.Fprintf(&b, "# not enrolled yet: %s %s %s\n", m.ID, m.Address, m.Host)
			continue
		}
		fmt.Fprintf(&b, "dhcp-host=%s,%s,%s,infinite\n", m.Hardware, m.Address, m.Host)
	}
	return []byte(b.String())
}

// mask is the network mask of a prefix in dotted form.
func mask(p netip.Prefix) string {
	bits := ^uint32(0) << (32 - p.Bits())
	if p.Bits() == 0 {
		bits = 0
	}
	return netip.AddrFrom4([4]byte{byte(bits >> 24), byte(bits >> 16), byte(bits >> 8), byte(bits)}).String()
}

// oneLine keeps a title from ending a comment.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
