package main

import (
	"encoding/json"
	"io"
	"reflect"

	"wirewright/job"
)

// answer prints a report: lines for people, or the value as JSON.
func (s *streams) answer(report job.Report) error {
	if s.json {
		return s.answerJSON(report)
	}
	s.progressDone()
	for _, l := range report.Lines() {
		s.say(s.severity(l))
	}
	return nil
}

// answerJSON prints a value as JSON.
func (s *streams) answerJSON(v any) error {
	s.progressDone()
	return writeJSON(s.out, v)
}

// answerText prints a text as it is, or with its name as the one member of a JSON object.
func (s *streams) answerText(name, text string) error {
	if s.json {
		return s.answerJSON(map[string]string{name: text})
	}
	return s.text(text)
}

// writeJSON writes a value for machines. A list without entries is written as one, never as null, so that whoever reads
// it may walk through it without asking.
func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(listed(reflect.ValueOf(v)).Interface())
}

// listed copies a value with an empty list in the place of each nil one. Values that write themselves are left as they
// are.
func listed(v reflect.Value) reflect.Value {
	if !v.IsValid() {
		return v
	}
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	if _, itself := v.Interface().(json.Marshaler); itself {
		return out
	}
	switch v.Kind() {
	case reflect.Interface, reflect.Pointer:
		listedInto(out, v)
	case reflect.Slice:
		out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
		for i := range v.Len() {
			out.Index(i).Set(listed(v.Index(i)))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && f.Tag.Get("json") != "-" {
				out.Field(i).Set(listed(v.Field(i)))
			}
		}
	}
	return out
}

// listedInto does so for what an interface or a pointer holds; nil stays nil.
func listedInto(out, v reflect.Value) {
	if v.IsNil() {
		return
	}
	held := listed(v.Elem())
	if v.Kind() == reflect.Pointer {
		p := reflect.New(held.Type())
		p.Elem().Set(held)
		held = p
	}
	out.Set(held)
}
