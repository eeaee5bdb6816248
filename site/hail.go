package site

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
	"time"

	"wirewright/site/field/dnssd"
)

// ServiceType is the type under which controllers announce themselves.
const ServiceType = "_wirewright._tcp"

// Finding is what hailing says of one controller or device.
type Finding string

// The findings of hailing.
const (
	Matched    Finding = "matched"    // a device of the plan
	Missing    Finding = "missing"    // in the plan, and nothing answers
	Unexpected Finding = "unexpected" // answers, and is not in the plan
	Ambiguous  Finding = "ambiguous"  // could be any of several of the plan
	Wrong      Finding = "wrong"      // has the name of the plan, and is another device or another type
)

// Hailed is one line of what hailing found.
type Hailed struct {
	Finding    Finding
	Controller string   // of the plan, empty for devices that are not matched
	Device     Device   // what answered, zero where nothing did
	Candidates []string // ambiguous: the controllers that it could be
	Text       string   // one sentence for the person
}

// HailOptions is where to look.
type HailOptions struct {
	Plan      *Plan
	Interface *net.Interface // nil: only Addresses are visited
	Addresses []string       // pages entered by hand, host:port
	Client    *http.Client
	Limit     time.Duration // how long to look for what is missing; 5 s where 0
	Tell      Progress
}

// Hail looks for the controllers of the plan until all are there or the limit is over, and says of each what it found.
func Hail(ctx context.Context, o HailOptions) ([]Hailed, error) {
	if o.Limit == 0 {
		o.Limit = 5 * time.Second
	}
	ctx, cancel := context.WithTimeout(ctx, o.Limit)
	defer cancel()
	entered, err := visitAll(ctx, o)
	if err != nil {
		return nil, err
	}
	if o.Interface == nil {
		return Match(o.Plan, entered), nil
	}
	b, err := dnssd.Browse(ctx, o.Interface, ServiceType)
	if err != nil {
		if len(entered) > 0 {
			return Match(o.Plan, entered), nil
		}
		return nil, fmt.Errorf("hail: %w; enter addresses instead", err)
	}
	defer func() { cancel(); b.Wait() }()
	for {
		list := Match(o.Plan, append(devices(o.Plan, b.Entries()), entered...))
		n := 0
		for _, h := range list {
			if h.Finding == Matched {
				n++
			}
		}
		o.Tell.tell(Step{Act: "find", Done: n, All: len(o.Plan.Controllers)})
		if n == len(o.Plan.Controllers) {
			return list, nil
		}
		select {
		case <-b.News():
		case <-ctx.Done():
			return list, nil
		}
	}
}

// visitAll reads the cards of the pages that were entered; one that does not answer is an error that names it.
func visitAll(ctx context.Context, o HailOptions) ([]Device, error) {
	list := make([]Device, len(o.Addresses))
	err := each(o.Addresses, func(page string) error {
		d, err := Visit(ctx, o.Client, page)
		list[slices.Index(o.Addresses, page)] = d
		return err
	})
	return list, err
}

// devices makes devices of what was announced in this house.
func devices(p *Plan, entries []dnssd.Entry) []Device {
	var list []Device
	for _, e := range entries {
		if !e.Complete() || e.Text["house"] != p.House || e.Text["hw"] == "" {
			continue
		}
		list = append(list, Device{Hardware: e.Text["hw"], Type: e.Text["type"], Name: e.Text["id"], House: e.Text["house"],
			Page: netip.AddrPortFrom(e.Address, e.Port).String()})
	}
	return list
}

// Match holds devices against the plan: by identity where the plan knows it, by the name under which the device has
// joined, else by type, where only one of that type is open. The result has a line for every controller, in the order of
// the plan, then one for every device that matched none.
func Match(p *Plan, devices []Device) []Hailed {
	devices = distinct(devices)
	taken := make([]bool, len(devices))
	lines := make([]Hailed, len(p.Controllers))
	pair := func(c int, d int) {
		taken[d] = true
		lines[c] = judge(&p.Controllers[c], devices[d])
	}
	for _, same := range []func(*Controller, *Device) bool{
		func(c *Controller, d *Device) bool { return c.Hardware != "" && c.Hardware == d.Hardware },
		func(c *Controller, d *Device) bool { return d.Name == c.ID && d.House == p.House },
	} {
		for c := range p.Controllers {
			for d := range devices {
				if !taken[d] && lines[c].Finding == "" && same(&p.Controllers[c], &devices[d]) {
					pair(c, d)
				}
			}
		}
	}
	var rest []Hailed
	for d := range devices {
		if taken[d] {
			continue
		}
		open, rivals := candidates(p, lines, devices, taken, devices[d].Type)
		switch {
		case devices[d].Name == "" && len(open) == 1 && rivals == 1:
			pair(open[0], d)
		case devices[d].Name == "" && len(open) > 0:
			h := Hailed{Finding: Ambiguous, Device: devices[d]}
			for _, c := range open {
				h.Candidates = append(h.Candidates, p.Controllers[c].ID)
			}
			h.Text = fmt.Sprintf("%s (%s) could be %s: compare the labels", devices[d].Hardware, devices[d].Type, strings.Join(h.Candidates, ", "))
			rest = append(rest, h)
		default:
			rest = append(rest, Hailed{Finding: Unexpected, Device: devices[d], Text: fmt.Sprintf("%s (%s) at %s is not in the plan", devices[d].Hardware, devices[d].Type, devices[d].Page)})
		}
	}
	for c := range lines {
		if lines[c].Finding == "" {
			lines[c] = Hailed{Finding: Missing, Controller: p.Controllers[c].ID, Text: fmt.Sprintf("%s (%s) does not answer", p.Controllers[c].ID, p.Controllers[c].Type)}
		}
	}
	return append(lines, rest...)
}

// judge says whether a device that belongs to a controller is what the plan wants there.
func judge(c *Controller, d Device) Hailed {
	h := Hailed{Finding: Matched, Controller: c.ID, Device: d}
	switch {
	case d.Type != c.Type:
		h.Finding, h.Text = Wrong, fmt.Sprintf("%s is a %s, the plan has a %s there", c.ID, d.Type, c.Type)
	case c.Hardware != "" && c.Hardware != d.Hardware:
		h.Finding, h.Text = Wrong, fmt.Sprintf("%s has the identity %s, the plan has %s there", c.ID, d.Hardware, c.Hardware)
	case d.Name != "" && d.Name != c.ID:
		h.Finding, h.Text = Wrong, fmt.Sprintf("%s has joined as %s: reset it to the factory state and enrol it again", c.ID, d.Name)
	default:
		h.Text = fmt.Sprintf("%s answers at %s", c.ID, d.Page)
	}
	return h
}

// candidates lists the controllers of a type that nothing is matched to, and counts the devices of it that match nothing.
func candidates(p *Plan, lines []Hailed, devices []Device, taken []bool, kind string) (open []int, rivals int) {
	for c := range p.Controllers {
		if lines[c].Finding == "" && p.Controllers[c].Type == kind && p.Controllers[c].Hardware == "" {
			open = append(open, c)
		}
	}
	for d := range devices {
		if !taken[d] && devices[d].Type == kind && devices[d].Name == "" {
			rivals++
		}
	}
	return open, rivals
}

// distinct leaves each device once, by its identity: one may be announced and entered.
func distinct(list []Device) []Device {
	seen := map[string]bool{}
	var out []Device
	for _, d := range list {
		if !seen[d.Hardware] {
			seen[d.Hardware] = true
			out = append(out, d)
		}
	}
	return out
}
