package control

import (
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
)

// The encoding is the letters "ctl", a version byte, and then the tables in the order of codec.program. A number is a
// zigzag varint in its shortest form, a truth value one byte 0 or 1, a text its length and its UTF-8 bytes, a table its
// length and its rows, a row its fields in the order of their declaration. There is exactly one encoding of a program.
const (
	encodingMagic   = "ctl"
	encodingVersion = 1
	encodingMost    = 8 << 20 // bytes
)

// Encode returns the program as the bytes that are loaded into a controller: same program, same bytes.
func (p *Program) Encode() []byte {
	c := codec{writing: true, b: append([]byte(encodingMagic), encodingVersion)}
	c.program(p)
	return c.b
}

// Decode reads what Encode wrote; hostile bytes give an error. The program has been checked and is ready to Step.
func Decode(b []byte) (*Program, error) {
	const head = len(encodingMagic) + 1
	switch {
	case len(b) < head || string(b[:len(encodingMagic)]) != encodingMagic:
		return nil, errors.New("control: these bytes are no control program")
	case b[head-1] != encodingVersion:
		return nil, fmt.Errorf("control: version %d of the encoding is not known, %d is", b[head-1], encodingVersion)
	case len(b) > encodingMost:
		return nil, fmt.Errorf("control: a program of %d bytes is too large, at most %d are allowed", len(b), encodingMost)
	}
	c := codec{b: b[head:], size: len(b)}
	p := &Program{}
	c.program(p)
	if c.err == nil && len(c.b) > 0 {
		c.fail("%d bytes too many", len(c.b))
	}
	if c.err != nil {
		return nil, c.err
	}
	if err := p.Check(); err != nil {
		return nil, err
	}
	return p, nil
}

// Digest names the program: SHA-256 of its encoding.
func (p *Program) Digest() [32]byte { return sha256.Sum256(p.Encode()) }

// Equal tells whether two programs are the same.
func (p *Program) Equal(q *Program) bool { return p.Digest() == q.Digest() }

// codec walks through a program and writes or reads each field, so that both directions agree.
type codec struct {
	writing bool
	b       []byte // writing: what was written; reading: what is left
	size    int    // reading: length of the whole
	err     error
}

// fail keeps the first mistake.
func (c *codec) fail(format string, args ...any) {
	if c.err == nil {
		c.err = fmt.Errorf("control: damaged program at byte %d: "+format, append([]any{c.size - len(c.b)}, args...)...)
	}
}

// number writes or reads a number within low..high.
func (c *codec) number(v, low, high int64) int64 {
	if c.writing {
		c.b = binary.AppendVarint(c.b, v)
		return v
	}
	if c.err != nil {
		return 0
	}
	v, n := binary.Varint(c.b)
	switch {
	case n <= 0 || n > 1 && c.b[n-1] == 0:
		c.fail("a number in its shortest form is expected")
	case v < low || v > high:
		c.fail("a number from %d to %d is expected, not %d", low, high, v)
	default:
		c.b = c.b[n:]
		return v
	}
	return 0
}

// small is any number of ours that fits 8 bits. A program that is written is only read, for others may step it meanwhile.
func small[T ~uint8](c *codec, v *T) {
	if n := c.number(int64(*v), 0, 255); !c.writing {
		*v = T(n)
	}
}

// int16 is an index.
func (c *codec) int16(v *int16) {
	if n := c.number(int64(*v), -1<<15, 1<<15-1); !c.writing {
		*v = int16(n)
	}
}

// int32 is a value.
func (c *codec) int32(v *int32) {
	if n := c.number(int64(*v), -1<<31, 1<<31-1); !c.writing {
		*v = int32(n)
	}
}

// truth is a truth value.
func (c *codec) truth(v *bool) {
	if n := c.number(int64(truth(*v)), 0, 1); !c.writing {
		*v = n == 1
	}
}

// text is a text.
func (c *codec) text(v *string) {
	n := int(c.number(int64(len(*v)), 0, encodingMost))
	switch {
	case c.writing:
		c.b = append(c.b, *v...)
	case c.err != nil:
	case n > len(c.b):
		c.fail("a text of %d bytes is announced, %d are left", n, len(c.b))
	default:
		*v = string(c.b[:n])
		c.b = c.b[n:]
	}
}

// table is a table. When reading, no more rows are made room for than the bytes left could hold.
func table[T any](c *codec, rows *[]T, most int, row func(*T)) {
	n := int(c.number(int64(len(*rows)), 0, int64(most)))
	if !c.writing {
		if c.err == nil && n > len(c.b) {
			c.fail("a table of %d rows is announced, %d bytes are left", n, len(c.b))
		}
		if c.err != nil || n == 0 {
			return
		}
		*rows = make([]T, n)
	}
	for i := range *rows {
		if row(&(*rows)[i]); c.err != nil {
			return
		}
	}
}

// program is the order of the tables.
func (c *codec) program(p *Program) {
	c.text(&p.Controller)
	table(c, &p.Slots, MaxSlots, c.slot)
	table(c, &p.Peers, MaxPeers, c.text)
	table(c, &p.Schedules, MaxSchedules, c.schedule)
	table(c, &p.Texts, MaxTexts, c.text)
	table(c, &p.Rules, MaxRules, c.rule)
	table(c, &p.Causes, MaxCauses, c.cause)
	table(c, &p.Code, MaxCode, c.instr)
	table(c, &p.Actions, MaxActions, c.action)
	table(c, &p.Lists, MaxLists, c.span)
	table(c, &p.Members, MaxMembers, c.int16)
	table(c, &p.Timers, MaxTimers, c.timer)
	table(c, &p.Gestures, MaxSlots, c.gesture)
	table(c, &p.Scenes, MaxScenes, c.scene)
	table(c, &p.SceneItems, MaxSceneItems, c.item)
	table(c, &p.Holds, MaxHolds, c.hold)
	table(c, &p.Regulators, MaxRegulators, c.regulator)
}
