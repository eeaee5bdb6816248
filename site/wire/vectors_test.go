package wire

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"wirewright/control"
)

func readVectors[T any](t testing.TB, name string) T {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "vectors", "wire", name))
	if err != nil {
		t.Fatal(err)
	}
	var v T
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(&v); err != nil {
		t.Fatal(err)
	}
	return v
}

type vector struct {
	Name, Topic, Payload string
	QoS                  int
	Retain               bool
}

// abc is the digest of "abc": FIPS 180-4, first example of SHA-256.
var abc = Digest{0xba, 0x78, 0x16, 0xbf, 0x8f, 0x01, 0xcf, 0xea, 0x41, 0x41, 0x40, 0xde, 0x5d, 0xae, 0x22, 0x23,
	0xb0, 0x03, 0x61, 0xa3, 0x96, 0x17, 0x7a, 0x9c, 0xb4, 0x10, 0xff, 0x61, 0xf2, 0x00, 0x15, 0xad}

const noon = 1795600000000

// meant is what each vector of messages.json means.
var meant = map[string]any{
	"alive":                              Alive{true, "5f0c", 7},
	"alive: the will":                    Alive{false, "5f0c", 7},
	"card":                               Card{1, "hall.box", "02:00:00:00:00:11", "box-relay-2", "1.0", "192.0.2.21:80", 7, abc},
	"card: nothing runs yet":             Card{1, "hall.box", "02:00:00:00:00:11", "box-relay-2", "1.0", "", 0, Digest{}},
	"state":                              State{3, 1, 0, 12, 7, noon},
	"state: not known":                   State{0, Value(control.Unknown), 0, 1, 7, noon},
	"state: a shutter on its way down":   State{2, 430, 1, 31, 7, noon},
	"state: a name that needs an escape": State{9, 0, 0, 2, 7, noon},
	"command":                            Command{"91aa", 41, 7, noon, 2000, 3, "set", 1, 0, 5},
	"command of a person":                Command{"a0", 1, 7, noon, 2000, 3, "toggle", 0, 0, -1},
	"command that fades":                 Command{"91aa", 42, 7, noon, 2000, 4, "set", 600, 1500, 6},
	"message":                            Message{noon, 5000},
	"place":                              Place{48_208_000, 16_373_000, "Europe/Vienna"},
	"ask: stage":                         Ask{"17", "stage", 8, abc, 3, 0, []byte("abc")},
	"ask: activate":                      Ask{ID: "18", Ask: "activate", Epoch: 8, Digest: abc},
	"ask: rollback":                      Ask{ID: "19", Ask: "rollback", Epoch: 8},
	"ask: attest":                        Ask{ID: "20", Ask: "attest"},
	"answer": Answer{ID: "17", Have: 3, Staged: Loaded{8, abc}, Firmware: "1.0", Hardware: "02:00:00:00:00:11",
		Type: "box-relay-2", Uptime: 90500},
	"journal": Entry{5, noon, 7, "output", "hall.lamp", 1, 5, "stairs.keys", ""},
}

// decodeAny reads a payload by the kind of its topic, and writes it again.
func decodeAny(kind Kind, b []byte) (any, []byte, error) {
	switch kind {
	case KindAlive:
		return both[Alive](b)
	case KindCard:
		return both[Card](b)
	case KindState:
		return both[State](b)
	case KindDo, "command":
		return both[Command](b)
	case KindMessage:
		return both[Message](b)
	case KindPlace:
		return both[Place](b)
	case KindAsk:
		return both[Ask](b)
	case KindAnswer:
		return both[Answer](b)
	}
	return both[Entry](b)
}

func both[T payload](b []byte) (any, []byte, error) {
	m, err := Decode[T](b)
	return m, Encode(m), err
}

