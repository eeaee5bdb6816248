package wire

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"

	"wirewright/control"
)

// Protocol is the edition of the protocol that a card names; another edition is not understood.
const Protocol = 1

// Bounds of what is read from the network. Whatever exceeds one is refused.
const (
	PayloadMost = 16 << 10 // octets of a payload
	ChunkMost   = 6 << 10  // octets of program in one stage question
	ProgramMost = 1 << 20  // octets of a program
	textMost    = 300      // octets of a text member
	expiryMost  = 24 * 3600 * 1000
)

// Value is the value of a slot; control.Unknown is written null.
type Value int32

// MarshalJSON writes a number, or null for control.Unknown.
func (v Value) MarshalJSON() ([]byte, error) {
	if int32(v) == control.Unknown {
		return []byte("null"), nil
	}
	return json.Marshal(int32(v))
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (v *Value) UnmarshalJSON(b []byte) error {
	if bytes.Equal(b, []byte("null")) {
		*v = Value(control.Unknown)
		return nil
	}
	var n int32
	if err := json.Unmarshal(b, &n); err != nil {
		return fmt.Errorf("a value is a whole number of 32 bits or null")
	}
	if n == math.MinInt32 {
		return fmt.Errorf("an unknown value is written null")
	}
	*v = Value(n)
	return nil
}

// Digest is the SHA-256 of an encoded program, written as 64 hexadecimal digits in lower case.
type Digest [32]byte

// String writes the digest.
func (d Digest) String() string { return hex.EncodeToString(d[:]) }

// Short is the first twelve digits, for people.
func (d Digest) Short() string { return d.String()[:12] }

// Zero tells that there is no program.
func (d Digest) Zero() bool { return d == Digest{} }

// MarshalText implements encoding.TextMarshaler; no program is an empty text.
func (d Digest) MarshalText() ([]byte, error) {
	if d.Zero() {
		return nil, nil
	}
	return []byte(d.String()), nil
}

// UnmarshalText implements encoding.TextUnmarshaler.
func (d *Digest) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = Digest{}
		return nil
	}
	var v Digest
	n, err := hex.Decode(v[:], append([]byte(nil), b[:min(len(b), 64)]...))
	if err != nil || n != len(v) || len(b) != 64 || !bytes.Equal(bytes.ToLower(b), b) {
		return fmt.Errorf("a digest is 64 hexadecimal digits in lower case")
	}
	*d = v
	return nil
}

// Alive says whether a controller is connected. The will of the connection says false.
type Alive struct {
	Alive   bool   `json:"alive"`
	Session string `json:"session"` // chosen anew at every start of the controller
	Epoch   uint32 `json:"epoch"`   // what it runs; 0 for nothing
}

// Card is what a controller says of itself.
type Card struct {
	Protocol   int    `json:"protocol"`
	Controller string `json:"controller"`
	Hardware   string `json:"hardware"`
	Type       string `json:"type"`
	Firmware   string `json:"firmware"`
	Page       string `json:"page,omitempty"` // address of its page, host:port
	Epoch      uint32 `json:"epoch"`
	Digest     Digest `json:"digest"`
}

// State is the last value of one slot.
type State struct {
	Slot   int16  `json:"slot"`
	Value  Value  `json:"value"`
	Motion int8   `json:"motion,omitempty"` // motors: -1 up, 0 still, +1 down
	Count  uint64 `json:"count"`            // rises with each state that the controller tells in this session
	Epoch  uint32 `json:"epoch"`
	At     int64  `json:"at"` // time of the house, ms since 1970 UTC
}

// Command asks a slot for something.
type Command struct {
	Session string `json:"session"`
	Seq     uint32 `json:"seq"`
	Epoch   uint32 `json:"epoch"`
	Sent    int64  `json:"sent"`   // time of the house, ms since 1970 UTC
	Expiry  int32  `json:"expiry"` // ms after which it must do nothing
	Slot    int16  `json:"slot"`
	Verb    string `json:"verb"`
	Value   Value  `json:"value"`
	Fade    int32  `json:"fade,omitempty"` // levels: ms over which; 0 at once
	Rule    int16  `json:"rule"`           // rule of the sender that caused it, -1 for a person
}

// Message is a message from outside; its name stands in the topic.
type Message struct {
	Sent   int64 `json:"sent"`
	Expiry int32 `json:"expiry"`
}

// Place says where the house is, so that a controller can run its own calendar.
type Place struct {
	Latitude  int32  `json:"latitude"`  // millionths of a degree, north positive
	Longitude int32  `json:"longitude"` // millionths of a degree, east positive
	Zone      string `json:"zone"`      // as named in the IANA time zone database
}

// The questions of the commissioning side.
const (
	AskStage    = "stage"    // keep a chunk of a program for an epoch
	AskActivate = "activate" // run the staged program
	AskRollback = "rollback" // drop what is staged for the epoch, or run the program before it again
	AskAttest   = "attest"   // say what is run
)

// Ask is a question of the commissioning side.
type Ask struct {
	ID     string `json:"id"`
	Ask    string `json:"ask"`
	Epoch  uint32 `json:"epoch,omitempty"`
	Digest Digest `json:"digest,omitzero"`
	Size   int    `json:"size,omitempty"`
	Offset int    `json:"offset,omitempty"`
	Data   []byte `json:"data,omitempty"`
}

// Loaded names one program that a controller keeps.
type Loaded struct {
	Epoch  uint32 `json:"epoch"`
	Digest Digest `json:"digest"`
}

// Answer is what a controller answers to every question: the error, if any, and where it stands.
type Answer struct {
	ID       string `json:"id"`
	Error    string `json:"error,omitempty"`
	Have     int    `json:"have,omitempty"`    // stage: octets that it has
	Running  Loaded `json:"running"`           // epoch 0 where nothing runs
	Staged   Loaded `json:"staged,omitzero"`   // complete and verified, not yet active
	Previous Loaded `json:"previous,omitzero"` // what a rollback would bring back
	Firmware string `json:"firmware"`
	Hardware string `json:"hardware"`
	Type     string `json:"type"`
	Uptime   int64  `json:"uptime"` // ms
}

// Entry is one line of a controller's journal.
type Entry struct {
	Count uint64 `json:"count"`
	At    int64  `json:"at"`
	Epoch uint32 `json:"epoch"`
	What  string `json:"what"`           // output, motor, notify, fault, start, refused
	Slot  string `json:"slot,omitempty"` // name of the slot
	Value Value  `json:"value"`
	Rule  int16  `json:"rule"` // index of the rule that caused it, -1 for none
	From  string `json:"from,omitempty"`
	Text  string `json:"text,omitempty"`
}

// verbs are the words of control.Verb on the wire.
var verbs = []string{control.VerbSet: "set", control.VerbToggle: "toggle", control.VerbRaise: "raise", control.VerbLower: "lower",
	control.VerbStop: "stop", control.VerbSlat: "slat", control.VerbHold: "hold", control.VerbRelease: "release",
	control.VerbOn: "on"}

// VerbText is the word for a verb; empty for one that is none.
func VerbText(v control.Verb) string {
	if int(v) >= len(verbs) {
		return ""
	}
	return verbs[v]
}

// ParseVerb reads the word for a verb.
func ParseVerb(s string) (control.Verb, bool) {
	for i, w := range verbs {
		if w == s {
			return control.Verb(i), true
		}
	}
	return 0, false
}
