package yamldoc

import (
	"encoding"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"wirewright/internal/problem"
)

// Decode reads a text into the struct that `into` points to. It returns every problem of the text, and leaves `into` as
// it was if there is one. The checks, if any, see the value that was read (a pointer of the type of `into`, without the
// parts that could not be read) and add what is wrong with its meaning; their paths become places. They are left out
// where the text is not well-formed.
func Decode(file string, text []byte, into any, checks ...func(v any) []Issue) problem.List {
	doc, problems := Parse(file, text)
	malformed := len(problems) > 0
	target := reflect.ValueOf(into).Elem()
	fresh := reflect.New(target.Type())
	if len(doc.nodes) > 0 {
		d := decoder{Document: doc, malformed: malformed, at: &field{}}
		d.decode(0, planner{}.plan(target.Type()), fresh.Elem())
		if !malformed {
			doc.place(check(fresh.Interface(), false))
			for _, check := range checks {
				doc.place(check(fresh.Interface()))
			}
		}
	}
	if list := doc.list(); len(list) > 0 {
		return list
	}
	target.Set(fresh.Elem())
	return nil
}

// decoder fills structs from the tree.
type decoder struct {
	*Document
	malformed bool
	entities  []int32 // the mappings that it is in
	at        *field  // of the value in hand
}

// wrong reports a value that is not what was expected, and says which entity it belongs to.
func (d *decoder) wrong(n int32, text, hint string) {
	if !d.full() {
		d.problemNode(n, text, hint, d.entity())
	}
}

// entity is the id of the innermost mapping that has one.
func (d *decoder) entity() string {
	for i := len(d.entities) - 1; i >= 0; i-- {
		if n := d.child(d.entities[i], "id", 64); n >= 0 && d.nodes[n].kind == scalar {
			return d.value(n)
		}
	}
	return ""
}

// child finds the value of a key among the first ones of a mapping, -1 where it is not.
func (d *Document) child(m int32, name string, most int) int32 {
	end := d.nodes[m].next
	for k := m + 1; k < end && most > 0; most-- {
		v := k + 1
		if d.value(k) == name {
			return v
		}
		k = d.nodes[v].next
	}
	return -1
}

func (d *decoder) decode(n int32, p *plan, v reflect.Value) {
	switch p.shape {
	case shapeStruct:
		d.structure(n, p, v)
	case shapeSlice:
		d.slice(n, p, v)
	case shapePlace:
		d.coordinates(n, p, v)
	case shapePointer:
		if d.nodes[n].style == empty {
			d.leftEmpty(n)
			return
		}
		v.Set(reflect.New(p.elem.typ))
		d.decode(n, p.elem, v.Elem())
	default:
		d.scalar(n, p, v)
	}
}

func (d *decoder) leftEmpty(n int32) {
	d.wrong(n, d.at.name+" is left empty", "write its value, or take the line away")
}

// what names a node for a person.
func (d *decoder) what(n int32) string {
	switch x := &d.nodes[n]; {
	case x.kind == mapping:
		return "keys with values"
	case x.kind == sequence:
		return "a list"
	case x.style == empty:
		return "nothing"
	}
	return strconv.Quote(clip(d.value(n)))
}

// clip keeps a message readable when the value is long.
func clip(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	r := []rune(s)
	return string(r[:min(most, len(r))]) + "…"
}

func (d *decoder) scalar(n int32, p *plan, v reflect.Value) {
	x := &d.nodes[n]
	if x.kind != scalar {
		d.wrong(n, fmt.Sprintf("%s: %s is expected, %s was found", d.at.name, p.expected(), d.what(n)), "")
		return
	}
	if x.style == empty && (p.shape != shapeString || d.at.closed(p)) {
		d.leftEmpty(n)
		return
	}
	if p.shape == shapeString {
		if v.SetString(d.value(n)); v.Len() == 0 && d.at.closed(p) {
			d.leftEmpty(n)
		}
		return
	}
	if p.shape == shapeText {
		if err := v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText(d.bytes(n)); err != nil {
			d.wrong(n, d.at.name+": "+err.Error(), "")
		}
		return
	}
	if x.style != plain {
		d.wrong(n, fmt.Sprintf("%s: %s is expected, a text in quotes was found", d.at.name, p.expected()), "take the quotes away")
		return
	}
	d.plainValue(n, p, v)
}

