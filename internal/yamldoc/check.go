package yamldoc

import (
	"encoding"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"wirewright/internal/problem"
)

// Path leads from the value as a whole to a part of it: names of keys (string) and numbers of list items (int, from 0).
type Path []any

// String prints the path as points[3].room.
func (p Path) String() string {
	var b strings.Builder
	for _, step := range p {
		switch s := step.(type) {
		case string:
			if b.Len() > 0 {
				b.WriteByte('.')
			}
			b.WriteString(s)
		case int:
			fmt.Fprintf(&b, "[%d]", s)
		}
	}
	return b.String()
}

// name is the last key of a path and a colon, "" where there is none.
func (p Path) name() string {
	for _, step := range slices.Backward(p) {
		if s, ok := step.(string); ok {
			return s + ": "
		}
	}
	return ""
}

// item tells whether a path ends with a list item.
func (p Path) item() bool {
	if len(p) == 0 {
		return false
	}
	_, item := p[len(p)-1].(int)
	return item
}

// Issue is something wrong with the meaning of a value.
type Issue struct {
	Path   Path   // the part that is wrong
	Text   string // what was found and what was expected, of that part
	Hint   string // what to do
	Entity string // id of the entity concerned, if there is one
	Notes  []IssueNote
}

// Note adds a second place.
func (is *Issue) Note(path Path, text string) {
	is.Notes = append(is.Notes, IssueNote{path, text})
}

// IssueNote points at a second part of the value that belongs to an issue.
type IssueNote struct {
	Path Path
	Text string
}

// maxCoordinate bounds a coordinate, in metres.
const maxCoordinate = 1e6

// Visit is one scalar of a value on a walk over it; it holds until the visit returns.
type Visit struct {
	Ref   string        // kind of the entity whose identity it is, from its tag; empty if it is none
	Name  string        // its key
	Value reflect.Value // not zero, or required
	walk  *walker
	field *field
}

// Path leads to the scalar.
func (v *Visit) Path() Path {
	p := make(Path, len(v.walk.steps))
	for i, s := range v.walk.steps {
		p[i] = s.name
		if s.name == "" {
			p[i] = s.index
		}
	}
	return p
}

// Entity is the id of the innermost struct that has one.
func (v *Visit) Entity() string {
	for i := len(v.walk.structs) - 1; i >= 0; i-- {
		s := v.walk.structs[i]
		if k, ok := s.plan.byName["id"]; ok && s.value.Field(s.plan.fields[k].index).Kind() == reflect.String {
			return s.value.Field(s.plan.fields[k].index).String()
		}
	}
	return ""
}

type step struct {
	name  string
	index int
}

type visited struct {
	plan  *plan
	value reflect.Value
}

type walker struct {
	visit   func(*Visit)
	at      Visit // handed to visit, one after the other
	steps   []step
	structs []visited
}

// Walk visits every scalar and place of a value that is written (or should be), in the order of its text form.
func Walk(v any, visit func(*Visit)) {
	w := walker{visit: visit}
	r := reflect.Indirect(reflect.ValueOf(v))
	w.walk(r, planner{}.plan(r.Type()), &field{})
}

func (w *walker) walk(v reflect.Value, p *plan, f *field) {
	switch p.shape {
	case shapeStruct:
		w.structs = append(w.structs, visited{p, v})
		for i := range p.fields {
			f := &p.fields[i]
			fv := v.Field(f.index)
			if fv.IsZero() && (!f.required || f.plan.shape == shapeSlice) {
				continue
			}
			w.steps = append(w.steps, step{name: f.name})
			w.walk(fv, f.plan, f)
			w.steps = w.steps[:len(w.steps)-1]
		}
		w.structs = w.structs[:len(w.structs)-1]
	case shapeSlice:
		for i := range v.Len() {
			w.steps = append(w.steps, step{index: i})
			w.walk(v.Index(i), p.elem, f)
			w.steps = w.steps[:len(w.steps)-1]
		}
	case shapePointer:
		if !v.IsNil() {
			w.walk(v.Elem(), p.elem, f)
		}
	default:
		w.at = Visit{Ref: f.ref, Name: f.name, Value: v, walk: w, field: f}
		w.visit(&w.at)
	}
}

// Check looks at what the tags and types say about values: lists of values, bounds, texts that must not be empty,
// numbers that are none, quantities outside of their range. Call it for a value that was built in code; Decode has done
// it.
func Check(v any) []Issue { return check(v, true) }

// check leaves out what cannot be wrong with a value that was read.
func check(v any, built bool) []Issue {
	var issues []Issue
	Walk(v, func(at *Visit) {
		text, hint := at.wrong()
		if text == "" && built && at.field.plan.leaf().shape == shapeText {
			text = unreadable(at.Value)
		}
		if text != "" {
			issues = append(issues, Issue{Path: at.Path(), Text: text, Hint: hint, Entity: at.Entity()})
		}
	})
	return issues
}

