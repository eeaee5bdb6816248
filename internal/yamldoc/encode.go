package yamldoc

import (
	"encoding"
	"math"
	"reflect"
	"strconv"
	"strings"
)

// maxLine is the width up to which a short struct or list is written on one line, in bytes.
const maxLine = 100

// Encode writes the canonical text of a struct: fields in their order, empty ones left out, texts in quotes only where
// they must be, texts of several lines as they stand, short lists on one line.
func Encode(v any) []byte {
	r := reflect.Indirect(reflect.ValueOf(v))
	e := encoder{}
	p := planner{}.plan(r.Type())
	if p.shape != shapeStruct || vacant(r, p) && !p.needs() {
		return append(e.appendFlow(nil, r, p, yamlFlow), '\n')
	}
	e.fields(r, p, 0)
	return e.out
}

// encoder writes block style; the column is that of the collection in hand.
type encoder struct {
	out []byte
}

// vacant tells whether a value is left out where its field may be: nothing is in it.
func vacant(v reflect.Value, p *plan) bool {
	switch p.shape {
	case shapeSlice:
		return v.Len() == 0
	case shapeStruct:
		for i := range p.fields {
			if f := &p.fields[i]; !vacant(v.Field(f.index), f.plan) {
				return false
			}
		}
		return true
	}
	return v.IsZero()
}

// fields writes the fields of a struct, a line or block each; the first one is not indented.
func (e *encoder) fields(v reflect.Value, p *plan, col int) {
	first := true
	for i := range p.fields {
		f := &p.fields[i]
		fv := v.Field(f.index)
		if !f.required && vacant(fv, f.plan) {
			continue
		}
		if !first {
			e.spaces(col)
		}
		first = false
		e.out = append(e.out, f.name...)
		e.out = append(e.out, ':')
		e.value(fv, f.plan, col, false)
	}
}

func (e *encoder) spaces(n int) {
	for range n {
		e.out = append(e.out, ' ')
	}
}

// value writes what stands behind a colon or hyphen, and the line end.
func (e *encoder) value(v reflect.Value, p *plan, col int, item bool) {
	switch p.shape {
	case shapePointer:
		if p.elem.short && e.oneLine(v.Elem(), p.elem, col) {
			return
		}
		e.value(v.Elem(), p.elem, col, false)
		return
	case shapeString:
		if s := v.String(); literalFits(s) {
			e.literal(s, col+2)
			return
		}
	case shapeStruct:
		if !(item && p.short) || !e.oneLine(v, p, col) {
			e.structure(v, p, col, item)
		}
		return
	case shapeSlice:
		if !p.elem.inLine() || !e.oneLine(v, p, col) {
			e.list(v, p, col)
		}
		return
	}
	e.out = append(e.out, ' ')
	e.out = e.appendFlow(e.out, v, p, yamlBlock)
	e.out = append(e.out, '\n')
}

// inLine tells whether items of this type may stand together on one line.
func (p *plan) inLine() bool {
	return p.shape < shapeStruct || p.shape == shapeSlice && p.elem.shape < shapeStruct
}

// oneLine writes a collection in flow style if it fits on the line.
func (e *encoder) oneLine(v reflect.Value, p *plan, col int) bool {
	mark := len(e.out)
	e.out = append(e.out, ' ')
	e.out = e.appendFlow(e.out, v, p, yamlFlow)
	start := strings.LastIndexByte(string(e.out[max(0, mark-maxLine):mark]), '\n')
	before := min(mark, maxLine) - 1 - start
	if len(e.out)-mark+before > maxLine {
		e.out = e.out[:mark]
		return false
	}
	e.out = append(e.out, '\n')
	return true
}

func (e *encoder) structure(v reflect.Value, p *plan, col int, item bool) {
	if vacant(v, p) && !p.needs() {
		e.out = append(e.out, " {}\n"...)
		return
	}
	if item {
		e.out = append(e.out, ' ')
		e.fields(v, p, col+2)
		return
	}
	e.out = append(e.out, '\n')
	e.spaces(col + 2)
	e.fields(v, p, col+2)
}

func (e *encoder) list(v reflect.Value, p *plan, col int) {
	if v.Len() == 0 {
		e.out = append(e.out, " []\n"...)
		return
	}
	e.out = append(e.out, '\n')
	for i := range v.Len() {
		e.spaces(col + 2)
		e.out = append(e.out, '-')
		e.value(v.Index(i), p.elem, col+2, true)
	}
}

