package step

import (
	"bytes"
	"strconv"
	"unsafe"
)

// Kind says what a value is.
type Kind uint8

// The kinds of value.
const (
	Unset   Kind = iota // $
	Derived             // *
	Integer             // 12
	Real                // 1.5
	String              // 'text'
	Enum                // .ELEMENT., also .T. and .F.
	Binary              // "0F"
	Ref                 // #12
	List                // (…)
	Typed               // IFCLABEL('text'): Word is the keyword, List holds the one value
)

// String names the kind for an error.
func (k Kind) String() string {
	names := [...]string{"nothing ($)", "a derived value (*)", "a whole number", "a number", "a string", "an enumeration word",
		"a binary", "a reference", "a list", "a typed value"}
	if int(k) < len(names) {
		return names[k]
	}
	return "an unknown kind of value"
}

// Value is one argument of a record, or one member of a list.
type Value struct {
	Kind   Kind
	Number float64 // Integer, Real
	Ref    ID      // Ref
	Word   string  // Enum, Typed: the word in upper case as written; String, Binary: the text as encoded in the file
	List   []Value // List, Typed
}

// IsUnset tells whether the value says nothing: `$`, or the `*` that some writers put for ordinary unset attributes.
func (v Value) IsUnset() bool { return v.Kind == Unset || v.Kind == Derived }

// Text returns the decoded text of a string; a typed value gives the text of what it wraps; all else gives "".
func (v Value) Text() string {
	switch {
	case v.Kind == String:
		return decode(v.Word)
	case v.Kind == Typed && len(v.List) == 1:
		return v.List[0].Text()
	}
	return ""
}

// Float returns the number of an integer or a real, also inside a typed value, and whether there was one.
func (v Value) Float() (float64, bool) {
	switch {
	case v.Kind == Integer || v.Kind == Real:
		return v.Number, true
	case v.Kind == Typed && len(v.List) == 1:
		return v.List[0].Float()
	}
	return 0, false
}

// parse reads the arguments of a record.
func (f *File) parse(r *Record) ([]Value, error) {
	if r.Keyword == "&" {
		return nil, f.fault(r, r.Line, "a record of several entity names at once is not read here")
	}
	p := &parser{file: f, record: r, data: f.data[:r.to], at: r.from, stack: make([]Value, 0, 16)}
	list, ok := p.list(1, r.to)
	if !ok {
		return nil, p.err
	}
	return list, nil
}

// parser reads values; stack holds the members of all lists that are open, so that each list is allocated once and exactly.
type parser struct {
	file   *File
	record *Record
	data   []byte
	at     int
	stack  []Value
	err    error
}

func (p *parser) fail(text string, args ...any) bool {
	line := p.record.Line + bytes.Count(p.data[p.record.from:min(p.at, len(p.data))], []byte{'\n'})
	p.err = p.file.fault(p.record, line, text, args...)
	return false
}

// list reads members up to the closing bracket, or up to the end of the record's arguments at depth 1.
func (p *parser) list(depth, end int) ([]Value, bool) {
	if depth > p.file.limits.Depth {
		return nil, p.fail("lists are nested deeper than %d", p.file.limits.Depth)
	}
	base := len(p.stack)
	for first := true; ; first = false {
		p.blank()
		if closed := p.at >= end || p.data[p.at] == ')'; closed && first {
			break
		}
		v, ok := p.value(depth, end)
		if !ok {
			return nil, false
		}
		p.stack = append(p.stack, v)
		p.blank()
		if p.at >= end || p.data[p.at] == ')' {
			break
		}
		if p.data[p.at] != ',' {
			return nil, p.fail("a comma is expected between values, found %q", p.excerpt())
		}
		p.at++
	}
	out := p.file.carve(p.stack[base:])
	p.stack = p.stack[:base]
	if p.file.values += len(out); p.file.values > p.file.limits.Values {
		return nil, p.fail("more than %d values are asked for", p.file.limits.Values)
	}
	return out, true
}

// carve copies values into memory of their own. Short lists share blocks, because a model has hundreds of thousands of them.
func (f *File) carve(values []Value) []Value {
	const block = 1024
	n := len(values)
	if n > block/8 {
		return append([]Value(nil), values...)
	}
	if len(f.block) < n {
		f.block = make([]Value, block)
	}
	out := f.block[:n:n]
	f.block = f.block[n:]
	copy(out, values)
	return out
}

func (p *parser) blank() {
	for p.at < len(p.data) {
		switch c := p.data[p.at]; {
		case c == ' ' || c == '\n' || c == '\r' || c == '\t' || c == '\f':
			p.at++
		case c == '/' && bytes.HasPrefix(p.data[p.at:], []byte("/*")):
			n := bytes.Index(p.data[p.at+2:], []byte("*/"))
			if n < 0 {
				p.at = len(p.data)
				return
			}
			p.at += n + 4
		default:
			return
		}
	}
}

