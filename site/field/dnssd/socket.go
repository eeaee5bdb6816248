package dnssd

import (
	"fmt"
	"net"
	"net/netip"

	"github.com/miekg/dns"
	"golang.org/x/net/ipv4"
)

// port is the port of multicast DNS; packetMost bounds a packet (RFC 6762, 17).
const (
	port       = 5353
	packetMost = 9000
)

// group is the address that everybody on the link hears.
func group() *net.UDPAddr { return &net.UDPAddr{IP: net.IPv4(224, 0, 0, 251), Port: port} }

// socket sends to and hears from one interface.
type socket struct {
	iface *net.Interface
	conn  *net.UDPConn
	p     *ipv4.PacketConn
}

// Interface finds the interface that has an address, or the loopback interface for any loopback address.
func Interface(a netip.Addr) (*net.Interface, error) {
	list, err := net.Interfaces()
	if err != nil {
		return nil, fmt.Errorf("interfaces: %w", err)
	}
	for i := range list {
		if a.IsLoopback() && list[i].Flags&net.FlagLoopback != 0 {
			return &list[i], nil
		}
		addrs, err := list[i].Addrs()
		if err != nil {
			continue
		}
		for _, n := range addrs {
			if p, err := netip.ParsePrefix(n.String()); err == nil && p.Addr() == a {
				return &list[i], nil
			}
		}
	}
	return nil, fmt.Errorf("no interface of this machine has the address %s", a)
}

// open joins the group on the interface. Others on this machine may have the port open too.
func open(iface *net.Interface) (*socket, error) {
	conn, err := net.ListenMulticastUDP("udp4", iface, group())
	if err != nil {
		return nil, fmt.Errorf("multicast on %s: %w", iface.Name, err)
	}
	p := ipv4.NewPacketConn(conn)
	for _, set := range []func() error{
		func() error { return p.SetMulticastInterface(iface) },
		func() error { return p.SetMulticastLoopback(true) },
		func() error { return p.SetMulticastTTL(255) }, // RFC 6762, 11
		func() error { return p.SetControlMessage(ipv4.FlagInterface, true) },
	} {
		if err := set(); err != nil {
			conn.Close()
			return nil, fmt.Errorf("multicast on %s: %w", iface.Name, err)
		}
	}
	return &socket{iface, conn, p}, nil
}

// receive calls f for every packet that came by the interface and can be read, until the socket is closed.
func (s *socket) receive(f func(*dns.Msg, *net.UDPAddr)) {
	buf := make([]byte, packetMost)
	for {
		n, control, from, err := s.p.ReadFrom(buf)
		if err != nil {
			return
		}
		addr, ok := from.(*net.UDPAddr)
		// The system hands over what any program of this machine has joined for: other interfaces are sorted out here.
		if !ok || (control != nil && control.IfIndex != s.iface.Index) {
			continue
		}
		m := new(dns.Msg)
		if m.Unpack(buf[:n]) != nil || m.Opcode != dns.OpcodeQuery || m.Rcode != dns.RcodeSuccess {
			continue // RFC 6762, 18.3 and 18.11: silently ignored
		}
		f(m, addr)
	}
}

// send packs and sends to the group, or to one address.
func (s *socket) send(m *dns.Msg, to *net.UDPAddr) error {
	b, err := m.Pack()
	if err != nil {
		return fmt.Errorf("multicast on %s: %w", s.iface.Name, err)
	}
	if to == nil {
		to = group()
	}
	if _, err := s.conn.WriteToUDP(b, to); err != nil {
		return fmt.Errorf("multicast on %s: %w", s.iface.Name, err)
	}
	return nil
}

// close leaves the group.
func (s *socket) close() { s.conn.Close() }