// literal writes a text of several lines as a literal block.
func (e *encoder) literal(s string, col int) {
	e.out = append(e.out, ' ', '|')
	if s[0] == ' ' || s[0] == '\n' || s[0] == '\t' {
		e.out = append(e.out, '2')
	}
	body := strings.TrimSuffix(s, "\n")
	switch {
	case body == s:
		e.out = append(e.out, '-')
	case strings.HasSuffix(body, "\n"):
		e.out = append(e.out, '+')
	}
	e.out = append(e.out, '\n')
	for _, line := range strings.Split(body, "\n") {
		if line != "" {
			e.spaces(col)
			e.out = append(e.out, line...)
		}
		e.out = append(e.out, '\n')
	}
}

// manner is how a value is written on one line.
type manner uint8

const (
	yamlBlock manner = iota // the rest of a line
	yamlFlow                // within brackets
	asJSON                  // as JSON
)

// appendFlow writes a value on one line.
func (e *encoder) appendFlow(b []byte, v reflect.Value, p *plan, m manner) []byte {
	switch p.shape {
	case shapeString:
		return appendText(b, v.String(), m)
	case shapeText:
		return appendText(b, textOf(v), m)
	case shapeInt:
		return strconv.AppendInt(b, v.Int(), 10)
	case shapeFloat:
		return appendFloat(b, v.Float())
	case shapeBool:
		return strconv.AppendBool(b, v.Bool())
	case shapePointer:
		if v.IsNil() {
			return append(b, "null"...)
		}
		return e.appendFlow(b, v.Elem(), p.elem, m)
	case shapePlace, shapeSlice:
		return e.appendList(b, v, p, m)
	}
	return e.appendMap(b, v, p, max(m, yamlFlow))
}

func (e *encoder) appendList(b []byte, v reflect.Value, p *plan, m manner) []byte {
	b = append(b, '[')
	n := v.NumField
	if p.shape == shapeSlice {
		n = v.Len
	}
	for i := range n() {
		if i > 0 {
			b = append(b, ", "...)
		}
		if p.shape == shapeSlice {
			b = e.appendFlow(b, v.Index(i), p.elem, max(m, yamlFlow))
		} else {
			b = appendFloat(b, v.Field(i).Float())
		}
	}
	return append(b, ']')
}

func (e *encoder) appendMap(b []byte, v reflect.Value, p *plan, m manner) []byte {
	b = append(b, '{')
	first := true
	for i := range p.fields {
		f := &p.fields[i]
		fv := v.Field(f.index)
		if !f.required && vacant(fv, f.plan) {
			continue
		}
		if !first {
			b = append(b, ", "...)
		}
		first = false
		b = appendText(b, f.name, m)
		b = append(b, ": "...)
		b = e.appendFlow(b, fv, f.plan, m)
	}
	return append(b, '}')
}

// textOf prints a value of a type with its own text form; a bug in its MarshalText shows as an empty text, which is
// refused when it is read.
func textOf(v reflect.Value) string {
	m, ok := v.Interface().(encoding.TextMarshaler)
	if !ok {
		return ""
	}
	b, err := m.MarshalText()
	if err != nil {
		return ""
	}
	return string(b)
}

// appendFloat writes the shortest decimal that reads back equal. What is no number is refused by Check; it is written as
// null here, which no reader of ours accepts.
func appendFloat(b []byte, f float64) []byte {
	switch a := math.Abs(f); {
	case math.IsNaN(f) || math.IsInf(f, 0):
		return append(b, "null"...)
	case a == 0:
		return append(b, '0')
	case a < 1e-9 || a >= 1e15:
		return strconv.AppendFloat(b, f, 'e', -1, 64)
	}
	return strconv.AppendFloat(b, f, 'f', -1, 64)
}

// JSON writes a value on one line as JSON, with the names and forms of the YAML text; Decode reads it too.
func JSON(v any) []byte {
	r := reflect.Indirect(reflect.ValueOf(v))
	e := encoder{}
	return e.appendFlow(nil, r, planner{}.plan(r.Type()), asJSON)
}

// Differing names the fields in which two structs of one type are written differently, in their order; nil if the two are
// not of one type.
func Differing(a, b any) []string {
	x, y := reflect.Indirect(reflect.ValueOf(a)), reflect.Indirect(reflect.ValueOf(b))
	if x.Type() != y.Type() {
		return nil
	}
	p := planner{}.plan(x.Type())
	e := encoder{}
	var names []string
	for i := range p.fields {
		f := &p.fields[i]
		one := e.appendFlow(nil, x.Field(f.index), f.plan, asJSON)
		if other := e.appendFlow(nil, y.Field(f.index), f.plan, asJSON); string(one) != string(other) {
			names = append(names, f.name)
		}
	}
	return names
}
