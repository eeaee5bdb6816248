package yamldoc

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	yaml "go.yaml.in/yaml/v4"
	"pgregory.net/rapid"
)

func TestEncodeHasOneForm(t *testing.T) {
	twin := grams(0)
	v := sample{ID: "a", Kind: "green", Side: "left", Phases: 3, Count: 7, Factor: 0.5, On: true, Weight: 5, Twin: &twin, At: &spot{1.25, -3},
		Ring: []spot{{0, math.Copysign(0, -1)}, {1e-12, 0.1}, {1e6, 2}}, Rings: [][]spot{{{0, 0}, {1, 0}}, {{2, 2}}}, Words: []string{"one", "yes", "a, b", "c: d"},
		Parts: []part{{Name: "x", Size: 1}, {Name: strings.Repeat("long ", 20) + "end"}, {}},
		Inner: inner{List: []string{strings.Repeat("x", 60), strings.Repeat("y", 60)}}, Deep: &sample{ID: "b", Note: "one\n  two\n"},
		Many: []sample{{ID: "c", Inner: inner{Title: " t"}}, {ID: "", Note: "x"}}, Note: "\nlast\n\n"}
	want := `id: a
kind: green
side: left
phases: 3
count: 7
factor: 0.5
on: true
weight: 5 g
twin: 0 g
at: [1.25, -3]
ring: [[0, 0], [1e-12, 0.1], [1000000, 2]]
rings: [[[0, 0], [1, 0]], [[2, 2]]]
words: [one, "yes", "a, b", "c: d"]
parts:
  - {name: x, size: 1}
  - name: long long long long long long long long long long long long long long long long long long long long end
  - {name: ""}
inner:
  list:
    - xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx
    - yyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyy
deep:
  id: b
  note: |
    one
      two
many:
  - id: c
    inner:
      title: " t"
  - id: ""
    note: x
note: |2+

  last

`
	if got := string(Encode(&v)); got != want {
		t.Errorf("got\n%s", got)
	}
}

// TestTextsComeBackFromEveryReader: a text in any position means itself to our reader and, as a text, to an outside one;
// its JSON form does to encoding/json.
func TestTextsComeBackFromEveryReader(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, s string) {
		v := sample{ID: "x" + s, Note: s, Words: []string{s, "b"}, Parts: []part{{Name: "n" + s, Note: s}}, Inner: inner{Title: s, List: []string{s}}}
		text := Encode(&v)
		var back sample
		if problems := Decode("", text, &back); problems != nil || !reflect.DeepEqual(v, back) {
			t.Fatalf("%q: %v\n%s", s, problems, text)
		}
		var peer struct {
			Note  any
			Words []any
			Inner struct{ Title, List any }
			Parts []map[string]any
		}
		if err := yaml.Load(text, &peer); err != nil {
			t.Fatalf("the peer says %v of\n%s", err, text)
		}
		if s != "" && (peer.Note != s || peer.Inner.Title != s || peer.Parts[0]["note"] != s) || peer.Words[0] != s {
			t.Fatalf("%q is %#v to the peer\n%s", s, peer, text)
		}
		line := JSON(&v)
		if err := json.Unmarshal(line, &peer); err != nil || s != "" && peer.Note != s {
			t.Fatalf("%q is %#v in JSON (%v)", s, peer.Note, err)
		}
		back = sample{}
		if problems := Decode("", line, &back); problems != nil || !reflect.DeepEqual(v, back) {
			t.Fatalf("%q from JSON: %v\n%s", s, problems, line)
		}
	}
	for _, s := range oddTexts {
		check(t, s)
	}
	rapid.Check(t, func(t *rapid.T) {
		check(t, strings.ToValidUTF8(rapid.OneOf(rapid.String(), rapid.StringOfN(rapid.SampledFrom([]rune("ab01:#-_.,[]{}'\"|>\n\t \\~?!&*%=+eExonfyN\u00a0\u2028\u0085")), 0, 12, -1)).Draw(t, "text"), "?"))
	})
}