func (d *decoder) plainValue(n int32, p *plan, v reflect.Value) {
	text := d.value(n)
	ok := false
	switch p.shape {
	case shapeInt:
		var i int64
		if i, ok = wholeNumber(text); ok && !v.OverflowInt(i) {
			v.SetInt(i)
		}
	case shapeFloat:
		var f float64
		if f, ok = number(text); ok {
			v.SetFloat(f)
		}
	case shapeBool:
		if ok = text == "true" || text == "false"; ok {
			v.SetBool(text == "true")
		}
	}
	if !ok {
		d.wrong(n, fmt.Sprintf("%s: %s is expected, %s was found", d.at.name, p.expected(), d.what(n)), hintFor(p.shape, text))
	}
}

// closed tells whether the field takes certain texts only, so that an empty one would read as left out.
func (f *field) closed(p *plan) bool {
	return f.enum != nil || f.ref != "" || f.required || p.patterned
}

// expected says what a type takes.
func (p *plan) expected() string {
	switch p.shape {
	case shapeInt:
		return "a whole number"
	case shapeFloat:
		return "a number"
	case shapeBool:
		return "true or false"
	case shapeText:
		return "a quantity with its unit"
	case shapeSlice:
		return "a list"
	case shapeStruct:
		return "keys with values"
	case shapePlace:
		return fmt.Sprintf("a place of %d numbers such as %s", p.typ.NumField(), [...]string{"", "[1.25]", "[1.25, 3.4]", "[1.25, 3.4, 1.05]"}[min(p.typ.NumField(), 3)])
	case shapePointer:
		return p.elem.expected()
	}
	return "a text"
}

func hintFor(s shape, text string) string {
	switch strings.ToLower(text) {
	case "yes", "on", "y":
		if s == shapeBool {
			return "write true"
		}
	case "no", "off", "n":
		if s == shapeBool {
			return "write false"
		}
	}
	if s == shapeFloat && strings.Contains(text, ",") {
		return "write a decimal point"
	}
	if s != shapeBool && len(text) > 1 && text[0] == '0' {
		return "write it without the leading zero"
	}
	return ""
}

// wholeNumber reads decimal digits as JSON writes them, so that no reader can take them for something else.
func wholeNumber(s string) (int64, bool) {
	digits := strings.TrimPrefix(s, "-")
	if !allDigits(digits) || len(digits) > 1 && digits[0] == '0' {
		return 0, false
	}
	v, err := strconv.ParseInt(s, 10, 64)
	return v, err == nil
}

