package job

import (
	"crypto/sha256"
	"fmt"
	"path/filepath"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/site"
	"wirewright/virtual"
)

// softModules makes the software module that stands for each controller of a plan: its own address on the loopback
// network, the channels of its type, and for a line head those of every module on its line.
func softModules(h *house.House, cat *catalogue.Catalogue, plan *site.Plan, dir string) []virtual.Config {
	index := house.NewIndex(h)
	list := make([]virtual.Config, 0, len(plan.Controllers))
	for i, c := range plan.Controllers {
		config := virtual.Config{Hardware: hardwareOf(c), Type: c.Type, Listen: fmt.Sprintf("127.0.%d.%d:0", 1+i/250, 2+i%250), Dir: filepath.Join(dir, fmt.Sprintf("module-%03d", i))}
		if t, ok := cat.Type(c.Type); ok {
			config.Channels = virtual.Channels("", t)
			if t.Capacity != nil {
				config.BytesMost, config.SlotsMost = t.Capacity.Bytes, t.Capacity.Slots
			}
		}
		for _, l := range h.Lines {
			if string(l.Head) == c.ID {
				config.Channels = append(config.Channels, lineChannels(index, cat, &l)...)
			}
		}
		list = append(list, config)
	}
	return list
}

func lineChannels(index *house.Index, cat *catalogue.Catalogue, l *house.Line) []virtual.Channel {
	var list []virtual.Channel
	for _, tap := range l.Taps {
		m := index.Module(tap.Module)
		if m == nil || m.ID == l.Head {
			continue
		}
		if t, ok := cat.Type(m.Type); ok {
			list = append(list, virtual.Channels(string(m.ID), t)...)
		}
	}
	return list
}

// hardwareOf is the identity of a software module: that of the plan where one is recorded, else a locally administered
// address made of the controller's name, so that the same house gives the same devices.
func hardwareOf(c site.Controller) string {
	if c.Hardware != "" {
		return c.Hardware
	}
	sum := sha256.Sum256([]byte(c.ID))
	return fmt.Sprintf("02:%02x:%02x:%02x:%02x:%02x", sum[0], sum[1], sum[2], sum[3], sum[4])
}