var oddTexts = []string{"", " ", "yes", "No", "ON", "y", "n", "true", "null", "Null", "~", "0123", "0x10", "0o17", "0b1", "1_000", "1e3", "-1", "+1", "1.5", ".5", "5.", ".inf", "-.INF", ".nan", "-", "--", "+", ".", "..", "...", "---",
	"06:30", "190:20:30", "190:20:30.15", "2026-01-02", "2026-1-2T10:00:00Z", "=", "<<", "a: b", "a:", ":a", "# a", "a # b", "a#", "- a", "-a", "? a", "?", "[a", "{a", "a]", "&a", "*a", "!a", "|", ">", "%a", "@a", "`a", "'a'", "\"a\"", "a\\",
	" a", "a ", "\ta", "a\t", "\n", "\n\n", "a\nb", "a\nb\n", "a\n\n", "\na", " a\nb", "\ta\nb", "a\n b\n\n", "a\n \n", "\n \na", " \na", "a\r\nb", "\x00", "\x7f", "\u0085", "\u2028", "\ufeff", "\u00a0", "e\u0301", "🔆", "16 A", "10.0.0.1", "1:2:3:4:5", "0x", "0xg", "12e", "1,5", "null\n", "#\n", "a\n# b\n"}

// TestNumbersComeBack: the shortest decimal that reads back equal, for any finite number.
func TestNumbersComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64().Draw(t, "number")
		text := Encode(&sample{ID: "a", Floats: []float64{f, -f, 1 / 3.0}})
		var back sample
		if problems := Decode("", text, &back); problems != nil || back.Floats[0] != f || back.Floats[1] != -f {
			t.Fatalf("%v: %v\n%s", f, problems, text)
		}
	})
}

func TestCheckFindsWhatReadingWouldRefuse(t *testing.T) {
	for _, c := range []struct {
		name string
		v    sample
		want string
	}{
		{"empty id", sample{}, "id"},
		{"value", sample{ID: "a", Kind: "x"}, "kind"},
		{"number of a list", sample{ID: "a", Phases: 2}, "phases"},
		{"not a number", sample{ID: "a", Floats: []float64{0, math.NaN()}}, "floats[1]"},
		{"infinite", sample{ID: "a", Factor: math.Inf(1)}, "factor"},
		{"infinite place", sample{ID: "a", Ring: []spot{{0, math.Inf(-1)}}}, "ring[0]"},
		{"place not a number", sample{ID: "a", At: &spot{math.NaN(), 0}}, "at"},
		{"not UTF-8", sample{ID: "a", Note: "\xff"}, "note"},
		{"quantity out of range", sample{ID: "a", Many: []sample{{ID: "b", Inner: inner{}, Twin: new(grams)}, {ID: "c", Twin: heavy()}}}, "many[1].twin"},
	} {
		issues := Check(&c.v)
		if len(issues) != 1 || issues[0].Path.String() != c.want {
			t.Errorf("%s: %+v", c.name, issues)
		}
	}
}

func heavy() *grams {
	g := grams(2_000_000)
	return &g
}

func TestSchemaSaysWhatTheTypesSay(t *testing.T) {
	var s struct {
		Required   []string
		Properties map[string]map[string]any
		Defs       map[string]map[string]any `json:"$defs"`
	}
	text := Schema(sample{}, "a sample")
	if err := json.Unmarshal(text, &s); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		of, key string
		want    any
	}{
		{"side", "description", "Where it is."}, {"count", "type", "integer"}, {"count", "maximum", 10.0}, {"factor", "exclusiveMinimum", 0.0},
		{"weight", "pattern", `^-?\d+ k?g$`}, {"at", "$ref", "#/$defs/spot"}, {"owner", "$comment", "identity of a sample"}, {"on", "type", "boolean"},
		{"kind", "enum", []any{"red", "green", "blue"}}, {"phases", "enum", []any{1.0, 3.0}},
	} {
		if got := s.Properties[c.of][c.key]; !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s of %s is %v, want %v", c.key, c.of, got, c.want)
		}
	}
	if len(s.Required) != 1 || s.Defs["part"]["additionalProperties"] != false || len(s.Defs) != 4 {
		t.Errorf("required %v, definitions %v", s.Required, s.Defs)
	}
}
