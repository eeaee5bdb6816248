package dnssd

import (
	"net/netip"
	"slices"
	"strings"
	"time"

	"github.com/miekg/dns"
)

// entriesMost bounds what a browser remembers; more announcements are left.
const entriesMost = 4096

// Entry is a service that was found.
type Entry struct {
	Instance string
	Host     string
	Address  netip.Addr // not valid until it was heard
	Port     uint16
	Text     map[string]string
}

// Complete tells whether everything of the entry was heard.
func (e *Entry) Complete() bool { return e.Address.IsValid() && e.Port != 0 && e.Text != nil }

// cache is what a browser has heard of one service type.
type cache struct {
	kind      string // "_wirewright._tcp.local."
	instances map[string]*memory
	hosts     map[string]address
}

// memory is one instance with its time of expiry.
type memory struct {
	name    string // as it was written, for known answers
	entry   Entry
	target  string // host in lower case
	expires time.Time
	life    uint32
}

// address is the address of a host.
type address struct {
	addr    netip.Addr
	expires time.Time
}

func newCache(kind string) *cache {
	return &cache{kind: strings.ToLower(kind) + ".local.", instances: map[string]*memory{}, hosts: map[string]address{}}
}

// take folds a response in; true if anything changed.
func (c *cache) take(m *dns.Msg, now time.Time) bool {
	changed := false
	for _, rr := range append(append([]dns.RR(nil), m.Answer...), m.Extra...) {
		life := time.Duration(rr.Header().Ttl) * time.Second
		switch rr := rr.(type) {
		case *dns.PTR:
			if strings.EqualFold(rr.Hdr.Name, c.kind) {
				changed = c.pointer(rr, now.Add(life)) || changed
			}
		case *dns.SRV:
			if x := c.find(rr.Hdr.Name); x != nil && rr.Hdr.Ttl > 0 {
				host, _ := firstLabel(rr.Target)
				changed = changed || x.entry.Port != rr.Port || x.entry.Host != host
				x.entry.Port, x.entry.Host, x.target = rr.Port, host, strings.ToLower(rr.Target)
			}
		case *dns.TXT:
			if x := c.find(rr.Hdr.Name); x != nil && rr.Hdr.Ttl > 0 {
				changed = c.text(x, rr) || changed
			}
		case *dns.A:
			changed = c.host(rr, now.Add(life)) || changed
		}
	}
	return changed
}

// find returns the instance of a name, making it where the name is of our type: SRV may come before PTR.
func (c *cache) find(name string) *memory {
	key := strings.ToLower(name)
	if x, ok := c.instances[key]; ok {
		return x
	}
	text, rest := firstLabel(name)
	if !strings.EqualFold(rest, c.kind) || len(c.instances) >= entriesMost {
		return nil
	}
	x := &memory{name: name, entry: Entry{Instance: text}}
	c.instances[key] = x
	return x
}

// pointer takes a PTR record: an instance lives, or says goodbye.
func (c *cache) pointer(rr *dns.PTR, expires time.Time) bool {
	key := strings.ToLower(rr.Ptr)
	if rr.Hdr.Ttl == 0 {
		_, there := c.instances[key]
		delete(c.instances, key)
		return there
	}
	x := c.find(rr.Ptr)
	if x == nil {
		return false
	}
	fresh := x.expires.IsZero()
	x.expires, x.life = expires, rr.Hdr.Ttl
	return fresh
}

// text takes a TXT record.
func (c *cache) text(x *memory, rr *dns.TXT) bool {
	var list []string
	for _, s := range rr.Txt {
		list = append(list, unescape(s)) // the library hands texts in presentation form
	}
	m := ParseText(list)
	changed := x.entry.Text == nil || len(m) != len(x.entry.Text)
	for k, v := range m {
		changed = changed || x.entry.Text[k] != v
	}
	x.entry.Text = m
	return changed
}

// host takes an A record.
func (c *cache) host(rr *dns.A, expires time.Time) bool {
	key := strings.ToLower(rr.Hdr.Name)
	a, ok := netip.AddrFromSlice(rr.A.To4())
	if !ok || (len(c.hosts) >= entriesMost && !c.hosts[key].addr.IsValid()) {
		return false
	}
	if rr.Hdr.Ttl == 0 {
		delete(c.hosts, key)
		return false
	}
	changed := c.hosts[key].addr != a
	c.hosts[key] = address{a, expires}
	return changed
}

// entries lists what lives now, by instance name.
func (c *cache) entries(now time.Time) []Entry {
	var list []Entry
	for key, x := range c.instances {
		if x.expires.IsZero() || now.After(x.expires) {
			if !x.expires.IsZero() {
				delete(c.instances, key)
			}
			continue
		}
		e := x.entry
		if h := c.hosts[x.target]; h.addr.IsValid() && now.Before(h.expires) {
			e.Address = h.addr
		}
		list = append(list, e)
	}
	slices.SortFunc(list, func(a, b Entry) int { return strings.Compare(a.Instance, b.Instance) })
	return list
}

// known lists the pointers that a query need not ask for again: those with more than half of their life left.
func (c *cache) known(now time.Time) []dns.RR {
	var list []dns.RR
	for _, x := range c.instances {
		left := x.expires.Sub(now)
		if x.expires.IsZero() || left < time.Duration(x.life)*time.Second/2 || x.entry.Text == nil || x.entry.Port == 0 {
			continue
		}
		list = append(list, &dns.PTR{Hdr: dns.RR_Header{Name: c.kind, Rrtype: dns.TypePTR, Class: dns.ClassINET,
			Ttl: uint32(left / time.Second)}, Ptr: x.name})
	}
	slices.SortFunc(list, func(a, b dns.RR) int { return strings.Compare(a.(*dns.PTR).Ptr, b.(*dns.PTR).Ptr) })
	return list
}

// missing lists the questions for what has not been heard of the instances that live.
func (c *cache) missing(now time.Time) []dns.Question {
	var list []dns.Question
	ask := func(name string, kind uint16) {
		list = append(list, dns.Question{Name: name, Qtype: kind, Qclass: dns.ClassINET})
	}
	for _, x := range c.instances {
		switch h := c.hosts[x.target]; {
		case x.expires.IsZero():
		case x.entry.Port == 0:
			ask(x.name, dns.TypeSRV)
		case x.entry.Text == nil:
			ask(x.name, dns.TypeTXT)
		case !h.addr.IsValid() || now.After(h.expires):
			ask(x.entry.Host+".local.", dns.TypeA)
		}
	}
	slices.SortFunc(list, func(a, b dns.Question) int { return strings.Compare(a.Name, b.Name) })
	return list
}
