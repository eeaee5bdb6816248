package catalogue

import (
	"fmt"

	"wirewright/unit"
)

// Bounds of a type, against typing errors and hostile files; generous for the trade (common practice, no source).
const (
	unitsMost    = 36                      // width of the widest row of a board
	channelsMost = 64                      // of one group
	groupsMost   = 16                      // of one type
	depthMost    = 200 * unit.Length(1000) // 200 mm
)

func (v *validator) types(c, base *Catalogue) {
	s := &ids{list: "types", noun: "type", taken: func(id string) bool { _, ok := base.Type(id); return ok }}
	for i := range c.Types {
		t := &c.Types[i]
		v.identity(s, i, t.ID)
		v.place(t)
		v.medium(t)
		v.role(t)
		v.channels(t)
		v.driver(t)
	}
}

// place checks where a module goes and the room that it needs there.
func (v *validator) place(t *Type) {
	switch t.Mount {
	case Rail:
		v.must(t.Units >= 1 && t.Units <= unitsMost, "units", fmt.Sprintf("a rail module needs its width, 1 to %d units of 17.5 mm (DIN 43880)", unitsMost))
	case BoxIn, Plate:
		v.must(t.Depth > 0 && t.Depth <= depthMost, "depth", "a module for a box needs the depth that it takes, up to 200 mm")
	}
	v.must(t.Units == 0 || t.Mount == Rail, "units", "only rail modules have a width in units", "leave it out, or make the mount rail")
	v.must(t.Depth == 0 || t.Mount == BoxIn || t.Mount == Plate, "depth", "only modules for a box have a depth", "leave it out, or make the mount box or plate")
	v.must(!t.Neutral || t.Mount != Rail, "neutral", "on the rail of a board there is always a neutral", "leave it out")
}

// medium checks what each medium needs: a bus side, a radio, a program of its own, a driver.
func (v *validator) medium(t *Type) {
	switch t.Medium {
	case Wired:
		v.must(t.Bus != nil && t.Bus.Draw > 0, "bus.draw", "a wired module needs the current that it takes from the line (bus: draw)")
	case WiFi:
		v.must(t.Radio != nil, "radio", "a Wi-Fi module needs its radio side (power, sensitivity)")
		v.must(t.Capacity != nil, "capacity", "a Wi-Fi module executes a program and needs its capacity (rules, bytes, slots)")
	case Gateway:
		v.must(t.Driver != nil, "driver", "a module of another make needs its driver: mqtt or modbus")
		v.must(t.Capacity == nil, "capacity", "a module of another make executes no program of ours", "leave it out")
	case NoBus:
		v.must(t.Role == RoleSupply, "medium", "only a supply is fed and not addressed", "give the medium by which it is reached")
	}
	v.must(t.Bus == nil || t.Medium == Wired || t.Medium == NoBus, "bus", "only wired modules and supplies face a line", "leave it out")
	v.must(t.Radio == nil || t.Medium == WiFi || t.Medium == Gateway, "radio", "only Wi-Fi modules and gateway types have a radio side", "leave it out")
	v.must(t.Driver == nil || t.Medium == Gateway, "driver", "only gateway types are driven through a mapping", "leave it out, or make the medium gateway")
	v.bus(t.Bus)
}

// selvMost is the highest direct voltage of an extra-low-voltage system, IEC 60364-4-41 clause 414.
const selvMost = 120 * unit.Voltage(1_000_000)

func (v *validator) bus(b *Bus) {
	if b == nil {
		return
	}
	v.must(b.Voltage > 0 && b.Voltage <= selvMost, "bus.voltage", "the nominal voltage of the line is expected, above 0 V and at most 120 V (SELV, IEC 60364-4-41)")
	v.must(b.Least <= b.Voltage, "bus.least", "the lowest voltage must not be above the nominal one")
}

// role checks what heads and supplies need beside what their medium needs.
func (v *validator) role(t *Type) {
	switch t.Role {
	case RoleHead:
		v.must(t.Medium == Wired, "medium", "a line head is wired")
		v.must(t.Capacity != nil, "capacity", "a line head executes a program and needs its capacity (rules, bytes, slots)")
		v.must(t.Bus != nil && t.Bus.MaxTaps > 0, "bus.max-taps", "a line head needs the most modules that its line may have")
	case RoleSupply:
		v.must(t.Medium == NoBus, "medium", "a supply is fed and not addressed: its medium is none")
		v.must(t.Bus != nil && t.Bus.Supply > 0, "bus.supply", "a supply needs the current that it gives")
	default:
		v.must(t.Bus == nil || t.Bus.Supply == 0, "bus.supply", "only supplies give current to a line", "make the role supply")
		v.must(t.Capacity == nil || t.Medium != Wired, "capacity", "a wired module executes no program: the head of its line does", "leave it out")
	}
}
