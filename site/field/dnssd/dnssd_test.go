package dnssd

import (
	"bytes"
	"context"
	"encoding/hex"
	"net"
	"net/netip"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/miekg/dns"
	"pgregory.net/rapid"
)

var hall = Service{Instance: "hall.box", Type: "_wirewright._tcp", Host: "hall-box", Address: netip.MustParseAddr("127.0.0.21"),
	Port: 8021, Text: []Pair{{"txtvers", "1"}, {"id", "hall.box"}, {"type", "box-relay-2"}, {"epoch", "7"}}}

func unhex(s string) []byte {
	b, err := hex.DecodeString(strings.ReplaceAll(s, " ", ""))
	if err != nil {
		panic(err)
	}
	return b
}

// TestQueryBytes: the query of RFC 6763, 4.1 for the instances of _http._tcp.local, laid out by RFC 1035, 4.1.
func TestQueryBytes(t *testing.T) {
	want := unhex("00 00 00 00 00 01 00 00 00 00 00 00 05 5F 68 74 74 70 04 5F 74 63 70 05 6C 6F 63 61 6C 00 00 0C 00 01")
	got, err := query("_http._tcp", nil).Pack()
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("got  %x (%v)\nwant %x", got, err, want)
	}
	all := new(dns.Msg)
	all.SetQuestion(browseAll, dns.TypePTR)
	if b, _ := all.Pack(); len(b) != 46 { // the name has 28 octets more than a header and a question have
		t.Errorf("query for all types has %d octets", len(b))
	}
}

// TestTextBytes: the length-prefixed strings of RFC 6763, 6.
func TestTextBytes(t *testing.T) {
	want := unhex("09 74 78 74 76 65 72 73 3D 31 07 69 64 3D 30 30 31 31 06 73 65 63 75 72 65")
	rr := &dns.TXT{Hdr: dns.RR_Header{Name: ".", Rrtype: dns.TypeTXT, Class: dns.ClassINET}, Txt: []string{"txtvers=1", "id=0011", "secure"}}
	b := make([]byte, 100)
	n, err := dns.PackRR(rr, b, 0, nil, false)
	if err != nil || !bytes.HasSuffix(b[:n], want) {
		t.Errorf("got %x (%v)", b[:n], err)
	}
	got := ParseText([]string{"txtvers=1", "ID=0011", "secure", "id=second", "=nothing", ""})
	if want := map[string]string{"txtvers": "1", "id": "0011", "secure": ""}; !reflect.DeepEqual(got, want) {
		t.Errorf("read %v", got)
	}
}

func TestTextsThatCannotStandAreRefused(t *testing.T) {
	for _, p := range [][]Pair{
		{{"", "x"}}, {{"a=b", "x"}}, {{"ä", "x"}}, {{"a", "1"}, {"A", "2"}}, {{"a", strings.Repeat("x", 254)}},
		{{"a", strings.Repeat("x", 250)}, {"b", strings.Repeat("x", 250)}, {"c", strings.Repeat("x", 250)}, {"d", strings.Repeat("x", 250)},
			{"e", strings.Repeat("x", 250)}, {"f", strings.Repeat("x", 250)}},
	} {
		if list, err := Text(p); err == nil {
			t.Errorf("%v was written %q", p, list)
		}
	}
}

func TestServicesThatCannotBeAnnouncedAreRefused(t *testing.T) {
	for _, spoil := range []func(*Service){
		func(s *Service) { s.Instance = "" },
		func(s *Service) { s.Instance = strings.Repeat("x", 64) },
		func(s *Service) { s.Type = "_wirewright" },
		func(s *Service) { s.Type = "_averylongservicename._tcp" },
		func(s *Service) { s.Host = "hall.box" },
		func(s *Service) { s.Address = netip.MustParseAddr("::1") },
		func(s *Service) { s.Text = []Pair{{"", ""}} },
	} {
		s := hall
		spoil(&s)
		if s.check() == nil {
			t.Errorf("%+v was taken", s)
		}
	}
}

// relay packs and unpacks, as the network does.
func relay(t testing.TB, m *dns.Msg) *dns.Msg {
	t.Helper()
	b, err := m.Pack()
	if err != nil {
		t.Fatal(err)
	}
	out := new(dns.Msg)
	if err := out.Unpack(b); err != nil {
		t.Fatal(err)
	}
	return out
}

func TestAnyNameAndTextComesThrough(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := hall
		s.Instance = rapid.StringN(1, 15, 63).Draw(rt, "instance")
		s.Text = []Pair{{"k", rapid.StringN(0, 40, 200).Draw(rt, "text")}}
		c := newCache(s.Type)
		c.take(relay(t, response(makeRecords(&s).list(), nil)), time.Unix(1000, 0))
		list := c.entries(time.Unix(1001, 0))
		want := []Entry{{s.Instance, s.Host, s.Address, s.Port, map[string]string{"k": s.Text[0].Value}}}
		if !reflect.DeepEqual(list, want) {
			rt.Fatalf("got %+v\nwant %+v", list, want)
		}
	})
}

