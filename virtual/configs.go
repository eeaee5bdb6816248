package virtual

import (
	"fmt"
	"path/filepath"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/site"
)

// firstAddress is the last octet of the loopback address of the first software module: 127.0.0.1 is everybody's.
const firstAddress = 10

// mostModules is how many have an address of their own on 127.0.0.0/16.
const mostModules = 200 * 250

// Configs makes a software module for every controller of a plan, in its order: new from the factory, with the channels
// of its type. A head also has the channels of the modules on its line. Each keeps what it keeps in a folder under dir.
func Configs(p *site.Plan, h *house.House, cat *catalogue.Catalogue, dir string) ([]Config, error) {
	types := map[house.ID]*catalogue.Type{}
	for i := range h.Modules {
		for k := range cat.Types {
			if cat.Types[k].ID == h.Modules[i].Type {
				types[h.Modules[i].ID] = &cat.Types[k]
			}
		}
	}
	if len(p.Controllers) > mostModules {
		return nil, fmt.Errorf("software modules: %d are more than the %d addresses", len(p.Controllers), mostModules)
	}
	var list []Config
	for i := range p.Controllers {
		k := &p.Controllers[i]
		t := types[house.ID(k.ID)]
		if t == nil {
			return nil, fmt.Errorf("software module %s: its type %s is not in the catalogue", k.ID, k.Type)
		}
		n := firstAddress + i
		c := Config{Type: k.Type, Hardware: k.Hardware, Listen: fmt.Sprintf("127.0.%d.%d:0", n/250, n%250+1), Channels: Channels("", t),
			Dir: filepath.Join(dir, fmt.Sprintf("module-%03d", i))}
		if c.Hardware == "" {
			// Locally administered and unicast (IEEE 802: second lowest bit of the first octet set, lowest clear).
			c.Hardware = fmt.Sprintf("02:00:00:00:%02x:%02x", n>>8, n&0xff)
		}
		if t.Capacity != nil {
			c.BytesMost, c.SlotsMost = t.Capacity.Bytes, t.Capacity.Slots
		}
		for _, l := range h.Lines {
			if l.Head != house.ID(k.ID) {
				continue
			}
			for _, tap := range l.Taps {
				if tap.Module != l.Head && types[tap.Module] != nil {
					c.Channels = append(c.Channels, Channels(string(tap.Module), types[tap.Module])...)
				}
			}
		}
		list = append(list, c)
	}
	return list, nil
}