func (p *parser) value(depth, end int) (Value, bool) {
	if p.at >= end {
		return Value{}, p.fail("a value is missing at the end of the list")
	}
	switch c := p.data[p.at]; {
	case c == '$':
		p.at++
		return Value{Kind: Unset}, true
	case c == '*':
		p.at++
		return Value{Kind: Derived}, true
	case c == '#':
		return p.reference()
	case c == '\'':
		return p.text()
	case c == '.':
		return p.enum()
	case c == '(':
		p.at++
		list, ok := p.list(depth+1, end)
		return Value{Kind: List, List: list}, ok && p.closing()
	case c == '"':
		return p.binary()
	case c >= '0' && c <= '9' || c == '-' || c == '+':
		return p.number()
	case isName(c, false):
		return p.typed(depth, end)
	}
	return Value{}, p.fail("a value is expected, found %q", p.excerpt())
}

func (p *parser) closing() bool {
	if p.at >= len(p.data) || p.data[p.at] != ')' {
		return p.fail("a list is not closed")
	}
	p.at++
	return true
}

func (p *parser) reference() (Value, bool) {
	p.at++
	begin, id := p.at, ID(0)
	for p.at < len(p.data) && p.data[p.at] >= '0' && p.data[p.at] <= '9' {
		id = id*10 + ID(p.data[p.at]-'0')
		p.at++
	}
	if n := p.at - begin; n == 0 || n > 18 {
		return Value{}, p.fail("a record number of at most 18 digits is expected after #")
	}
	return Value{Kind: Ref, Ref: id}, true
}

func (p *parser) text() (Value, bool) {
	p.at++
	begin := p.at
	for {
		n := bytes.IndexByte(p.data[p.at:], '\'')
		if n < 0 {
			return Value{}, p.fail("a string is not closed")
		}
		p.at += n + 1
		if p.at >= len(p.data) || p.data[p.at] != '\'' {
			return Value{Kind: String, Word: view(p.data[begin : p.at-1])}, true
		}
		p.at++
	}
}

func (p *parser) binary() (Value, bool) {
	n := bytes.IndexByte(p.data[p.at+1:], '"')
	if n < 0 {
		return Value{}, p.fail("a binary is not closed")
	}
	v := Value{Kind: Binary, Word: view(p.data[p.at+1 : p.at+1+n])}
	p.at += n + 2
	return v, true
}

func (p *parser) enum() (Value, bool) {
	n := bytes.IndexByte(p.data[p.at+1:], '.')
	if n <= 0 {
		return Value{}, p.fail("an enumeration word between two points is expected, found %q", p.excerpt())
	}
	word := p.data[p.at+1 : p.at+1+n]
	for i, c := range word {
		if !isName(c, i > 0) {
			return Value{}, p.fail("%q is not an enumeration word", string(word))
		}
	}
	p.at += n + 2
	return Value{Kind: Enum, Word: upper(word)}, true
}

func (p *parser) typed(depth, end int) (Value, bool) {
	begin := p.at
	for p.at < len(p.data) && isName(p.data[p.at], p.at > begin) {
		p.at++
	}
	v := Value{Kind: Typed, Word: upper(p.data[begin:p.at])}
	p.blank()
	if p.at >= end || p.data[p.at] != '(' {
		return v, p.fail("( is expected after %s", v.Word)
	}
	p.at++
	list, ok := p.list(depth+1, end)
	if ok && len(list) != 1 {
		return v, p.fail("one value is expected inside %s(…), found %d", v.Word, len(list))
	}
	v.List = list
	return v, ok && p.closing()
}

func (p *parser) number() (Value, bool) {
	begin, kind := p.at, Integer
	p.at++
	for p.at < len(p.data) {
		c := p.data[p.at]
		if c == '.' || c == 'E' || c == 'e' {
			kind = Real
		} else if (c < '0' || c > '9') && c != '-' && c != '+' {
			break
		}
		p.at++
	}
	raw := view(p.data[begin:p.at])
	n, err := strconv.ParseFloat(raw, 64)
	if err != nil {
		return Value{}, p.fail("%q is not a number", raw)
	}
	return Value{Kind: kind, Number: n}, true
}

func (p *parser) excerpt() string {
	return string(p.data[p.at:min(p.at+20, len(p.data))])
}

// view looks at bytes of the file as a string without copying; the file's bytes are never changed while it is in use.
func view(b []byte) string { return unsafe.String(unsafe.SliceData(b), len(b)) }

// upper is view, or a copy in upper case where the file wrote lower case.
func upper(b []byte) string {
	for _, c := range b {
		if c >= 'a' && c <= 'z' {
			return string(bytes.ToUpper(b))
		}
	}
	return view(b)
}
