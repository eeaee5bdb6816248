package yamldoc

import (
	"encoding"
	"reflect"
	"strconv"
	"strings"
)

// shape is how a type is written.
type shape uint8

const (
	shapeString  shape = iota
	shapeText          // by its own UnmarshalText and MarshalText
	shapeInt           //
	shapeFloat         //
	shapeBool          //
	shapePlace         // struct of floats: [1.25, 3.4]
	shapeStruct        //
	shapeSlice         //
	shapePointer       //
)

// field is one key of a struct.
type field struct {
	name     string
	doc      string
	ref      string
	enum     []string // values that it may take, nil for any
	min, max *float64 // bounds, nil for none; of quantities in their own steps
	above    *float64 // bound that is not itself allowed
	required bool
	index    int
	plan     *plan
}

// plan is all that reading and writing need to know about a type.
type plan struct {
	typ       reflect.Type
	shape     shape
	elem      *plan // slices and pointers
	fields    []field
	byName    map[string]int
	names     []string // names of the fields, for hints
	enum      []string // values of the type
	patterned bool     // it says by a Pattern how it is written
	short     bool     // a struct that fits on one line as a list item
}

// planner makes the plans of the types that are met. It lives for one call: making them all takes microseconds.
type planner map[reflect.Type]*plan

var (
	unmarshaler = reflect.TypeFor[encoding.TextUnmarshaler]()
	patterner   = reflect.TypeFor[Patterner]()
	valuer      = reflect.TypeFor[interface{ Values() []string }]()
)

func (ps planner) plan(t reflect.Type) *plan {
	if p := ps[t]; p != nil {
		return p
	}
	p := &plan{typ: t}
	ps[t] = p // before the fields: a type may hold itself
	if t.Implements(valuer) {
		p.enum = reflect.Zero(t).Interface().(interface{ Values() []string }).Values()
	}
	p.shape = shapeOf(t)
	p.patterned = t.Implements(patterner)
	switch p.shape {
	case shapeSlice, shapePointer:
		p.elem = ps.plan(t.Elem())
	case shapeStruct:
		ps.fields(p)
	}
	return p
}

func shapeOf(t reflect.Type) shape {
	if t.Kind() != reflect.Pointer && reflect.PointerTo(t).Implements(unmarshaler) {
		return shapeText
	}
	switch t.Kind() {
	case reflect.String:
		return shapeString
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return shapeInt
	case reflect.Float64:
		return shapeFloat
	case reflect.Bool:
		return shapeBool
	case reflect.Slice:
		return shapeSlice
	case reflect.Pointer:
		return shapePointer
	case reflect.Struct:
		if isPlace(t) {
			return shapePlace
		}
		return shapeStruct
	}
	panic("yamldoc: invariant: type " + t.String() + " has no text form")
}

func isPlace(t reflect.Type) bool {
	for i := range t.NumField() {
		if f := t.Field(i); f.Type.Kind() != reflect.Float64 || f.Tag != "" {
			return false
		}
	}
	return t.NumField() > 0
}

func (ps planner) fields(p *plan) {
	p.byName = map[string]int{}
	scalars, id := true, false
	for i := range p.typ.NumField() {
		sf := p.typ.Field(i)
		tag, ok := sf.Tag.Lookup("yaml")
		if !ok || tag == "-" || !sf.IsExported() {
			continue
		}
		name, option, _ := strings.Cut(tag, ",")
		f := field{name: name, doc: sf.Tag.Get("doc"), ref: sf.Tag.Get("ref"), required: option != "omitempty", index: i, plan: ps.plan(sf.Type)}
		f.enum = f.plan.leaf().enum
		if e := sf.Tag.Get("enum"); e != "" {
			f.enum = strings.Split(e, ",")
		}
		f.above = f.bound(sf.Tag.Get("above"))
		f.min, f.max = f.bound(sf.Tag.Get("min")), f.bound(sf.Tag.Get("max"))
		p.byName[name] = len(p.fields)
		p.fields = append(p.fields, f)
		p.names = append(p.names, name)
		scalars = scalars && f.plan.shape < shapePlace
		id = id || name == "id"
	}
	if len(p.fields) > 64 {
		panic("yamldoc: invariant: " + p.typ.String() + " has more than 64 fields")
	}
	p.short = scalars && !id && len(p.fields) <= 7
}

// leaf is the plan of what a list or pointer holds at last.
func (p *plan) leaf() *plan {
	for p.elem != nil {
		p = p.elem
	}
	return p
}

// bound reads a min or max tag; for a quantity it is written as the quantity, or 0.
func (f *field) bound(tag string) *float64 {
	if tag == "" {
		return nil
	}
	v, err := strconv.ParseFloat(tag, 64)
	if err != nil || f.plan.leaf().shape == shapeText && v != 0 {
		q := reflect.New(f.plan.leaf().typ)
		if err := q.Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(tag)); err != nil {
			panic("yamldoc: invariant: bound " + tag + " of " + f.name + " cannot be read")
		}
		v = float64(q.Elem().Int())
	}
	return &v
}
