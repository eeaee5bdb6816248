package catalogue

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/internal/problem"
)

// driver checks the mapping of a gateway type: that it has one side, and that each channel is mapped once and in full.
func (v *validator) driver(t *Type) {
	d := t.Driver
	if d == nil {
		return
	}
	v.must((len(d.MQTT) > 0) != (len(d.Modbus) > 0), "driver", "exactly one side, mqtt or modbus, is expected")
	m := &mapping{v: v, channels: map[string]ChannelKind{}, mapped: map[string]bool{}}
	for _, c := range t.ChannelList() {
		m.channels[c.Name] = c.Group.Kind
		m.names = append(m.names, c.Name)
	}
	at := v.path
	v.path = append(slices.Clone(at), "driver")
	for i := range d.MQTT {
		v.within("mqtt", i, func() { m.mqtt(&d.MQTT[i]) })
	}
	for i := range d.Modbus {
		v.within("modbus", i, func() { m.modbus(&d.Modbus[i]) })
	}
	v.path = at
	for _, name := range m.names {
		v.must(m.mapped[name], "driver", "channel "+name+" is not mapped")
	}
}

// mapping is one driver under examination.
type mapping struct {
	v        *validator
	names    []string
	channels map[string]ChannelKind
	mapped   map[string]bool
}

// channel checks that a row names a channel of the type that no row before it named.
func (m *mapping) channel(name string) (ChannelKind, bool) {
	kind, ok := m.channels[name]
	switch {
	case name == "": // the reader says so
	case !ok:
		m.v.say("channel", fmt.Sprintf("the type has no channel %q", clip(name)), problem.DidYouMean(name, m.names))
	case m.mapped[name]:
		m.v.say("channel", "channel "+name+" is mapped twice")
	}
	m.mapped[name] = true
	return kind, ok
}

func (m *mapping) mqtt(r *MQTTMap) {
	kind, ok := m.channel(r.Channel)
	m.topic("command", r.Command)
	m.topic("state", r.State)
	if !ok {
		return
	}
	if !kind.Output() {
		m.v.must(r.State != "", "state", "an input needs the topic that reports it")
		m.v.must(r.Command == "" && r.On == "" && r.Off == "", "command", "an input cannot be commanded", "leave command, on and off out")
		return
	}
	m.v.must(r.Command != "", "command", "an output needs the topic that commands it")
	if kind == Relay || kind == ValveOut {
		m.v.must(r.On != "" && r.Off != "" && r.On != r.Off, "on", "a switched output needs two different payloads, on and off")
	}
}

// topic checks a topic name: no wildcards, no null character, at most 65535 bytes (MQTT 5.0, 4.7).
func (m *mapping) topic(field, text string) {
	m.v.must(!strings.ContainsAny(text, "#+\x00"), field, "a topic to publish to, or one that reports, has no wildcard (MQTT 5.0, 4.7.1)")
	m.v.must(len(text) <= 65535, field, "a topic has at most 65535 bytes (MQTT 5.0, 4.7.3)")
}

func (m *mapping) modbus(r *ModbusMap) {
	kind, ok := m.channel(r.Channel)
	if ok && kind.Output() {
		m.v.must(r.Table != "discrete" && r.Table != "input", "table", "the table "+r.Table+" can only be read (MODBUS Application Protocol V1.1b3, 4.3)", "an output needs coil or holding")
	}
}
