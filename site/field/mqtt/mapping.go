package mqtt

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"wirewright/catalogue"
)

// Device drives a device of another make through the MQTT mapping of its catalogue entry.
type Device struct {
	client *Client
	maps   []catalogue.MQTTMap // with {host} replaced

	mu   sync.Mutex
	last map[string]int32 // by channel
	news chan struct{}    // closed and renewed at every report
}

// OpenDevice connects to the broker that the device uses. The account of o must be allowed the topics of the mapping;
// host stands for {host} in them.
func OpenDevice(ctx context.Context, o ClientOptions, host string, maps []catalogue.MQTTMap) (*Device, error) {
	d := &Device{last: map[string]int32{}, news: make(chan struct{})}
	if strings.ContainsAny(host, "/+#\x00") {
		return nil, fmt.Errorf("host name %q cannot stand in a topic", host)
	}
	for _, m := range maps {
		m.Command, m.State = strings.ReplaceAll(m.Command, "{host}", host), strings.ReplaceAll(m.State, "{host}", host)
		d.maps = append(d.maps, m)
		if m.State != "" {
			o.Filters = append(o.Filters, m.State)
		}
	}
	o.Receive = d.receive
	var err error
	if d.client, err = Dial(ctx, o); err != nil {
		return nil, err
	}
	if err := d.client.Await(ctx); err != nil {
		d.client.Close()
		return nil, err
	}
	return d, nil
}

// Write implements field.Device.
func (d *Device) Write(ctx context.Context, channel string, value int32) error {
	m, err := d.find(channel)
	if err != nil {
		return err
	}
	if m.Command == "" {
		return fmt.Errorf("channel %s is only read: its mapping has no command topic", channel)
	}
	return d.client.Publish(ctx, Message{Topic: m.Command, Payload: []byte(payload(m, value))})
}

// Read implements field.Device: it waits for a report when there has been none.
func (d *Device) Read(ctx context.Context, channel string) (int32, error) {
	m, err := d.find(channel)
	if err != nil {
		return 0, err
	}
	if m.State == "" {
		return 0, fmt.Errorf("channel %s is never reported: its mapping has no state topic", channel)
	}
	for {
		d.mu.Lock()
		v, ok := d.last[channel]
		news := d.news
		d.mu.Unlock()
		if ok {
			return v, nil
		}
		select {
		case <-news:
		case <-ctx.Done():
			return 0, fmt.Errorf("channel %s: nothing was reported on %s: %w", channel, m.State, ctx.Err())
		}
	}
}

// Close implements field.Device.
func (d *Device) Close() error {
	d.client.Close()
	return nil
}

// receive keeps what the device reports; what the mapping cannot read is left.
func (d *Device) receive(msg Message) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for i := range d.maps {
		if d.maps[i].State != msg.Topic {
			continue
		}
		if v, err := report(&d.maps[i], msg.Payload); err == nil {
			d.last[d.maps[i].Channel] = v
		}
	}
	close(d.news)
	d.news = make(chan struct{})
}

// find looks the mapping of a channel up.
func (d *Device) find(channel string) (*catalogue.MQTTMap, error) {
	for i := range d.maps {
		if d.maps[i].Channel == channel {
			return &d.maps[i], nil
		}
	}
	return nil, fmt.Errorf("channel %s has no mapping", channel)
}

// payload is what is published for a value: the text for off where there is one and the value is 0, else the text for
// on, with {value} replaced.
func payload(m *catalogue.MQTTMap, value int32) string {
	text := m.On
	if text == "" {
		text = "{value}"
	}
	if value == 0 && m.Off != "" {
		text = m.Off
	}
	return strings.ReplaceAll(text, "{value}", strconv.Itoa(int(value)))
}

// report reads a payload by the mapping: the texts for on and off, numbers, true and false.
func report(m *catalogue.MQTTMap, b []byte) (int32, error) {
	text := strings.TrimSpace(string(b))
	if m.Field != "" {
		var members map[string]json.RawMessage
		if len(b) > packetMost || json.Unmarshal(b, &members) != nil {
			return 0, fmt.Errorf("channel %s: the report is no JSON object", m.Channel)
		}
		raw, ok := members[m.Field]
		if !ok {
			return 0, fmt.Errorf("channel %s: the report has no member %q", m.Channel, m.Field)
		}
		text = string(bytes.Trim(raw, `"`))
	}
	switch {
	case m.On != "" && text == m.On, text == "true":
		return 1, nil
	case m.Off != "" && text == m.Off, text == "false":
		return 0, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > math.MaxInt32 {
		return 0, fmt.Errorf("channel %s: the report says %q, which is neither on (%q), off (%q) nor a number", m.Channel, text, m.On, m.Off)
	}
	return int32(math.Round(v)), nil
}
