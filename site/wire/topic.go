package wire

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Names that stand where a controller's name may stand. They begin with an underscore, which no identity in a house
// does, so that no controller can be called so.
const (
	SiteUser = "_site" // the commissioning side and the workbench
	AllUser  = "_all"  // everybody in the house
)

// Kind is what a topic is for: its level after the controller.
type Kind string

// The kinds of topic; PROTOCOL.md says who writes and who hears each.
const (
	KindAlive   Kind = "alive"   // retained, with the will: whether the controller is connected
	KindCard    Kind = "card"    // retained: what the controller is and runs
	KindThing   Kind = "thing"   // retained: its Thing Description
	KindState   Kind = "state"   // retained, one topic a slot: its last value
	KindDo      Kind = "do"      // commands to the controller, one topic a sender; never retained
	KindAsk     Kind = "ask"     // questions of the commissioning side: stage, activate, rollback, attest
	KindAnswer  Kind = "answer"  // the answers
	KindJournal Kind = "journal" // what happened and by which rule
	KindMessage Kind = "message" // under AllUser: messages from outside by name
	KindPlace   Kind = "place"   // under AllUser, retained: where the house is
)

// levels says how many levels stand after the kind.
var levels = map[Kind]int{KindAlive: 0, KindCard: 0, KindThing: 0, KindState: 1, KindDo: 1, KindAsk: 0,
	KindAnswer: 0, KindJournal: 0, KindMessage: 1, KindPlace: 0}

// nameMost bounds a level of a topic in octets.
const nameMost = 200

// Topic is a parsed topic: <house>/<controller>/<kind>[/<name>].
type Topic struct {
	House      string
	Controller string // identity of a controller, or AllUser
	Kind       Kind
	Name       string // state: slot; do: sender; message: name of the message; else empty
}

// String writes the topic; names are escaped so that any text is one level.
func (t Topic) String() string {
	s := escape(t.House) + "/" + escape(t.Controller) + "/" + string(t.Kind)
	if levels[t.Kind] == 1 {
		s += "/" + escape(t.Name)
	}
	return s
}

// ParseTopic reads a topic that String wrote; anything else is an error.
func ParseTopic(s string) (Topic, error) {
	parts := strings.Split(s, "/")
	fail := func(reason string) (Topic, error) {
		return Topic{}, fmt.Errorf("topic %q: %s", clip(s), reason)
	}
	if len(parts) < 3 {
		return fail("it must be house/controller/kind")
	}
	t := Topic{Kind: Kind(parts[2])}
	more, known := levels[t.Kind]
	if !known {
		return fail("its third level is no kind of this protocol")
	}
	if len(parts) != 3+more {
		return fail(fmt.Sprintf("kind %s has %d levels", t.Kind, 3+more))
	}
	texts := []*string{&t.House, &t.Controller}
	raw := parts[:2]
	if more == 1 {
		texts, raw = append(texts, &t.Name), append(raw[:2:2], parts[3])
	}
	for i, r := range raw {
		name, err := unescape(r)
		if err != nil {
			return fail(err.Error())
		}
		*texts[i] = name
	}
	if (t.Kind == KindMessage || t.Kind == KindPlace) != (t.Controller == AllUser) {
		return fail("messages and the place stand under " + AllUser + ", and nothing else does")
	}
	return t, nil
}

// Filter returns the subscription filter for a kind of one controller, or of every controller where controller is "+".
// One-name kinds end with "+".
func Filter(house, controller string, kind Kind) string {
	c := controller
	if c != "+" {
		c = escape(c)
	}
	s := escape(house) + "/" + c + "/" + string(kind)
	if levels[kind] == 1 {
		s += "/+"
	}
	return s
}

const hexDigits = "0123456789ABCDEF"

// escape makes any text one level of a topic: what MQTT gives a meaning, control characters and '%' become %XX.
func escape(s string) string {
	if !strings.ContainsFunc(s, special) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if !special(r) {
			b.WriteRune(r)
			continue
		}
		for _, c := range []byte(string(r)) {
			b.WriteByte('%')
			b.WriteByte(hexDigits[c>>4])
			b.WriteByte(hexDigits[c&15])
		}
	}
	return b.String()
}

// special tells the characters that never stand in a level as they are.
func special(r rune) bool {
	return r == '/' || r == '+' || r == '#' || r == '%' || r == '$' || r == utf8.RuneError || unicode.IsControl(r)
}

// unescape reads what escape wrote and nothing else.
func unescape(s string) (string, error) {
	if s == "" {
		return "", fmt.Errorf("a level is empty")
	}
	if len(s) > nameMost || !utf8.ValidString(s) {
		return "", fmt.Errorf("a level is longer than %d octets or is not UTF-8", nameMost)
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '%' {
			b.WriteByte(s[i])
			continue
		}
		if i+2 >= len(s) {
			return "", fmt.Errorf("a level ends within an escape")
		}
		hi, lo := strings.IndexByte(hexDigits, s[i+1]), strings.IndexByte(hexDigits, s[i+2])
		if hi < 0 || lo < 0 {
			return "", fmt.Errorf("an escape is not %% and two hexadecimal digits in capitals")
		}
		b.WriteByte(byte(hi<<4 | lo))
		i += 2
	}
	if escape(b.String()) != s {
		return "", fmt.Errorf("a level is not written in its one form")
	}
	return b.String(), nil
}

// clip shortens a text for an error.
func clip(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + "…"
}

// Retained tells whether messages of a kind are kept by the broker for whoever comes later. Commands, questions, answers,
// the journal and messages never are: a controller that comes back must not carry out what is past.
func Retained(kind Kind) bool {
	return kind == KindAlive || kind == KindCard || kind == KindThing || kind == KindState || kind == KindPlace
}
