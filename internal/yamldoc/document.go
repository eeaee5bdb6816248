package yamldoc

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"wirewright/internal/problem"
)

// The bounds of a text; beyond them it is refused.
const (
	MaxBytes    = 64 << 20 // size of a text
	MaxDepth    = 20       // collections within collections
	MaxValues   = 8 << 20  // keys and values together
	MaxProblems = 1000     // mistakes that are told; those after it are counted
)

// kind is what a node is.
type kind uint8

const (
	scalar kind = iota
	mapping
	sequence
)

// style is how a scalar was written.
type style uint8

const (
	plain style = iota
	quoted
	literal // literal or folded block
	empty   // nothing was written
)

// node is one key or value. The nodes of a document lie in one slice, each before those below it; a mapping's children
// are key, value, key, value.
type node struct {
	start, end int32 // bytes of the text
	line       int32 // from 1
	next       int32 // index of the first node that is not below this one
	cooked     int32 // scalars that are not their bytes: 1 + index into Document.cooked
	kind       kind
	style      style
}

// Document is a parsed text: a tree of places and raw scalars.
type Document struct {
	file     string
	text     []byte
	s        string // text, as a string that the scalars share
	nodes    []node
	cooked   []string
	comments []problem.Place
	problems problem.List
	dropped  int            // problems beyond MaxProblems
	counted  counted        // the column that was asked for last
	broken   map[int32]bool // nodes that are incomplete or were refused
}

// Parse reads the text into a tree. The document is usable where there are problems too, without the parts that they
// concern.
func Parse(file string, text []byte) (*Document, problem.List) {
	d := &Document{file: file, broken: map[int32]bool{}}
	if !d.admit(text) {
		return d, d.problems
	}
	p := parser{Document: d, line: 1}
	// Room for a key and a value a line and a value a comma, so that the slice need not grow.
	p.nodes = make([]node, 0, min(2*strings.Count(d.s, "\n")+strings.Count(d.s, ",")+64, MaxValues))
	p.document()
	return d, d.problems
}

// admit checks what holds for the text as a whole, and normalises its beginning and its line ends.
func (d *Document) admit(text []byte) bool {
	if len(text) > MaxBytes {
		d.report(problem.Problem{Text: fmt.Sprintf("the text has %d MB; at most %d MB are read", len(text)>>20, MaxBytes>>20)})
		return false
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if bytes.IndexByte(text, '\r') >= 0 {
		text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	}
	d.text, d.s = text, string(text)
	if at, what := foreign(d.s); at >= 0 {
		d.problemAt(at, 1+strings.Count(d.s[:at], "\n"), what, "")
		return false
	}
	return true
}

// foreign finds the first character that may not stand in a text.
func foreign(s string) (int, string) {
	for i := 0; i < len(s); {
		c := s[i]
		if c < utf8.RuneSelf {
			if c < ' ' && c != '\n' && c != '\t' || c == 0x7f {
				return i, fmt.Sprintf("control character %U; write it as \\x%02X within double quotes", c, c)
			}
			i++
			continue
		}
		r, n := utf8.DecodeRuneInString(s[i:])
		if r == utf8.RuneError && n == 1 {
			return i, "the text is not UTF-8 from here on"
		}
		if !printable(r) {
			return i, fmt.Sprintf("character %U cannot be seen; write it as \\u%04X within double quotes", r, r)
		}
		i += n
	}
	return -1, ""
}

// printable tells whether a character beyond ASCII may stand in a text as itself: what YAML calls printable, without
// those that some readers take for line ends or for a byte-order mark.
func printable(r rune) bool {
	switch {
	case r < 0xA0, r == 0x2028, r == 0x2029, r == 0xFEFF, r == 0xFFFE, r == 0xFFFF:
		return false
	}
	return true
}

func (d *Document) report(p problem.Problem) {
	if d.full() {
		return
	}
	p.File = d.file
	d.problems = append(d.problems, p)
}

// full counts a problem that is not told any more; whoever finds one asks first and spares the work of telling it.
func (d *Document) full() bool {
	if len(d.problems) < MaxProblems {
		return false
	}
	d.dropped++
	return true
}

func (d *Document) problemAt(offset, line int, text, hint string) {
	if d.full() {
		return
	}
	p := problem.Problem{Text: text, Hint: hint}
	p.Line, p.Column = line, d.column(offset)
	d.report(p)
}

func (d *Document) problemNode(n int32, text, hint, entity string) {
	d.broken[n] = true
	p := problem.Problem{Text: text, Hint: hint, Entity: entity}
	p.Line, p.Column = int(d.nodes[n].line), d.column(d.from(n))
	d.report(p)
}

// from is the offset where a person sees a node begin: at its quotes, if it has any.
func (d *Document) from(n int32) int {
	at := int(d.nodes[n].start)
	if d.nodes[n].style == quoted {
		at--
	}
	return at
}

// counted is an offset with its column and the start of its line.
type counted struct{ start, offset, column int }

// column counts characters from the start of the line, from 1. It goes on from where it counted last, so that many
// problems in one long line take no longer than one.
func (d *Document) column(offset int) int {
	var start int
	c := d.counted
	if offset >= c.offset && c.column > 0 && strings.IndexByte(d.s[c.offset:offset], '\n') < 0 {
		c.column += utf8.RuneCountInString(d.s[c.offset:offset])
		start = c.start
	} else {
		start = strings.LastIndexByte(d.s[:offset], '\n') + 1
		c.column = 1 + utf8.RuneCountInString(d.s[start:offset])
	}
	d.counted = counted{start, offset, c.column}
	return c.column
}

// value is the text of a scalar.
func (d *Document) value(n int32) string {
	x := &d.nodes[n]
	if x.cooked > 0 {
		return d.cooked[x.cooked-1]
	}
	return d.s[x.start:x.end]
}

// bytes is the text of a scalar, to be read only.
func (d *Document) bytes(n int32) []byte {
	x := &d.nodes[n]
	if x.cooked > 0 {
		return []byte(d.cooked[x.cooked-1])
	}
	return d.text[x.start:x.end]
}

// list ends the pass: all problems in order, with a last one that counts those beyond the bound.
func (d *Document) list() problem.List {
	l := d.problems
	l.Sort()
	if d.dropped > 0 {
		l = append(l, problem.Problem{Place: problem.Place{File: d.file}, Text: fmt.Sprintf("and %d more problems", d.dropped)})
	}
	return l
}

// Comments returns the places of the comments in a text: what Decode does not keep.
func Comments(text []byte) []problem.Place {
	d, _ := Parse("", text)
	return d.comments
}
