package site

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"wirewright/behaviour"
	"wirewright/catalogue"
	"wirewright/control"
	"wirewright/house"
	"wirewright/site/wire"
)

// Plan is what the design wants of the live side, at one revision.
type Plan struct {
	House       string // first level of the topics
	Revision    string // of the house; stands in descriptions and records
	Network     string // name of the Wi-Fi network
	Broker      string // host:port
	Place       wire.Place
	Controllers []Controller // in the order of the house
}

// Controller is one controller of the plan with what it is to run.
type Controller struct {
	ID       string
	Title    string
	Type     string // catalogue type
	Head     bool   // executes for a wired line
	Foreign  bool   // a device of another make, for which a stand-in executes
	Address  string // planned
	Hardware string // identity of the very device, where known
	Program  *control.Program
	Encoded  []byte
	Digest   wire.Digest
}

// NewPlan derives the plan from a house, its catalogue and its compiled behaviour. Broker is where the controllers reach
// the broker, host:port.
func NewPlan(h *house.House, cat *catalogue.Catalogue, c *behaviour.Compiled, broker string) (*Plan, error) {
	p := &Plan{House: HouseName(h.Title), Network: h.Network.Name, Broker: broker, Place: place(&h.Site)}
	types := map[string]*catalogue.Type{}
	for i := range cat.Types {
		types[cat.Types[i].ID] = &cat.Types[i]
	}
	for i := range h.Modules {
		m := &h.Modules[i]
		program := c.Program(string(m.ID))
		if program == nil {
			continue
		}
		t := types[m.Type]
		if t == nil {
			return nil, fmt.Errorf("module %s: type %q is not in the catalogue", m.ID, m.Type)
		}
		k := Controller{ID: string(m.ID), Title: m.Title, Type: m.Type, Head: t.Role == catalogue.RoleHead,
			Foreign: t.Medium == catalogue.Gateway, Address: m.Address, Hardware: m.Hardware}
		k.SetProgram(program)
		p.Controllers = append(p.Controllers, k)
	}
	return p, nil
}

// SetProgram gives the controller what it is to run.
func (c *Controller) SetProgram(p *control.Program) {
	c.Program, c.Encoded, c.Digest = p, p.Encode(), p.Digest()
}

// place is where the house stands, as the protocol writes it.
func place(s *house.Site) wire.Place {
	micro := func(v float64) int32 { return int32(math.Round(v * 1e6)) }
	zone := s.Zone
	if zone == "" {
		zone = "UTC"
	}
	return wire.Place{Latitude: micro(s.Latitude.Deg()), Longitude: micro(s.Longitude.Deg()), Zone: zone}
}

// HouseName makes the first level of the topics of a title: letters and digits in small, hyphens between.
func HouseName(title string) string {
	var b strings.Builder
	gap := false
	for _, r := range strings.ToLower(title) {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			gap = false
			b.WriteRune(r)
		default:
			gap = true
		}
		if b.Len() >= 40 {
			break
		}
	}
	if b.Len() == 0 {
		return "house"
	}
	return b.String()
}

// Controller finds a controller, nil if there is none.
func (p *Plan) Controller(id string) *Controller {
	for i := range p.Controllers {
		if p.Controllers[i].ID == id {
			return &p.Controllers[i]
		}
	}
	return nil
}

// Owner finds the controller and slot that own a name: a point, a key ("hall.keys.2"), a mode ("mode away").
func (p *Plan) Owner(name string) (*Controller, int16, bool) {
	for i := range p.Controllers {
		c := &p.Controllers[i]
		for s := range c.Program.Slots {
			switch slot := &c.Program.Slots[s]; slot.Kind {
			case control.SlotMirror, control.SlotClock, control.SlotLink, control.SlotMessage:
			default:
				if slot.Name == name {
					return c, int16(s), true
				}
			}
		}
	}
	return nil, 0, false
}

// Step tells how far a long act has come: what was done, to which controller, and how many of how many are done.
type Step struct {
	Act        string // "enrol", "find", "stage", "activate", "roll back", "attest"
	Controller string
	Done, All  int
	Err        error
}

// Progress is told each step; nil is allowed where it is asked for. It may be called from several goroutines at once.
type Progress func(Step)

// tell calls a progress function that may be nil.
func (p Progress) tell(s Step) {
	if p != nil {
		p(s)
	}
}
