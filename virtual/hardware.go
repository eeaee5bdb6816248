package virtual

import (
	"cmp"
	"slices"
	"sync"

	"wirewright/catalogue"
)

// Channel is one channel of a module.
type Channel struct {
	Module string // the module on the line that has it; empty for the controller's own
	Name   string
	Kind   catalogue.ChannelKind
}

// Channels lists the channels of a type as those of a module, empty for a controller's own.
func Channels(module string, t *catalogue.Type) []Channel {
	var list []Channel
	for _, c := range t.ChannelList() {
		list = append(list, Channel{module, c.Name, c.Group.Kind})
	}
	return list
}

// Reading is what a channel stands at.
type Reading struct {
	Channel
	Known  bool  // inputs: something is connected to it
	Value  int32 // outputs: what it drives; inputs: what it reads
	Fade   int32 // outputs: ms over which the last change goes
	Motion int32 // motors: -1 up, 0 still, +1 down
}

// hardware is the channels of a module: numbers in place of relays. It implements agent.Channels.
type hardware struct {
	mu      sync.Mutex
	name    string // of the controller, once it has one
	list    []Reading
	touched bool // an input was set since the last rest
}

func newHardware(channels []Channel) *hardware {
	h := &hardware{}
	for _, c := range channels {
		h.list = append(h.list, Reading{Channel: c})
	}
	slices.SortStableFunc(h.list, func(a, b Reading) int { return cmp.Or(cmp.Compare(a.Module, b.Module), cmp.Compare(a.Name, b.Name)) })
	h.rest()
	return h
}

// find returns a channel, nil where there is none; the controller's own go by its name or by none.
func (h *hardware) find(module, channel string) *Reading {
	if module == h.name {
		module = ""
	}
	for i := range h.list {
		if h.list[i].Module == module && h.list[i].Name == channel {
			return &h.list[i]
		}
	}
	return nil
}

// call names the controller.
func (h *hardware) call(name string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.name = name
}

// Has implements agent.Channels.
func (h *hardware) Has(module, channel string) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.find(module, channel) != nil
}

// Output implements agent.Channels.
func (h *hardware) Output(module, channel string, value, fade int32) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if c := h.find(module, channel); c != nil {
		c.Value, c.Fade = value, fade
	}
}

// Motor implements agent.Channels.
func (h *hardware) Motor(module, channel string, direction int32) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if c := h.find(module, channel); c != nil {
		c.Motion = direction
	}
}

// Input implements agent.Channels.
func (h *hardware) Input(module, channel string) (int32, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if c := h.find(module, channel); c != nil && c.Known {
		return c.Value, true
	}
	return 0, false
}

// put sets what an input reads; false where there is no such input.
func (h *hardware) put(module, channel string, value int32) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	c := h.find(module, channel)
	if c == nil || c.Kind.Output() {
		return false
	}
	c.Known, c.Value = true, value
	h.touched = true
	return true
}

// atRest tells that no input was set since the last rest.
func (h *hardware) atRest() bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	return !h.touched
}

// rest brings every input to rest: keys up, contacts open, nothing measured; and every output off.
func (h *hardware) rest() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.touched = false
	for i := range h.list {
		c := &h.list[i]
		c.Value, c.Fade, c.Motion = 0, 0, 0
		switch c.Kind {
		case catalogue.Input, catalogue.Key, catalogue.Presence, catalogue.RainIn:
			c.Known = true
		default:
			c.Known = false
		}
	}
}

// dark drops every output, as a loss of power does; inputs stay as the house has them.
func (h *hardware) dark() {
	h.mu.Lock()
	defer h.mu.Unlock()
	for i := range h.list {
		c := &h.list[i]
		c.Motion = 0
		if c.Kind.Output() {
			c.Value, c.Fade = 0, 0
		}
	}
}

// readings copies all channels.
func (h *hardware) readings() []Reading {
	h.mu.Lock()
	defer h.mu.Unlock()
	return slices.Clone(h.list)
}
