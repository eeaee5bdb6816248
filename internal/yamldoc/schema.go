package yamldoc

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
)

// Patterner is a type with its own text form that can say by a regular expression (ECMA-262) how it is written. The
// schema of other such types is any text.
type Patterner interface {
	// Pattern returns the expression for values from zero up, or for all values.
	Pattern(notNegative bool) string
}

// Schema writes the JSON Schema (2020-12) of the text form of a type. It accepts what Decode accepts, as far as a schema
// can say it: identities that must exist elsewhere, and what the checks of a package know, are beyond it.
func Schema(v any, title string) []byte {
	t := reflect.Indirect(reflect.ValueOf(v)).Type()
	s := schemer{planner: planner{}, defs: object{}}
	root := s.structure(s.plan(t))
	all := object{
		{"$schema", "https://json-schema.org/draft/2020-12/schema"},
		{"title", title},
	}
	all = append(all, root...)
	all = append(all, pair{"$defs", s.defs})
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(all); err != nil {
		panic("yamldoc: invariant: the schema cannot be written: " + err.Error())
	}
	return b.Bytes()
}

// object is a JSON object that keeps its order.
type object []pair

type pair struct {
	name  string
	value any
}

// MarshalJSON writes the members in their order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, p := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		for j, v := range []any{p.name, p.value} {
			if j > 0 {
				b.WriteByte(':')
			}
			e := json.NewEncoder(&b)
			e.SetEscapeHTML(false)
			if err := e.Encode(v); err != nil {
				return nil, err
			}
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// schemer collects the definitions of structs and places, each by the name of its type.
type schemer struct {
	planner
	defs object
}

func (s *schemer) define(p *plan, make func(*plan) object) object {
	name := p.typ.Name()
	for _, d := range s.defs {
		if d.name == name {
			return object{{"$ref", "#/$defs/" + name}}
		}
	}
	at := len(s.defs)
	s.defs = append(s.defs, pair{name, nil}) // before its fields, so that they stand in the order in which they are met
	s.defs[at].value = make(p)
	return object{{"$ref", "#/$defs/" + name}}
}

func (s *schemer) structure(p *plan) object {
	properties := object{}
	required := []string{}
	for i := range p.fields {
		f := &p.fields[i]
		properties = append(properties, pair{f.name, s.field(f)})
		if f.required {
			required = append(required, f.name)
		}
	}
	o := object{{"type", "object"}, {"additionalProperties", false}}
	if len(required) > 0 {
		o = append(o, pair{"required", required})
	}
	return append(o, pair{"properties", properties})
}

func (s *schemer) field(f *field) object {
	o := object{}
	if f.doc != "" {
		o = append(o, pair{"description", f.doc})
	}
	o = append(o, s.value(f.plan, f)...)
	if f.ref != "" {
		o = append(o, pair{"$comment", "identity of a " + f.ref})
	}
	return o
}

func (s *schemer) value(p *plan, f *field) object {
	switch p.shape {
	case shapePointer:
		return s.value(p.elem, f)
	case shapeSlice:
		return object{{"type", []string{"array", "null"}}, {"items", s.value(p.elem, &field{ref: f.ref, enum: f.enum, min: f.min, max: f.max, above: f.above, plan: p.elem})}}
	case shapeStruct:
		ref := s.define(p, s.structure)
		if f.plan.shape == shapeStruct && !p.needs() { // not through a pointer or a list: it may be left empty
			return object{{"anyOf", []object{ref, {{"type", "null"}}}}}
		}
		return ref
	case shapePlace:
		return s.define(p, func(p *plan) object {
			n := p.typ.NumField()
			return object{{"type", "array"}, {"minItems", n}, {"maxItems", n},
				{"items", object{{"type", "number"}, {"minimum", -maxCoordinate}, {"maximum", maxCoordinate}}}}
		})
	case shapeString:
		return stringSchema(p, f)
	case shapeText:
		o := object{{"type", "string"}}
		if !p.patterned {
			o[0].value = []string{"string", "number"}
			return o
		}
		return append(o, pair{"pattern", p.pattern(f.min != nil && *f.min >= 0)})
	case shapeBool:
		return object{{"type", "boolean"}}
	}
	return numberSchema(p, f)
}

func (p *plan) pattern(notNegative bool) string {
	return reflect.Zero(p.typ).Interface().(Patterner).Pattern(notNegative)
}

// stringSchema takes what a typed reader of the same text may have made of a bare word, such as a number, where any text
// is allowed.
func stringSchema(p *plan, f *field) object {
	if f.enum != nil {
		return object{{"type", "string"}, {"enum", f.enum}}
	}
	if p.patterned {
		return object{{"type", "string"}, {"pattern", p.pattern(false)}}
	}
	if f.required {
		return object{{"type", []string{"string", "number", "boolean"}}, {"minLength", 1}}
	}
	return object{{"type", []string{"string", "number", "boolean", "null"}}}
}

func numberSchema(p *plan, f *field) object {
	o := object{{"type", "number"}}
	if p.shape == shapeInt {
		o[0].value = "integer"
	}
	if f.enum != nil {
		numbers := json.RawMessage(fmt.Sprintf("[%s]", strings.Join(f.enum, ",")))
		return append(o, pair{"enum", numbers})
	}
	for _, b := range []struct {
		name  string
		value *float64
	}{{"minimum", f.min}, {"exclusiveMinimum", f.above}, {"maximum", f.max}} {
		if b.value != nil {
			o = append(o, pair{b.name, *b.value})
		}
	}
	return o
}