func allDigits(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

// number reads a finite number as JSON writes it.
func number(s string) (float64, bool) {
	rest := strings.TrimPrefix(s, "-")
	whole := rest
	if n := strings.IndexAny(rest, ".eE"); n >= 0 {
		whole = rest[:n]
	}
	if !allDigits(whole) || len(whole) > 1 && whole[0] == '0' || strings.ContainsAny(rest[len(whole):], "_xXpPiInN") {
		return 0, false
	}
	if fraction, ok := strings.CutPrefix(rest[len(whole):], "."); ok && (fraction == "" || fraction[0] < '0' || fraction[0] > '9') {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && !math.IsInf(v, 0)
}

func (d *decoder) slice(n int32, p *plan, v reflect.Value) {
	x := &d.nodes[n]
	if x.style == empty {
		return
	}
	if x.kind != sequence {
		d.wrong(n, fmt.Sprintf("%s: a list is expected, %s was found", d.at.name, d.what(n)), "begin each item with - and a space")
		return
	}
	count := 0
	for c := n + 1; c < x.next; c = d.nodes[c].next {
		count++
	}
	if count == 0 {
		return
	}
	v.Set(reflect.MakeSlice(p.typ, count, count))
	i := 0
	for c := n + 1; c < x.next; c = d.nodes[c].next {
		d.decode(c, p.elem, v.Index(i))
		i++
	}
}

func (d *decoder) coordinates(n int32, p *plan, v reflect.Value) {
	x := &d.nodes[n]
	i, ok := 0, x.kind == sequence
	for c := n + 1; ok && c < x.next; c = d.nodes[c].next {
		var f float64
		if ok = i < v.NumField() && d.nodes[c].kind == scalar && d.nodes[c].style == plain; ok {
			f, ok = number(d.value(c))
		}
		if !ok && i < v.NumField() && d.nodes[c].kind == scalar {
			d.broken[n] = true
			d.wrong(c, fmt.Sprintf("%s: a number is expected, %s was found", d.at.name, d.what(c)), hintFor(shapeFloat, d.value(c)))
			return
		}
		if ok {
			v.Field(i).SetFloat(f + 0) // -0 is 0
		}
		i++
	}
	if !ok || i != v.NumField() {
		d.wrong(n, fmt.Sprintf("%s: %s is expected", d.at.name, p.expected()), "")
	}
}

func (d *decoder) structure(n int32, p *plan, v reflect.Value) {
	x := &d.nodes[n]
	if x.style == empty && !p.needs() {
		return
	}
	if x.kind != mapping {
		d.wrong(n, fmt.Sprintf("%s: keys with values are expected, %s was found", d.fieldOr("the text"), d.what(n)), "")
		return
	}
	d.entities = append(d.entities, n)
	var seen uint64
	next := 0 // the field that probably comes next
	for k := n + 1; k < x.next; {
		at := k + 1
		i := p.find(d.value(k), next)
		switch {
		case i < 0:
			seen |= d.unknownKey(n, k, p)
		case seen&(1<<i) != 0:
			d.duplicateKey(n, k, p.fields[i].name)
		default:
			seen |= 1 << i
			next = i + 1
			d.known(at, &p.fields[i], v.Field(p.fields[i].index))
		}
		k = d.nodes[at].next
	}
	d.missing(n, p, seen)
	d.entities = d.entities[:len(d.entities)-1]
}

// known decodes the value of a field. A number that is given as 0 though the field has no such value would read as left
// out, and is refused.
func (d *decoder) known(n int32, f *field, v reflect.Value) {
	d.at = f
	d.decode(n, f.plan, v)
	if (f.above != nil || f.enum != nil && v.Kind() == reflect.Int) && v.IsZero() && !d.broken[n] {
		d.at = f
		d.wrong(n, fmt.Sprintf("%s: %s is no value for it", f.name, d.value(n)), "take the line away where the value is not known")
	}
}

func (d *decoder) fieldOr(other string) string {
	if d.at.name == "" {
		return other
	}
	return d.at.name
}

// needs tells whether a struct has a key that must be there.
func (p *plan) needs() bool {
	for i := range p.fields {
		if p.fields[i].required {
			return true
		}
	}
	return false
}

// find returns the index of a field by name, -1 if there is none; guess is tried first.
func (p *plan) find(name string, guess int) int {
	for i := guess; i < len(p.fields) && i < guess+3; i++ {
		if p.fields[i].name == name {
			return i
		}
	}
	if i, ok := p.byName[name]; ok {
		return i
	}
	return -1
}

// unknownKey reports a key that the struct does not have; it returns the bit of the field that was probably meant, so
// that this is not reported as missing too.
func (d *decoder) unknownKey(n, k int32, p *plan) uint64 {
	d.broken[n] = true
	if d.full() {
		return 0
	}
	name := d.value(k)
	near := problem.Nearest(name, p.names)
	hint := "known here: " + strings.Join(p.names, ", ")
	if near != "" {
		hint = "did you mean " + near + "?"
	}
	d.wrong(k, fmt.Sprintf("key %q is not known here", clip(name)), hint)
	if near == "" {
		return 0
	}
	return 1 << p.byName[near]
}

func (d *decoder) duplicateKey(n, k int32, name string) {
	if d.full() {
		return
	}
	first := n + 1
	for d.value(first) != name {
		first = d.nodes[first+1].next
	}
	d.wrong(k, fmt.Sprintf("key %s stands here for the second time", name), fmt.Sprintf("it stands in line %d already", d.nodes[first].line))
}

func (d *decoder) missing(n int32, p *plan, seen uint64) {
	if d.malformed {
		return
	}
	for i := range p.fields {
		if f := &p.fields[i]; f.required && seen&(1<<i) == 0 {
			d.broken[n] = true
			d.wrong(n, fmt.Sprintf("%s is missing", f.name), f.hint())
		}
	}
}

// hint says what a field holds.
func (f *field) hint() string {
	switch {
	case f.enum != nil:
		return "one of " + strings.Join(f.enum, ", ")
	case f.doc != "":
		return f.doc
	}
	return f.plan.expected()
}
