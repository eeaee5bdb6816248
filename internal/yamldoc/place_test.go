package yamldoc

import (
	"fmt"
	"strings"
	"testing"

	yaml "go.yaml.in/yaml/v4"
)

// TestPlacesAreThoseOfThePeer: lines and columns of every key and value are where go.yaml.in/yaml/v4 sees them too.
func TestPlacesAreThoseOfThePeer(t *testing.T) {
	compared := 0
	for _, text := range accepted {
		if strings.Contains(text, "\ufeff") {
			continue // columns are counted without the mark
		}
		d, problems := Parse("", []byte(text))
		if problems != nil {
			t.Fatal(problems)
		}
		var n yaml.Node
		if err := yaml.Unmarshal([]byte(text), &n); err != nil || n.Kind == 0 {
			continue
		}
		var walk func(at int32, n *yaml.Node)
		walk = func(at int32, n *yaml.Node) {
			if d.nodes[at].style != empty {
				compared++
				if p := d.placeOf(at, -1); p.Line != n.Line || p.Column != n.Column {
					t.Errorf("%q: %q is at %v, to the peer at %d:%d", text, n.Value, p, n.Line, n.Column)
				}
			}
			c := at + 1
			for _, child := range n.Content {
				walk(c, child)
				c = d.nodes[c].next
			}
		}
		walk(0, n.Content[0])
	}
	if compared < 200 {
		t.Errorf("only %d places were compared", compared)
	}
}

func TestColumnsCountCharactersInAnyOrder(t *testing.T) {
	text := "größe: [ä, ö]\nb: x\n"
	d := &Document{s: text, text: []byte(text)}
	for _, c := range []struct {
		of   string
		want int
	}{{"ö", 3}, {"ä", 9}, {"ö]", 12}, {"größe", 1}, {"x", 4}, {"b", 1}, {"ä,", 9}, {"]", 13}} {
		if got := d.column(strings.Index(text, c.of)); got != c.want {
			t.Errorf("column of %q is %d, want %d", c.of, got, c.want)
		}
	}
}

func TestPathsFindTheirNodes(t *testing.T) {
	d, problems := Parse("f.yaml", []byte("id: a\nmany:\n  - id: b\n  - id: c\n    words: [x, y]\n    at: [1, 2]\ndeep:\n  id: d\n"))
	if problems != nil {
		t.Fatal(problems)
	}
	for _, c := range []struct {
		path Path
		want string // line and column where a person looks
	}{
		{Path{}, "1:1"}, {Path{"id"}, "1:5"}, {Path{"many"}, "2:1"}, {Path{"many", 0}, "3:5"}, {Path{"many", 1, "id"}, "4:9"}, {Path{"many", 1, "words"}, "5:5"},
		{Path{"many", 1, "words", 1}, "5:16"}, {Path{"many", 1, "at"}, "6:5"}, {Path{"deep"}, "7:1"}, {Path{"deep", "id"}, "8:7"},
		{Path{"absent"}, "1:1"}, {Path{"many", 7}, "2:1"}, {Path{"deep", "note"}, "7:1"}, {Path{"many", 0, "at", 1}, "3:5"}, {Path{"id", "x"}, "1:5"}, {Path{"id", 3}, "1:5"},
	} {
		p := d.placeOf(d.resolve(c.path))
		if got := fmt.Sprintf("%d:%d", p.Line, p.Column); got != c.want || p.File != "f.yaml" {
			t.Errorf("%v is at %s, want %s", c.path, got, c.want)
		}
	}
}

func TestWalkVisitsWhatIsWritten(t *testing.T) {
	v := sample{ID: "a", Kind: "red", Owner: "b", At: &spot{1, 2}, Words: []string{"x", ""}, Parts: []part{{Name: "p"}}, Inner: inner{Title: "t"}, Many: []sample{{ID: "c", Owner: "a"}}}
	var got []string
	Walk(&v, func(at *Visit) {
		got = append(got, fmt.Sprintf("%v=%v%s of %s", at.Path(), at.Value, map[bool]string{true: " (" + at.Ref + ")"}[at.Ref != ""], at.Entity()))
	})
	want := []string{"id=a of a", "kind=red of a", "at={1 2} of a", "words[0]=x of a", "words[1]= of a", "parts[0].name=p of a", "inner.title=t of a",
		"many[0].id=c of c", "many[0].owner=a (sample) of c", "owner=b (sample) of a"}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s", strings.Join(got, "\n"))
	}
}