func TestAnswers(t *testing.T) {
	r := makeRecords(&hall)
	ask := func(name string, kind uint16, known ...dns.RR) *dns.Msg {
		return &dns.Msg{Question: []dns.Question{{Name: name, Qtype: kind, Qclass: dns.ClassINET}}, Answer: known}
	}
	half := dns.Copy(r.ptr)
	half.Header().Ttl = otherLife / 2
	old := dns.Copy(r.ptr)
	old.Header().Ttl = otherLife/2 - 1
	for _, c := range []struct {
		name          string
		q             *dns.Msg
		answer, extra int
	}{
		{"browse", ask("_wirewright._tcp.local.", dns.TypePTR), 1, 3},
		{"browse in capitals", ask("_WireWright._TCP.local.", dns.TypePTR), 1, 3},
		{"another type", ask("_http._tcp.local.", dns.TypePTR), 0, 0},
		{"all types", ask(browseAll, dns.TypePTR), 1, 0},
		{"host and port", ask(`hall\.box._wirewright._tcp.local.`, dns.TypeSRV), 1, 1},
		{"texts", ask(`hall\.box._wirewright._tcp.local.`, dns.TypeTXT), 1, 0},
		{"anything of the instance", ask(`hall\.box._wirewright._tcp.local.`, dns.TypeANY), 2, 1},
		{"address", ask("hall-box.local.", dns.TypeA), 1, 0},
		{"address of IPv6", ask("hall-box.local.", dns.TypeAAAA), 0, 0},
		{"known for half of its life (RFC 6762, 7.1)", ask("_wirewright._tcp.local.", dns.TypePTR, half), 0, 0},
		{"known for less", ask("_wirewright._tcp.local.", dns.TypePTR, old), 1, 3},
	} {
		answer, extra := r.answers(relay(t, c.q))
		if len(answer) != c.answer || len(extra) != c.extra {
			t.Errorf("%s: %d answers, %d more", c.name, len(answer), len(extra))
		}
	}
}

// TestLivesAndFlushBits: RFC 6762, 10 and 10.2.
func TestLivesAndFlushBits(t *testing.T) {
	r := makeRecords(&hall)
	for _, c := range []struct {
		rr    dns.RR
		life  uint32
		class uint16
	}{{r.ptr, 4500, 1}, {r.srv, 120, 0x8001}, {r.txt, 4500, 0x8001}, {r.a, 120, 0x8001}} {
		if h := c.rr.Header(); h.Ttl != c.life || h.Class != c.class {
			t.Errorf("%v", c.rr)
		}
	}
	q := &dns.Msg{MsgHdr: dns.MsgHdr{Id: 77}, Question: []dns.Question{{Name: "_wirewright._tcp.local.", Qtype: dns.TypePTR, Qclass: dns.ClassINET}}}
	m := legacy(q, []dns.RR{r.ptr}, []dns.RR{r.srv})
	if m.Id != 77 || len(m.Question) != 1 || m.Answer[0].Header().Ttl != 10 || m.Extra[0].Header().Class != 1 {
		t.Errorf("one-shot answer %v", m)
	}
}

func TestCacheForgets(t *testing.T) {
	c, start := newCache(hall.Type), time.Unix(1000, 0)
	r := makeRecords(&hall)
	c.take(relay(t, response(r.list(), nil)), start)
	if l := c.entries(start.Add(119 * time.Second)); len(l) != 1 || !l[0].Complete() {
		t.Fatalf("%+v", l)
	}
	if l := c.entries(start.Add(121 * time.Second)); len(l) != 1 || l[0].Complete() {
		t.Errorf("the address outlives its 120 s: %+v", l)
	}
	if q := c.missing(start.Add(121 * time.Second)); len(q) != 1 || q[0].Qtype != dns.TypeA {
		t.Errorf("questions %v", q)
	}
	if k := c.known(start.Add(2249 * time.Second)); len(k) != 1 {
		t.Errorf("known %v", k)
	}
	if k := c.known(start.Add(2251 * time.Second)); len(k) != 0 {
		t.Errorf("still known after half of its life: %v", k)
	}
	c.take(relay(t, r.goodbye()), start.Add(time.Second))
	if l := c.entries(start.Add(2 * time.Second)); len(l) != 0 {
		t.Errorf("after goodbye %+v", l)
	}
}

func FuzzPacket(f *testing.F) {
	for _, m := range []*dns.Msg{query(hall.Type, nil), response(makeRecords(&hall).list(), nil), makeRecords(&hall).goodbye(), makeRecords(&hall).probe()} {
		b, err := m.Pack()
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		m := new(dns.Msg)
		if m.Unpack(b) != nil {
			return
		}
		c, now := newCache(hall.Type), time.Unix(1000, 0)
		c.take(m, now)
		c.missing(now)
		c.known(now)
		for _, e := range c.entries(now) {
			if e.Instance == "" && e.Complete() {
				t.Fatalf("%+v", e)
			}
		}
		r := makeRecords(&hall)
		r.answers(m)
		r.conflict(m)
	})
}

