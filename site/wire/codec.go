package wire

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"unicode/utf8"

	"wirewright/control"
)

// payload is every message of the protocol.
type payload interface {
	Alive | Card | State | Command | Message | Place | Ask | Answer | Entry
}

// checker is implemented by messages that have more to check than their form.
type checker interface{ check() error }

// Encode writes a message: same message, same bytes.
func Encode[T payload](m T) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(m); err != nil {
		// Every member of every message is of a kind that JSON has: a failure here is a fault of this package.
		panic("wire: a message cannot be written: " + err.Error())
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n"))
}

// Decode reads a message strictly: members that the message does not have, members twice, other capitals, missing
// numbers out of range, trailing text, and anything above the bounds are errors. It never half-fills the result.
func Decode[T payload](b []byte) (T, error) {
	var m, none T
	if len(b) > PayloadMost {
		return none, fmt.Errorf("payload of %d octets: at most %d are taken", len(b), PayloadMost)
	}
	if !utf8.Valid(b) {
		return none, errors.New("payload is not UTF-8")
	}
	names, err := shape(b)
	if err != nil {
		return none, err
	}
	for _, n := range required(reflect.TypeFor[T]()) {
		if !names[n] {
			return none, fmt.Errorf("payload: member %q is missing", n)
		}
	}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(&m); err != nil {
		return none, fmt.Errorf("payload: %w", err)
	}
	if c, ok := any(&m).(checker); ok {
		if err := c.check(); err != nil {
			return none, err
		}
	}
	return m, nil
}

// required lists the members that must stand in a message: all that are not left out when empty.
func required(t reflect.Type) []string {
	var names []string
	for i := range t.NumField() {
		name, option, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		if option == "" {
			names = append(names, name)
		}
	}
	return names
}

// shape checks that the payload is one object of at most two levels, without a member twice, names in plain lower case,
// and nothing after it. It returns the names of the outer members.
func shape(b []byte) (map[string]bool, error) {
	d := json.NewDecoder(bytes.NewReader(b))
	t, err := d.Token()
	if err != nil || t != json.Delim('{') {
		return nil, errors.New("payload is not a JSON object")
	}
	seen := map[string]bool{}
	if err := members(d, seen, 1); err != nil {
		return nil, err
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, errors.New("payload has text after its object")
	}
	return seen, nil
}

// members walks the members of an object whose brace has been read.
func members(d *json.Decoder, seen map[string]bool, depth int) error {
	if depth > 2 {
		return errors.New("payload nests deeper than two objects")
	}
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return fmt.Errorf("payload: %w", err)
		}
		name, _ := t.(string)
		if !plain(name) {
			return fmt.Errorf("payload: member %q is no name of this protocol", clip(name))
		}
		if seen[name] {
			return fmt.Errorf("payload: member %q stands twice", name)
		}
		seen[name] = true
		t, err = d.Token()
		if err != nil {
			return fmt.Errorf("payload: %w", err)
		}
		switch t {
		case nil:
			if name != "value" {
				return fmt.Errorf("payload: member %q is null", name)
			}
		case json.Delim('{'):
			if err := members(d, map[string]bool{}, depth+1); err != nil {
				return err
			}
		case json.Delim('['):
			return fmt.Errorf("payload: member %q is a list, and no message of this protocol has one", name)
		}
	}
	if _, err := d.Token(); err != nil {
		return fmt.Errorf("payload: %w", err)
	}
	return nil
}

// plain tells names of small letters only, so that the reader's indifference to capitals cannot be used.
func plain(s string) bool {
	for _, c := range []byte(s) {
		if c < 'a' || c > 'z' {
			return false
		}
	}
	return s != "" && len(s) < 20
}

// text checks a text member.
func text(what, s string, least int) error {
	if len(s) < least || len(s) > textMost {
		return fmt.Errorf("payload: %s has %d octets; %d to %d are expected", what, len(s), least, textMost)
	}
	return nil
}

func (m *Alive) check() error { return text("session", m.Session, 1) }

func (m *Card) check() error {
	if m.Protocol != Protocol {
		return fmt.Errorf("payload: protocol %d: this side speaks %d", m.Protocol, Protocol)
	}
	return errors.Join(text("controller", m.Controller, 1), text("hardware", m.Hardware, 1), text("type", m.Type, 1),
		text("firmware", m.Firmware, 1), text("page", m.Page, 0))
}

func (m *State) check() error {
	if m.Slot < 0 || m.Motion < -1 || m.Motion > 1 {
		return errors.New("payload: slot or motion is out of range")
	}
	return nil
}

func (m *Command) check() error {
	if _, ok := ParseVerb(m.Verb); !ok {
		return fmt.Errorf("payload: verb %q is none of this protocol", clip(m.Verb))
	}
	if int32(m.Value) == control.Unknown || m.Seq == 0 || m.Slot < 0 || m.Rule < -1 || m.Expiry <= 0 || m.Expiry > expiryMost || m.Sent <= 0 ||
		m.Fade < 0 || m.Fade > expiryMost {
		return errors.New("payload: value, seq, slot, rule, sent, expiry or fade is out of range")
	}
	return text("session", m.Session, 1)
}

func (m *Message) check() error {
	if m.Sent <= 0 || m.Expiry <= 0 || m.Expiry > expiryMost {
		return errors.New("payload: sent or expiry is out of range")
	}
	return nil
}

func (m *Place) check() error {
	if m.Latitude < -90_000_000 || m.Latitude > 90_000_000 || m.Longitude < -180_000_000 || m.Longitude > 180_000_000 {
		return errors.New("payload: latitude or longitude is out of range")
	}
	return text("zone", m.Zone, 1)
}

func (m *Ask) check() error {
	if err := text("id", m.ID, 1); err != nil {
		return err
	}
	switch m.Ask {
	case AskAttest:
		return nil
	case AskActivate, AskRollback:
		if m.Epoch == 0 {
			return errors.New("payload: an epoch is expected")
		}
		return nil
	case AskStage:
		if m.Epoch == 0 || m.Digest.Zero() || m.Size <= 0 || m.Size > ProgramMost || m.Offset < 0 ||
			len(m.Data) == 0 || len(m.Data) > ChunkMost || m.Offset+len(m.Data) > m.Size {
			return errors.New("payload: epoch, digest, size, offset or data is out of range")
		}
		return nil
	}
	return fmt.Errorf("payload: question %q is none of this protocol", clip(m.Ask))
}

func (m *Answer) check() error {
	return errors.Join(text("id", m.ID, 1), text("error", m.Error, 0), text("firmware", m.Firmware, 1),
		text("hardware", m.Hardware, 1), text("type", m.Type, 1))
}

func (m *Entry) check() error {
	return errors.Join(text("what", m.What, 1), text("slot", m.Slot, 0), text("from", m.From, 0), text("text", m.Text, 0))
}
