package dnssd

import (
	"fmt"
	"net"
	"net/netip"
	"strings"

	"github.com/miekg/dns"
)

// Lives of records (RFC 6762, 10): 120 s for those that name a host, 75 min for the others.
const (
	hostLife   = 120
	otherLife  = 4500
	legacyLife = 10 // at most, in answers to one-shot queriers (RFC 6762, 6.7)
)

// flush is the bit of the class that says: these are all records of the name (RFC 6762, 10.2). In a question the same bit
// asks for an answer by unicast (5.4).
const flush = 1 << 15

// browseAll is the name under which all service types are found (RFC 6763, 9).
const browseAll = "_services._dns-sd._udp.local."

// Service is what is announced.
type Service struct {
	Instance string     // any text up to 63 octets
	Type     string     // e.g. "_wirewright._tcp"
	Host     string     // one label, letters, digits and hyphens (RFC 1123)
	Address  netip.Addr // IPv4
	Port     uint16
	Text     []Pair
}

// check refuses what cannot be announced.
func (s *Service) check() error {
	if len(s.Instance) == 0 || len(s.Instance) > 63 {
		return fmt.Errorf("service name %q has %d octets: 1 to 63 are allowed", s.Instance, len(s.Instance))
	}
	name, proto, ok := strings.Cut(s.Type, ".")
	if !ok || (proto != "_tcp" && proto != "_udp") || len(name) < 2 || len(name) > 16 || name[0] != '_' {
		return fmt.Errorf("service type %q is not _name._tcp with a name of at most 15 characters", s.Type)
	}
	if !s.Address.Is4() {
		return fmt.Errorf("service address %s is not IPv4", s.Address)
	}
	if s.Host == "" || len(s.Host) > 63 || strings.ContainsFunc(s.Host, func(r rune) bool {
		return r != '-' && (r < '0' || r > '9') && (r < 'a' || r > 'z') && (r < 'A' || r > 'Z')
	}) {
		return fmt.Errorf("host name %q is not letters, digits and hyphens", s.Host)
	}
	_, err := Text(s.Text)
	return err
}

// records are the resource records of one service.
type records struct {
	ptr, all, srv, txt, a dns.RR
}