func TestMessagesReadAndWriteAsTheVectorsSay(t *testing.T) {
	list := readVectors[[]vector](t, "messages.json")
	for _, v := range list {
		want, known := meant[v.Name]
		if !known {
			t.Errorf("%s: the vector has no meaning in this test", v.Name)
			continue
		}
		topic, err := ParseTopic(v.Topic)
		if err != nil || topic.String() != v.Topic {
			t.Errorf("%s: topic reads as %+v (%v) and is written %q", v.Name, topic, err, topic.String())
			continue
		}
		got, again, err := decodeAny(topic.Kind, []byte(v.Payload))
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: got %+v (%v), want %+v", v.Name, got, err, want)
		}
		if string(again) != v.Payload {
			t.Errorf("%s: written again as\n%s\nwant\n%s", v.Name, again, v.Payload)
		}
		if v.Retain != Retained(topic.Kind) || v.QoS != 1 {
			t.Errorf("%s: retain %v, quality of service %d", v.Name, v.Retain, v.QoS)
		}
	}
	if len(list) != len(meant) {
		t.Errorf("%d vectors, %d meanings", len(list), len(meant))
	}
}

func TestHostileTopicsAndPayloadsAreRefused(t *testing.T) {
	v := readVectors[struct {
		Topics   []struct{ Topic, Why string }
		Payloads []struct {
			Kind    Kind
			Payload string
			Why     string
		}
	}](t, "refused.json")
	if len(v.Topics) < 10 || len(v.Payloads) < 20 {
		t.Fatalf("only %d topics and %d payloads", len(v.Topics), len(v.Payloads))
	}
	for _, c := range v.Topics {
		if got, err := ParseTopic(c.Topic); err == nil || !strings.Contains(err.Error(), c.Why) {
			t.Errorf("topic %q: got %+v, error %v; want %q", c.Topic, got, err, c.Why)
		}
	}
	for _, c := range v.Payloads {
		if got, _, err := decodeAny(c.Kind, []byte(c.Payload)); err == nil || !strings.Contains(err.Error(), c.Why) {
			t.Errorf("%s %s: got %+v, error %v; want %q", c.Kind, c.Payload, got, err, c.Why)
		} else if !reflect.ValueOf(got).IsZero() {
			t.Errorf("%s %s: refused, and yet half read: %+v", c.Kind, c.Payload, got)
		}
	}
}

func TestLargePayloadsAreRefused(t *testing.T) {
	b := []byte(`{"alive":true,"session":"` + strings.Repeat("a", PayloadMost) + `","epoch":1}`)
	if _, err := Decode[Alive](b); err == nil || !strings.Contains(err.Error(), "at most 16384") {
		t.Errorf("error %v", err)
	}
	biggest := Ask{ID: strings.Repeat("9", 20), Ask: AskStage, Epoch: 1 << 31, Digest: abc, Size: ProgramMost,
		Offset: ProgramMost - ChunkMost, Data: make([]byte, ChunkMost)}
	if _, err := Decode[Ask](Encode(biggest)); err != nil {
		t.Errorf("the biggest chunk does not fit: %v", err)
	}
}

func TestRights(t *testing.T) {
	list := readVectors[[]struct {
		User, Publish, Hear string
		Allowed             bool
	}](t, "rights.json")
	for _, c := range list {
		got := MayHear("mill-lane", c.User, c.Hear)
		if c.Publish != "" {
			got = MayPublish("mill-lane", c.User, c.Publish)
		}
		if got != c.Allowed {
			t.Errorf("%q: publish %q hear %q: got %v", c.User, c.Publish, c.Hear, got)
		}
	}
}

func FuzzDecode(f *testing.F) {
	for _, v := range readVectors[[]vector](f, "messages.json") {
		f.Add(v.Topic, []byte(v.Payload))
	}
	f.Fuzz(func(t *testing.T, topic string, b []byte) {
		p, err := ParseTopic(topic)
		if err != nil {
			return
		}
		if p.String() != topic {
			t.Fatalf("topic %q is written %q", topic, p.String())
		}
		m, again, err := decodeAny(p.Kind, b)
		if err != nil {
			return
		}
		twice, _, err := decodeAny(p.Kind, again)
		if err != nil || !reflect.DeepEqual(m, twice) {
			t.Fatalf("%s read as %+v, written %s, read again as %+v (%v)", b, m, again, twice, err)
		}
	})
}