func loopback(t testing.TB) *net.Interface {
	t.Helper()
	i, err := Interface(netip.MustParseAddr("127.0.0.1"))
	if err != nil {
		t.Skipf("no loopback interface: %v", err)
	}
	return i
}

func announce(t testing.TB, s Service, unprobed bool) *Responder {
	t.Helper()
	r, err := Announce(t.Context(), ResponderOptions{Interface: loopback(t), Service: s, Unprobed: unprobed})
	if err != nil {
		t.Skipf("no multicast here: %v", err)
	}
	return r
}

// await polls until the browser's list is as wanted.
func await(t testing.TB, b *Browser, what string, ok func([]Entry) bool) {
	t.Helper()
	limit := time.After(8 * time.Second)
	for !ok(b.Entries()) {
		select {
		case <-b.News():
		case <-limit:
			t.Fatalf("%s: %+v", what, b.Entries())
		}
	}
}

func browse(t testing.TB, kind string) *Browser {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	b, err := Browse(ctx, loopback(t), kind)
	if err != nil {
		cancel()
		t.Skipf("no multicast here: %v", err)
	}
	t.Cleanup(func() { cancel(); b.Wait() })
	return b
}

// TestManyAreFoundChangeAndLeave: thirty responders on one interface, found by a browser that came later and by one that
// was there before.
func TestManyAreFoundChangeAndLeave(t *testing.T) {
	kind := "_ww-many._tcp"
	early := browse(t, kind)
	var list []*Responder
	for i := range 30 {
		s := hall
		s.Type, s.Instance, s.Host = kind, "module "+string(rune('A'+i)), "module-"+string(rune('a'+i%26))+string(rune('a'+i/26))
		s.Address = netip.AddrFrom4([4]byte{127, 0, 0, byte(10 + i)})
		list = append(list, announce(t, s, i >= 15)) // half of them probe first
	}
	all := func(l []Entry) bool {
		n := 0
		for _, e := range l {
			if e.Complete() && e.Text["epoch"] == "7" {
				n++
			}
		}
		return n == 30
	}
	await(t, early, "early browser", all)
	late := browse(t, kind)
	await(t, late, "late browser", all)
	if err := list[3].Update(t.Context(), []Pair{{"epoch", "8"}}); err != nil {
		t.Fatal(err)
	}
	await(t, late, "news of a text", func(l []Entry) bool { return l[3].Text["epoch"] == "8" })
	for _, r := range list[:29] {
		r.Close()
	}
	await(t, late, "goodbyes", func(l []Entry) bool { return len(l) == 1 })
	list[29].Vanish()
	if len(late.Entries()) != 1 {
		t.Error("one that vanished said goodbye")
	}
}

func TestTheSecondOfANameIsRenamed(t *testing.T) {
	s := hall
	s.Type, s.Host = "_ww-twins._tcp", "ww-twin" // a host name that nobody else on this machine has, in whatever test
	b := browse(t, s.Type)
	first := announce(t, s, true)
	defer first.Close()
	await(t, b, "the first", func(l []Entry) bool { return len(l) == 1 })
	s.Address, s.Port = netip.MustParseAddr("127.0.0.22"), 9
	second := announce(t, s, false)
	defer second.Close()
	await(t, b, "both", func(l []Entry) bool {
		return len(l) == 2 && l[0].Instance == "hall.box" && l[0].Port == 8021 && l[1].Instance == "hall.box (2)" && l[1].Complete() && l[1].Port == 9
	})
}

// TestOneShotQuerierIsAnswered: RFC 6762, 5.1 and 6.7, with a plain DNS client that knows nothing of multicast.
func TestOneShotQuerierIsAnswered(t *testing.T) {
	s := hall
	s.Type = "_ww-shot._tcp"
	b := browse(t, s.Type)
	r := announce(t, s, true)
	defer r.Close()
	await(t, b, "announced", func(l []Entry) bool { return len(l) == 1 })
	conn, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	q := new(dns.Msg)
	q.SetQuestion(s.Type+".local.", dns.TypePTR)
	packet, _ := q.Pack()
	if _, err := conn.WriteTo(packet, group()); err != nil {
		t.Skipf("no multicast from this socket: %v", err)
	}
	conn.SetReadDeadline(time.Now().Add(5 * time.Second))
	buf := make([]byte, packetMost)
	n, _, err := conn.ReadFrom(buf)
	if err != nil {
		t.Skipf("multicast of a socket without interface does not reach loopback here: %v", err)
	}
	m := new(dns.Msg)
	if err := m.Unpack(buf[:n]); err != nil || m.Id != q.Id || len(m.Answer) != 1 {
		t.Errorf("answer %v (%v)", m, err)
	}
}