// makeRecords lays out the records of a checked service.
func makeRecords(s *Service) *records {
	kind := s.Type + ".local."
	instance := label(s.Instance) + "." + kind
	host := s.Host + ".local."
	text, _ := Text(s.Text)
	for i := range text {
		text[i] = strings.ReplaceAll(text[i], `\`, `\\`)
	}
	head := func(name string, rr uint16, life uint32, unique bool) dns.RR_Header {
		h := dns.RR_Header{Name: name, Rrtype: rr, Class: dns.ClassINET, Ttl: life}
		if unique {
			h.Class |= flush
		}
		return h
	}
	return &records{
		ptr: &dns.PTR{Hdr: head(kind, dns.TypePTR, otherLife, false), Ptr: instance},
		all: &dns.PTR{Hdr: head(browseAll, dns.TypePTR, otherLife, false), Ptr: kind},
		srv: &dns.SRV{Hdr: head(instance, dns.TypeSRV, hostLife, true), Port: s.Port, Target: host},
		txt: &dns.TXT{Hdr: head(instance, dns.TypeTXT, otherLife, true), Txt: text},
		a:   &dns.A{Hdr: head(host, dns.TypeA, hostLife, true), A: net.IP(s.Address.AsSlice())},
	}
}

// list is every record, shared ones first.
func (r *records) list() []dns.RR { return []dns.RR{r.ptr, r.all, r.srv, r.txt, r.a} }

// unique are the records whose names must be nobody else's.
func (r *records) unique() []dns.RR { return []dns.RR{r.srv, r.txt, r.a} }

// answers finds the records that answer a query and are not known to the querier already, and those worth adding
// (RFC 6763, 12). It is nil where nothing of the query is ours.
func (r *records) answers(q *dns.Msg) (answer, extra []dns.RR) {
	for _, question := range q.Question {
		class := question.Qclass &^ flush
		if class != dns.ClassINET && class != dns.ClassANY {
			continue
		}
		for _, rr := range r.list() {
			h := rr.Header()
			if strings.EqualFold(h.Name, question.Name) && (question.Qtype == h.Rrtype || question.Qtype == dns.TypeANY) && !known(q, rr) {
				answer = appendNew(answer, rr)
			}
		}
	}
	for _, rr := range answer {
		switch rr {
		case r.ptr:
			extra = append(extra, r.srv, r.txt, r.a)
		case r.srv:
			extra = append(extra, r.a)
		}
	}
	kept := extra[:0:0]
	for _, rr := range extra {
		if !contains(answer, rr) {
			kept = appendNew(kept, rr)
		}
	}
	return answer, kept
}

// known tells whether the querier says that it has the record for more than half of its life (RFC 6762, 7.1).
func known(q *dns.Msg, rr dns.RR) bool {
	for _, k := range q.Answer {
		if k.Header().Ttl >= rr.Header().Ttl/2 && same(k, rr) {
			return true
		}
	}
	return false
}

// same compares name, type and data of two records; neither life nor the flush bit matters.
func same(a, b dns.RR) bool {
	x, y := dns.Copy(a), dns.Copy(b)
	for _, rr := range []dns.RR{x, y} {
		rr.Header().Class &^= flush
		rr.Header().Ttl = 0
		rr.Header().Rdlength = 0
	}
	return dns.IsDuplicate(x, y)
}

func contains(list []dns.RR, rr dns.RR) bool {
	for _, l := range list {
		if l == rr {
			return true
		}
	}
	return false
}

func appendNew(list []dns.RR, rr dns.RR) []dns.RR {
	if contains(list, rr) {
		return list
	}
	return append(list, rr)
}

// conflict tells whether a response claims one of the unique names with other data (RFC 6762, 9).
func (r *records) conflict(m *dns.Msg) bool {
	for _, theirs := range append(append([]dns.RR(nil), m.Answer...), m.Extra...) {
		for _, ours := range r.unique() {
			h, o := theirs.Header(), ours.Header()
			if h.Ttl > 0 && h.Rrtype == o.Rrtype && strings.EqualFold(h.Name, o.Name) && !same(theirs, ours) {
				return true
			}
		}
	}
	return false
}

// response makes a multicast response.
func response(answer, extra []dns.RR) *dns.Msg {
	return &dns.Msg{MsgHdr: dns.MsgHdr{Response: true, Authoritative: true}, Compress: true, Answer: answer, Extra: extra}
}

// legacy makes the answer to a one-shot querier, which understands neither the flush bit nor long lives and wants its
// question and number back (RFC 6762, 6.7).
func legacy(q *dns.Msg, answer, extra []dns.RR) *dns.Msg {
	plain := func(list []dns.RR) []dns.RR {
		var out []dns.RR
		for _, rr := range list {
			c := dns.Copy(rr)
			c.Header().Class &^= flush
			c.Header().Ttl = min(c.Header().Ttl, legacyLife)
			out = append(out, c)
		}
		return out
	}
	m := response(plain(answer), plain(extra))
	m.Id, m.Question = q.Id, q.Question
	return m
}

// goodbye says that the records are gone (RFC 6762, 10.1).
func (r *records) goodbye() *dns.Msg {
	var list []dns.RR
	for _, rr := range []dns.RR{r.ptr, r.srv, r.txt, r.a} {
		c := dns.Copy(rr)
		c.Header().Ttl = 0
		list = append(list, c)
	}
	return response(list, nil)
}

// probe asks whether anybody has the names already, and proposes ours (RFC 6762, 8.1).
func (r *records) probe() *dns.Msg {
	m := &dns.Msg{Compress: true}
	for _, name := range []string{r.srv.Header().Name, r.a.Header().Name} {
		m.Question = append(m.Question, dns.Question{Name: name, Qtype: dns.TypeANY, Qclass: dns.ClassINET})
	}
	for _, rr := range r.unique() {
		c := dns.Copy(rr)
		c.Header().Class &^= flush
		m.Ns = append(m.Ns, c)
	}
	return m
}

// query asks for the instances of a service type, naming those that are known already (RFC 6762, 7.1).
func query(kind string, known []dns.RR) *dns.Msg {
	return &dns.Msg{Compress: true, Answer: known,
		Question: []dns.Question{{Name: kind + ".local.", Qtype: dns.TypePTR, Qclass: dns.ClassINET}}}
}