// unreadable says why a quantity, as it prints, would not be read back, "" if it would.
func unreadable(v reflect.Value) string {
	back := reflect.New(v.Type())
	if err := back.Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(textOf(v))); err != nil {
		return err.Error()
	}
	return ""
}

// wrong says what is wrong with one scalar, "" if nothing is.
func (v *Visit) wrong() (text, hint string) {
	switch f := v.field; v.Value.Kind() {
	case reflect.String:
		return f.wrongText(v.Value.String())
	case reflect.Float64:
		if x := v.Value.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
			return "a finite number is expected", ""
		}
		return f.outside(v.Value.Float(), v.Value)
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		if f.enum != nil && v.Value.Int() != 0 && !slices.Contains(f.enum, fmt.Sprint(v.Value.Int())) {
			return fmt.Sprintf("%d is not one of %s", v.Value.Int(), strings.Join(f.enum, ", ")), ""
		}
		return f.outside(float64(v.Value.Int()), v.Value)
	case reflect.Struct:
		for i := range v.Value.NumField() {
			if x := v.Value.Field(i); x.Kind() == reflect.Float64 && !(math.Abs(x.Float()) <= maxCoordinate) {
				return fmt.Sprintf("coordinate %g is not within ±%g m", x.Float(), float64(maxCoordinate)), "coordinates are in metres"
			}
		}
	}
	return "", ""
}

func (f *field) wrongText(s string) (text, hint string) {
	switch {
	case s == "" && f.required:
		return "it must not be empty", f.hint()
	case !utf8.ValidString(s):
		return "the text is not UTF-8", ""
	case f.enum == nil:
		return "", ""
	}
	if slices.Contains(f.enum, s) {
		return "", ""
	}
	if near := problem.Nearest(strings.ToLower(s), f.enum); near != "" {
		hint = "did you mean " + near + "?"
	}
	return fmt.Sprintf("%q is not one of %s", clip(s), strings.Join(f.enum, ", ")), hint
}

func (f *field) outside(x float64, v reflect.Value) (text, hint string) {
	switch {
	case f.min != nil && x < *f.min:
		return fmt.Sprintf("%v is below %s", v.Interface(), f.print(*f.min)), ""
	case f.above != nil && x <= *f.above && (x != 0 || f.required):
		return fmt.Sprintf("%v is not above %s", v.Interface(), f.print(*f.above)), ""
	case f.max != nil && x > *f.max:
		return fmt.Sprintf("%v is above %s", v.Interface(), f.print(*f.max)), ""
	}
	return "", ""
}

// print writes a bound as the field's values are written.
func (f *field) print(bound float64) string {
	p := f.plan.leaf()
	if p.shape != shapeText {
		return fmt.Sprintf("%g", bound)
	}
	return fmt.Sprint(reflect.ValueOf(int64(bound)).Convert(p.typ).Interface())
}

// place turns issues into problems with line and column. An issue about a part that could not be read is left out: its
// own problem has been reported.
func (d *Document) place(issues []Issue) {
	for i, is := range issues {
		if len(d.problems) >= MaxProblems { // finding the places of the rest would be for nothing
			d.dropped += len(issues) - i
			return
		}
		n, key := d.resolve(is.Path)
		if d.broken[n] {
			continue
		}
		p := problem.Problem{Text: is.Text, Hint: is.Hint, Entity: is.Entity}
		if !is.Path.item() || d.nodes[n].kind != mapping { // an entity of a list is seen by itself
			p.Text = is.Path.name() + is.Text
		}
		p.Place = d.placeOf(n, key)
		for _, note := range is.Notes {
			p.Notes = append(p.Notes, problem.Note{Place: d.placeOf(d.resolve(note.Path)), Text: note.Text})
		}
		d.report(p)
	}
}

// placeOf is where a person looks for a part: at a scalar or list item itself, at a collection's key.
func (d *Document) placeOf(n, key int32) problem.Place {
	if key >= 0 && d.nodes[n].kind != scalar {
		n = key
	}
	return problem.Place{File: d.file, Line: int(d.nodes[n].line), Column: d.column(d.from(n))}
}

// resolve finds the node of a path, or the innermost one on the way that is there, and its key (-1 if it has none).
func (d *Document) resolve(path Path) (n, key int32) {
	key = -1
	for _, s := range path {
		next := int32(-1)
		switch s := s.(type) {
		case string:
			if d.nodes[n].kind == mapping {
				next = d.child(n, s, MaxValues)
			}
		case int:
			if d.nodes[n].kind == sequence {
				next = d.nth(n, s)
			}
		}
		if next < 0 {
			return n, key
		}
		n, key = next, -1
		if _, named := s.(string); named {
			key = n - 1
		}
	}
	return n, key
}

func (d *Document) nth(n int32, i int) int32 {
	for c := n + 1; c < d.nodes[n].next; c = d.nodes[c].next {
		if i == 0 {
			return c
		}
		i--
	}
	return -1
}
