package yamldoc

import (
	"fmt"
	"strings"
	"testing"

	yaml "go.yaml.in/yaml/v4"
	"pgregory.net/rapid"
)

// outline prints the tree of a document: what any YAML reader must see in it.
func (d *Document) outline(b *strings.Builder, n int32) {
	x := &d.nodes[n]
	switch x.kind {
	case scalar:
		fmt.Fprintf(b, "%q", d.value(n))
		return
	case mapping:
		b.WriteByte('{')
	case sequence:
		b.WriteByte('[')
	}
	for c := n + 1; c < x.next; c = d.nodes[c].next {
		d.outline(b, c)
		b.WriteByte(' ')
	}
	b.WriteByte("?}]"[x.kind])
}

// shown is the outline of the whole document.
func (d *Document) shown() string {
	var b strings.Builder
	d.outline(&b, 0)
	return b.String()
}

func peerOutline(b *strings.Builder, n *yaml.Node) {
	switch n.Kind {
	case yaml.ScalarNode:
		fmt.Fprintf(b, "%q", n.Value)
		return
	case yaml.MappingNode:
		b.WriteByte('{')
	case yaml.SequenceNode:
		b.WriteByte('[')
	case yaml.DocumentNode:
		peerOutline(b, n.Content[0])
		return
	default:
		b.WriteString("something else")
		return
	}
	for _, c := range n.Content {
		peerOutline(b, c)
		b.WriteByte(' ')
	}
	b.WriteByte(map[yaml.Kind]byte{yaml.MappingNode: '}', yaml.SequenceNode: ']'}[n.Kind])
}

// against compares our reading of an accepted text with that of go.yaml.in/yaml/v4: the two must see the same tree. It
// tells whether the text was accepted.
func against(t interface{ Fatalf(string, ...any) }, text string) bool {
	d, problems := Parse("", []byte(text))
	if problems != nil {
		return false
	}
	if strings.Contains(text, `\u`) {
		return true // pairs of surrogates, which JSON has, are beyond YAML
	}
	var n yaml.Node
	err := yaml.Unmarshal([]byte(text), &n)
	if err != nil && strings.Contains(err.Error(), "already defined") {
		return true // double keys are refused by Decode
	}
	if err != nil {
		t.Fatalf("accepted, but the peer says %v of %q", err, text)
	}
	var ours, theirs strings.Builder
	d.outline(&ours, 0)
	if n.Kind == 0 {
		theirs.WriteString(`""`)
	} else {
		peerOutline(&theirs, &n)
	}
	if ours.String() != theirs.String() {
		t.Fatalf("%q reads\n%s, to the peer\n%s", text, ours.String(), theirs.String())
	}
	return true
}

// accepted are texts of the subset, each with a trait of the grammar; sources are the productions of YAML 1.2.2 named
// beside them.
var accepted = []string{
	"", "# only a comment\n", "---\na: 1\n", "--- # first\na: 1\n...\n", "a: 1\n...\n# after\n", // 9.1
	"a: 1\nb: 2\n", "a:\n  b:\n    c: 1\n  d: 2\ne: 3\n", "a:\n- 1\n- 2\nb: 3\n", "a:\n  - 1\n  -\n    - 2\n  - - 3\n    - 4\n", // 8.2.1
	"- a: 1\n  b: 2\n-   c: 3\n    d: 4\n-\n  e: 5\n", "-\n- \n", "a:\nb:\n", "a: # comment\n  b: 1 # another\n# third\n\n  c: 2\n", // 8.2.2
	"\"a b\": 1\n'c''d': 2\n\"e\\tf\" : 3\n", "a b: c d\n", "a:b: c:d\n", "a#b: c#d\n", // 7.3
	"a: one\n  two\n\n  three\nb: x\n", "a:\n  one\n  two\n", "- one\n two\n- three\n", // 7.3.3
	"a: 'one\n  two\n\n\n  three '' four'\n", "a: \"one \\\n  two\\\n\n  three\n  \\  four\\x41\\u00e9\\U0001F4A1\\n\\/\"\n", // 7.3.1
	"a: |\n  one\n   two\n\n  three\nb: 1\n", "a: |-\n  one\n\nb: 1\n", "a: |+\n  one\n\n\nb: 1\n", "a: |2\n   one\n  two\n", "a: |1-\n  one\n", // 8.1
	"a: |\n\n\n  one\n", "a: |\nb: 1\n", "a: |+\n\nb: 1\n", "a: |-\n", "- |\n one\n- >\n two\n", "a: | # comment\n  # text\n  one\n# comment\nb: 1\n", "a: |\n  one", "a: |\n  one\n  ", "a: |\n  one\n \n",
	"a: >\n  one\n  two\n\n  three\n   four\n  five\n\n\n  six\n", "a: >-\n\n  one\n\n  two\n", "a: >+\n  one\n\n", "a: >2\n    one\n  two\n", "a: >\n  one\n\n   two\n\n  three\n", "a: >\n   one\n\n    two\n", // 8.1.3
	"a: [1, 'two', \"three\", [4, {b: c}], ]\n", "a: [\n  1, # first\n  2\n  ]\n", "a: {b: 1, \"c\":2, 'd' : 3, e: , f: [x]}\n", "[1, 2]\n", "{\"a\": {\"b\": [1, 2.5, true, null]}}", "a: []\nb: {}\n", // 7.4
	"a: http://x:1/y?z#f\n", "a: -1\n", "a: [-1, -x, ?y, :z]\n", "?a: 1\n", "-a: 1\n", ":a: 1\n", "a: ?b\n", "a: -b\n", "a: b%\n",
	"\ufeffa: 1\r\nb: |\r\n  x\r\n  y\r\n", "a: x  \nb: y\n", "a: Küche\nкухня: 東京\n", "a: \"\ttab\t\"\n", "a: |\n  \ttab\n", "a: 'x\ty'\n",
}

func TestAcceptedTextsReadTheSameToThePeer(t *testing.T) {
	for _, text := range accepted {
		if !against(t, text) {
			_, problems := Parse("", []byte(text))
			t.Errorf("%q is not accepted: %v", text, problems)
		}
	}
}

// TestAnyTextReadsTheSameToThePeer puts texts together from the pieces that YAML is made of.
func TestAnyTextReadsTheSameToThePeer(t *testing.T) {
	pieces := []string{"a", "b", ": ", ":", "- ", "-", "\n", "\n", "\n  ", "\n    ", " ", "  ", "#", " # c", "'", "\"", "[", "]", "{", "}", ", ", "|", ">", "|-", ">+", "|2",
		"\\", "\\n", "x y", "é", "---", "...", "?", "&", "*", "!", "%", "1", "<<", "\t"}
	taken, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 24).Draw(t, "pieces"), "")
		all++
		if against(t, text) {
			taken++
		}
	})
	t.Logf("%d of %d texts were accepted and read the same", taken, all)
}

func FuzzParse(f *testing.F) {
	for _, text := range accepted {
		f.Add(text)
	}
	for _, c := range refused {
		f.Add(c.text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		against(t, text)
		Comments([]byte(text))
	})
}
