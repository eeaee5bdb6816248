package virtual

import (
	"fmt"
	"net/netip"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"wirewright/site"
	"wirewright/site/field/dnssd"
	"wirewright/site/wire"
)

// row is a house of n Wi-Fi modules in a row: the key of each lights its own lamp, its contact that of the next.
func row(n int) string {
	var points, modules, rules strings.Builder
	for i := range n {
		fmt.Fprintf(&points, "  - {id: r%d.lamp, kind: lamp, room: r, load: {category: led, power: 12 W}}\n", i)
		fmt.Fprintf(&points, "  - {id: r%d.keys, kind: keypad, room: r, keys: [Here]}\n", i)
		fmt.Fprintf(&points, "  - {id: r%d.door, kind: contact, room: r}\n", i)
		fmt.Fprintf(&modules, "  - {id: r%d.box, type: relay-wifi-2x5-in2, room: r, landings: [{channel: out1, point: r%d.lamp}, "+
			"{channel: in1, point: r%d.keys, key: 1}, {channel: in2, point: r%d.door}]}\n", i, i, i, i)
		fmt.Fprintf(&rules, "  rule here%d: when r%d.keys.1 is pressed: toggle r%d.lamp\n", i, i, i)
		fmt.Fprintf(&rules, "  rule next%d: when r%d.door opens: toggle r%d.lamp\n", i, i, (i+1)%n)
	}
	return "format: wirewright house 1\ntitle: A row\nsite: {latitude: 48 °, longitude: 16 °, zone: Europe/Vienna}\n" +
		"network: {name: row}\nstoreys: [{id: g, elevation: 0 m}]\nrooms: [{id: r, storey: g}]\npoints:\n" + points.String() +
		"modules:\n" + modules.String() + "behaviour: |\n" + rules.String()
}

// BenchmarkCommission measures what it takes to bring thirty new modules to a loaded house.
func BenchmarkCommission(b *testing.B) {
	iface, err := dnssd.Interface(netip.MustParseAddr("127.0.0.1"))
	if err != nil {
		b.Skip(err)
	}
	steps := map[string]time.Duration{}
	for range b.N {
		last := time.Now()
		lap := func(name string) { steps[name] += time.Since(last); last = time.Now() }
		s := setScene(b, row(30))
		lap("launch")
		s.enrol()
		lap("enrol")
		hailed, err := site.Hail(s.ctx, site.HailOptions{Plan: s.plan, Interface: iface, Limit: 20 * time.Second})
		if err != nil {
			b.Fatal(err)
		}
		for _, h := range hailed {
			if h.Finding != site.Matched {
				b.Fatalf("%+v", h)
			}
		}
		lap("hail")
		s.connect()
		s.load()
		lap("load")
		if _, good := site.OneEpoch(site.Attest(s.ctx, s.link, nil)); !good {
			b.Fatal("not everywhere")
		}
		lap("attest")
		b.ReportMetric(resident(b, s.fleet), "MB-each")
		s.fleet.Close()
		lap("close")
	}
	for name, d := range steps {
		b.ReportMetric(float64(d.Milliseconds())/float64(b.N), name+"-ms")
	}
}

// resident is the mean memory of a module's process that no other shares, in MB; 0 where the system does not say.
func resident(b *testing.B, f *Fleet) float64 {
	total := 0
	for _, m := range f.Members() {
		text, err := os.ReadFile(fmt.Sprintf("/proc/%d/smaps_rollup", m.running().cmd.Process.Pid))
		if err != nil {
			return 0
		}
		for line := range strings.Lines(string(text)) {
			var kb int
			if n, _ := fmt.Sscanf(line, "Private_Dirty: %d kB", &kb); n == 1 {
				total += kb
			}
		}
	}
	return float64(total) / 1024 / float64(len(f.Members()))
}

// BenchmarkInputToLamp measures from the contact that opens at one module (the bench's request included) to the relay of
// another, as the commissioning side hears it, through the embedded broker: three hops. A key takes its debounce longer.
func BenchmarkInputToLamp(b *testing.B) {
	s := setScene(b, row(6))
	s.enrol()
	s.connect()
	s.load()
	m := s.member("r0.box")
	var times []time.Duration
	want := int32(0)
	heard := func() bool {
		v, ok := s.link.State("r1.box", "r1.lamp")
		return ok && v.Value == wire.Value(want)
	}
	s.until("start", heard)
	b.ResetTimer()
	for range b.N {
		want = 1 - want
		start := time.Now()
		if err := m.Put(s.ctx, "", "in2", 1); err != nil {
			b.Fatal(err)
		}
		s.until("lamp", heard)
		times = append(times, time.Since(start))
		if err := m.Put(s.ctx, "", "in2", 0); err != nil {
			b.Fatal(err)
		}
	}
	b.StopTimer()
	slices.Sort(times)
	b.ReportMetric(float64(times[len(times)/2].Microseconds()), "p50-µs")
	b.ReportMetric(float64(times[len(times)*99/100].Microseconds()), "p99-µs")
	b.ReportMetric(float64(times[len(times)-1].Microseconds()), "max-µs")
}
