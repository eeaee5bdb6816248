package house_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	yaml "go.yaml.in/yaml/v4"
	"pgregory.net/rapid"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/internal/yamldoc"
)

var rewrite = flag.Bool("rewrite", false, "rewrite the files in schema/ and the golden files")

// published are the schemas that stand in the repository, made from the types.
var published = []struct {
	file, title string
	of          any
}{
	{"house.schema.json", "wirewright house 1: one house in its text form", house.House{}},
	{"catalogue.schema.json", "wirewright catalogue 1: module types, cables and materials in their text form", catalogue.Catalogue{}},
}

func TestPublishedSchemasAreCurrent(t *testing.T) {
	for _, p := range published {
		path := filepath.Join("..", "schema", p.file)
		want := yamldoc.Schema(p.of, p.title)
		if *rewrite {
			if err := os.WriteFile(path, want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(path)
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("schema/%s is not current (%v): go test ./house -run Schemas -rewrite", p.file, err)
		}
	}
}

// houseSchema compiles the published schema with a validator that is not ours; compiling checks it against the
// metaschema of JSON Schema 2020-12.
func houseSchema(t testing.TB, file string) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	c.AssertFormat()
	s, err := c.Compile(filepath.Join("..", "schema", file))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// typed reads a text as an editor with a general YAML reader does: bare words become numbers and truth values.
func typed(text []byte) (any, error) {
	var v any
	if err := yaml.Load(text, &v); err != nil {
		return nil, err
	}
	return plainMaps(v), nil
}

// plainMaps turns what the YAML reader makes into what JSON has.
func plainMaps(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for k := range v {
			v[k] = plainMaps(v[k])
		}
	case map[any]any:
		m := map[string]any{}
		for k, x := range v {
			m[strings.TrimSpace(yamlKey(k))] = plainMaps(x)
		}
		return m
	case []any:
		for i := range v {
			v[i] = plainMaps(v[i])
		}
	case interface{ Format(string) string }: // a date, which JSON has as a text
		return v.Format("2006-01-02")
	}
	return v
}

func yamlKey(k any) string {
	if s, ok := k.(string); ok {
		return s
	}
	return "not a text"
}

// TestSchemaAcceptsWhatReadAccepts holds the schema against an outside validator and an outside YAML reader.
func TestSchemaAcceptsWhatReadAccepts(t *testing.T) {
	schema := houseSchema(t, "house.schema.json")
	rapid.Check(t, func(t *rapid.T) {
		text := house.Write(randomHouse(t))
		v, err := typed(text)
		if err != nil {
			t.Fatalf("the outside reader says %v of\n%s", err, text)
		}
		if err := schema.Validate(v); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
	})
	for _, text := range goodTexts {
		v, err := typed([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(v); err != nil {
			t.Errorf("%v\n%s", err, text)
		}
	}
}

// goodTexts are written by hand as people write: Read accepts them, and so must the schema.
var goodTexts = []string{
	"format: wirewright house 1\nsite:\n",
	"format: wirewright house 1\nsite: {}\npoints:\nrooms: []\n",
	`
format: wirewright house 1   # the edition
title: 1234
site:
  latitude: 48.2°
  supply: {voltage: 230V, phases: 3, earthing: TN-C-S, loop: "0,35 Ω", main: 35 A}
storeys:
- id: ground
  title: no
  elevation: 0 m
rooms:
- id: küche
  storey: ground
  outline: [[0, 0], [4, 0],
            [4, 3.5]]
points:
- {id: küche.keys, kind: keypad, room: küche, keys: [On, Off, 3, 06:30]}
- id: küche.lamp
  kind: lamp
  at: [1, -2.5, 1e1]
  load: {category: led, power: 1 000 W, factor: 0.9}
  note: >-
    folded
    text
`,
}

func TestGoodTextsAreRead(t *testing.T) {
	for _, text := range goodTexts {
		if _, err := house.Read("", []byte(text)); err != nil {
			t.Errorf("%v\n%s", err, text)
		}
	}
}

// TestSchemaRefusesWhatReadRefuses: every mistake here is one that a schema can know.
func TestSchemaRefusesWhatReadRefuses(t *testing.T) {
	schema := houseSchema(t, "house.schema.json")
	for _, c := range []struct{ name, text string }{
		{"no format", "site: {}"},
		{"other edition", "format: wirewright house 9\nsite: {}"},
		{"no site", "format: wirewright house 1"},
		{"unknown key", good("roms: []")},
		{"unknown key within", good("points: [{id: a, kind: lamp, colour: red}]")},
		{"kind", good("points: [{id: a, kind: lmap}]")},
		{"no kind", good("points: [{id: a}]")},
		{"no id", good("points: [{kind: lamp}]")},
		{"capital in id", good("points: [{id: Hall, kind: lamp}]")},
		{"number as id", good("points: [{id: 12, kind: lamp}]")},
		{"id with a blank", good("points: [{id: hall lamp, kind: lamp}]")},
		{"list for a mapping", good("network: []")},
		{"mapping for a list", good("points: {id: a, kind: lamp}")},
		{"two coordinates for three", good("points: [{id: a, kind: lamp, at: [1, 2]}]")},
		{"text as coordinate", good("points: [{id: a, kind: lamp, at: [1, 2, x]}]")},
		{"coordinate out of range", good("points: [{id: a, kind: lamp, at: [1, 2, 1e9]}]")},
		{"unit missing", good("points: [{id: a, kind: lamp, load: {category: led, power: 60}}]")},
		{"wrong unit", good("points: [{id: a, kind: lamp, load: {category: led, power: 60 A}}]")},
		{"negative power", good("points: [{id: a, kind: lamp, load: {category: led, power: -60 W}}]")},
		{"power factor", good("points: [{id: a, kind: lamp, load: {category: led, factor: 1.5}}]")},
		{"power factor zero", good("points: [{id: a, kind: lamp, load: {category: led, factor: 0}}]")},
		{"quoted number", good("boards: [{id: a, rows: \"4\"}]")},
		{"broken number", good("boards: [{id: a, rows: 4.5}]")},
		{"too many", good("boards: [{id: a, rows: 4000}]")},
		{"truth value", good("points: [{id: a, kind: lamp, fitted: yes please}]")},
		{"phases", "format: wirewright house 1\nsite: {supply: {phases: 2}}"},
		{"earthing", "format: wirewright house 1\nsite: {supply: {earthing: TN}}"},
		{"empty load", good("points: [{id: a, kind: lamp, load: }]")},
		{"empty kind", good("points: [{id: a, kind: }]")},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := house.Read("", []byte(c.text)); err == nil {
				t.Error("Read accepts it")
			}
			v, err := typed([]byte(c.text))
			if err != nil {
				t.Fatal(err)
			}
			if schema.Validate(v) == nil {
				t.Error("the schema accepts it")
			}
		})
	}
}

func good(more string) string { return "format: wirewright house 1\nsite: {}\n" + more }

// TestSchemaOfTheCatalogue holds the published schema against the built-in catalogue.
func TestSchemaOfTheCatalogue(t *testing.T) {
	schema := houseSchema(t, "catalogue.schema.json")
	all, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	v, err := typed(catalogue.Write(all))
	if err != nil {
		t.Fatal(err)
	}
	if err := schema.Validate(v); err != nil {
		t.Error(err)
	}
}
