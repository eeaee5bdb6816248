package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"testing"
)

// jsonCalls is a call of every verb that answers with JSON, in an order in which each finds what it needs.
func jsonCalls() [][]string {
	return [][]string{
		{"new", "new.wirewright", "--title", "New"},
		{"import", "cottage.wirewright", "cottage.ifc"},
		{"furnish", "cottage.wirewright"},
		{"import", "house.wirewright", "house.yaml"},
		{"write", "house.wirewright", "--behaviour", "behaviour.txt", "--acceptance", "acceptance.txt"},
		{"allot", "house.wirewright", "--dry-run"},
		{"allot", "house.wirewright"},
		{"check", "cottage.wirewright"},
		{"check", "house.wirewright"},
		{"explain", "bus/too-long"},
		{"explain"},
		{"fmt", "behaviour.txt"},
		{"programme", "house.wirewright"},
		{"prove", "house.wirewright"},
		{"rehearse", "house.wirewright", "--days", "1", "--story"},
		{"handover", "house.wirewright", "papers"},
		{"show", "house.wirewright", "hall.keys"},
		{"log", "house.wirewright"},
		{"diff", "house.wirewright", "1"},
		{"undo", "house.wirewright"},
		{"export", "house.wirewright", "text"},
		{"import", "copy.wirewright", "text"},
		{"types"},
		{"types", "house.wirewright"},
		{"types", "house.wirewright", "own.yaml"},
		{"schema", "house"},
		{"completion", "bash"},
	}
}

// Every verb answers --json with one JSON value and nothing else; its keys are kept in a golden file, since programs
// depend on them. A key may be added; one that goes or changes its type breaks somebody's program.
func TestJSONOfEveryVerb(t *testing.T) {
	bring(t)
	var text strings.Builder
	seen := map[string]bool{}
	for _, args := range jsonCalls() {
		s := here(t, "", append([]string{"--json"}, args...)...)
		if s.code == codeCould || s.err != "" {
			t.Errorf("wirewright %s: exit code %d, %s", strings.Join(args, " "), s.code, s.err)
			continue
		}
		var v any
		if err := json.Unmarshal([]byte(s.out), &v); err != nil {
			t.Errorf("wirewright %s: no JSON: %v\n%.300s", strings.Join(args, " "), err, s.out)
			continue
		}
		seen[args[0]] = true
		fmt.Fprintf(&text, "$ wirewright %s --json\n", strings.Join(args, " "))
		if args[0] != "schema" && args[0] != "types" {
			writeKeys(&text, v)
		}
		text.WriteString("\n")
	}
	golden(t, filepath.Join(home, "testdata", "golden-json.txt"), text.String())
	apart := []string{"demo", "commission", "workbench"} // they start processes or serve: see the tests over the program
	for _, n := range model(t).Children {
		if !n.Hidden && !seen[n.Name] && !slices.Contains(apart, n.Name) {
			t.Errorf("%s: its JSON is not looked at", n.Name)
		}
	}
}

// writeKeys lists the paths of a JSON value with the types that stand there.
func writeKeys(w *strings.Builder, v any) {
	types := map[string]map[string]bool{}
	collectKeys(types, "", v)
	paths := make([]string, 0, len(types))
	for p := range types {
		paths = append(paths, p)
	}
	sort.Strings(paths)
	for _, p := range paths {
		var names []string
		for n := range types[p] {
			names = append(names, n)
		}
		sort.Strings(names)
		fmt.Fprintf(w, "  %s  %s\n", p, strings.Join(names, " or "))
	}
}

func collectKeys(into map[string]map[string]bool, path string, v any) {
	name := ""
	switch v := v.(type) {
	case map[string]any:
		name = "object"
		for k, x := range v {
			collectKeys(into, path+"."+k, x)
		}
	case []any:
		name = "list"
		for _, x := range v {
			collectKeys(into, path+"[]", x)
		}
	case string:
		name = "text"
	case float64:
		name = "number"
	case bool:
		name = "bool"
	default:
		name = "null"
	}
	if path == "" {
		path = "."
	}
	if into[path] == nil {
		into[path] = map[string]bool{}
	}
	into[path][name] = true
}

// The same call on the same job answers the same bytes.
func TestJSONIsTheSameTwice(t *testing.T) {
	name := designed(t)
	for _, args := range [][]string{{"check", name}, {"programme", name}, {"prove", name}, {"rehearse", name, "--days", "1"}, {"show", name, "hall.keys"}, {"log", name}, {"diff", name, "0"}} {
		args = append(args, "--json")
		if a, b := good(t, args...), good(t, args...); a != b {
			t.Errorf("wirewright %s: %s", strings.Join(args, " "), firstDifference(a, b))
		}
	}
}

// A list without entries is a list to whoever reads it, and letters stay as they are.
func TestListsAreNeverNull(t *testing.T) {
	type inner struct {
		List []string `json:"list"`
		Left []int    `json:"left,omitempty"`
	}
	type outer struct {
		Of     []inner           `json:"of"`
		At     *inner            `json:"at"`
		None   *inner            `json:"none"`
		Any    any               `json:"any"`
		Raw    json.RawMessage   `json:"raw"`
		Hidden []string          `json:"-"`
		Map    map[string]string `json:"map,omitempty"`
	}
	var b strings.Builder
	if err := writeJSON(&b, outer{Of: []inner{{}}, At: &inner{}, Any: inner{List: []string{"a < b & ü"}}}); err != nil {
		t.Fatal(err)
	}
	got := strings.Join(strings.Fields(b.String()), " ")
	want := `{ "of": [ { "list": [] } ], "at": { "list": [] }, "none": null, "any": { "list": [ "a < b & ü" ] }, "raw": null }`
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}
