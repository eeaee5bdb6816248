package control

import (
	"bytes"
	"encoding/binary"
	"reflect"
	"strings"
	"testing"
)

func TestEncodingThereAndBack(t *testing.T) {
	for _, name := range fixtureNames() {
		p := fixture(t, name)
		b := p.Encode()
		q, err := Decode(b)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !bytes.Equal(q.Encode(), b) {
			t.Errorf("%s: encoded again it differs", name)
		}
		if !p.Equal(q) || p.Digest() != q.Digest() {
			t.Errorf("%s: digests differ", name)
		}
		if !reflect.DeepEqual(p, q) {
			t.Errorf("%s: a table was not kept", name)
		}
	}
}

// TestEveryFieldIsEncoded changes one field after the other of every row; each must change the encoding.
func TestEveryFieldIsEncoded(t *testing.T) {
	full := func() *Program {
		return &Program{Controller: "c", Slots: make([]Slot, 1), Peers: make([]string, 1), Schedules: make([]Schedule, 1), Texts: make([]string, 1),
			Rules: make([]Rule, 1), Causes: make([]Cause, 1), Code: make([]Instr, 1), Actions: make([]Action, 1), Lists: make([]Range, 1),
			Members: make([]int16, 1), Timers: make([]Timer, 1), Gestures: make([]Gesture, 1), Scenes: make([]Scene, 1), SceneItems: make([]SceneItem, 1),
			Holds: make([]Hold, 1), Regulators: make([]Regulator, 1)}
	}
	plain := full().Encode()
	leaves := 0
	var walk func(v reflect.Value, path string, change func(path string, v reflect.Value))
	walk = func(v reflect.Value, path string, change func(string, reflect.Value)) {
		switch v.Kind() {
		case reflect.Struct:
			for i := range v.NumField() {
				if v.Type().Field(i).IsExported() {
					walk(v.Field(i), path+"."+v.Type().Field(i).Name, change)
				}
			}
		case reflect.Slice:
			walk(v.Index(0), path, change)
		default:
			change(path, v)
		}
	}
	walk(reflect.ValueOf(full()).Elem(), "Program", func(string, reflect.Value) { leaves++ })
	for n := range leaves {
		p, k, path := full(), 0, ""
		walk(reflect.ValueOf(p).Elem(), "Program", func(at string, v reflect.Value) {
			if k++; k-1 != n {
				return
			}
			path = at
			switch v.Kind() {
			case reflect.String:
				v.SetString("other")
			case reflect.Bool:
				v.SetBool(true)
			case reflect.Uint8:
				v.SetUint(77)
			default:
				v.SetInt(77)
			}
		})
		if bytes.Equal(p.Encode(), plain) {
			t.Errorf("%s is not encoded", path)
		}
	}
	if leaves < 90 {
		t.Errorf("only %d fields were looked at", leaves)
	}
}

func TestHostileBytesAreRefused(t *testing.T) {
	good := fixture(t, "hall").Encode()
	for n := range good {
		if _, err := Decode(good[:n]); err == nil {
			t.Fatalf("cut after %d of %d bytes it is taken", n, len(good))
		}
	}
	huge := append([]byte("ctl\x01"), binary.AppendVarint([]byte{0}, MaxSlots)...)
	for _, c := range []struct {
		name string
		b    []byte
		want string
	}{
		{"nothing", nil, "no control program"},
		{"other letters", []byte("xyz\x01abc"), "no control program"},
		{"other version", []byte("ctl\x02abc"), "version 2"},
		{"one byte more", append(bytes.Clone(good), 0), "1 bytes too many"},
		{"a number that is longer than needed", []byte("ctl\x01\x80\x00"), "shortest form"},
		{"a table that is not there", huge, "4096 rows"},
		{"a text that is not there", append([]byte("ctl\x01"), binary.AppendVarint(nil, 1000)...), "text of 1000 bytes"},
		{"a table larger than any", append([]byte("ctl\x01\x00"), binary.AppendVarint(nil, 1<<40)...), "a number from 0"},
		{"too long", append([]byte("ctl\x01"), make([]byte, encodingMost)...), "too large"},
	} {
		_, err := Decode(c.b)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

// TestDecodeMakesNoRoomForWhatIsNotThere: bytes that announce the largest tables cost no more than they are.
func TestDecodeMakesNoRoomForWhatIsNotThere(t *testing.T) {
	b := append([]byte("ctl\x01\x00"), binary.AppendVarint(nil, MaxSlots)...)
	b = append(b, make([]byte, 100)...)
	if n := testing.AllocsPerRun(10, func() { _, _ = Decode(b) }); n > 20 {
		t.Errorf("%v allocations for %d bytes", n, len(b))
	}
}

func FuzzDecode(f *testing.F) {
	for _, name := range fixtureNames() {
		f.Add(fixture(f, name).Encode())
	}
	f.Add([]byte("ctl\x01"))
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := Decode(b)
		if err != nil {
			return
		}
		if !bytes.Equal(p.Encode(), b) {
			t.Fatal("there are two encodings of one program")
		}
		_ = p.Listing()
		s := p.NewState()
		var out []Effect
		out = p.Step(s, Event{Kind: EventStart, Slot: -1}, out)
		for i := range min(len(p.Slots), 40) {
			for kind := range EventMessage + 1 {
				out = p.Step(s, Event{Kind: kind, Slot: int16(i), Value: int32(i % 2), Seq: uint32(i + 1), Peer: -1, Elapsed: 300}, out[:0])
				if wrong := p.Invariant(s); wrong != "" {
					t.Fatal(wrong)
				}
			}
		}
	})
}
