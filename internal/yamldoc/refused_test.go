package yamldoc

import (
	"fmt"
	"strings"
	"testing"
)

// refused are texts that are not in the subset, with the whole list of problems.
var refused = []struct{ name, text, want string }{
	{"anchor", "a: &x 1\nb: *x\n", "1:4: anchors and aliases (& and *) are not read (write the value out, or put quotes around a text)\n2:4: anchors and aliases (& and *) are not read (write the value out, or put quotes around a text)"},
	{"merge key", "a:\n  <<: {b: 1}\n", "2:3: merge keys are not read (write the keys out)"},
	{"merge key in braces", "a: {<<: {b: 1}}\n", "1:7: merge keys are not read (write the keys out)"},
	{"tag", "a: !!str 1\n", "1:4: tags (!) are not read (take it away, or put quotes around a text)"},
	{"directive", "%YAML 1.2\n---\na: 1\n", "1:1: directives (lines that begin with %) are not read (take the line away)"},
	{"two documents", "a: 1\n---\nb: 2\n", "2:1: a second document begins (one file holds one document)"},
	{"text after the end", "a: 1\n...\nb: 2\n", "3:1: text after the end of the document (one file holds one document)"},
	{"explicit key", "? a\n: 1\n", "1:1: keys with a question mark are not read (write key: value, or put quotes around a text)\n2:1: ':' cannot stand here (begin a new line, or put quotes around a text)"},
	{"tab as indentation", "a:\n\tb: 1\n", "2:1: a tab; lines are indented with spaces (put spaces in its place)"},
	{"tab in a text", "a: b\tc\n", "1:5: a tab (put spaces in its place, or quotes around the text)"},
	{"tab before a value", "a:\t1\n", "1:3: a tab (put spaces in its place)"},
	{"second colon", "a: b: c\n", "1:5: a second colon with a space (put quotes around the text, or begin a new line)"},
	{"no colon", "a: 1\nkind lamp\n", "2:1: a key with a colon and a space is expected, such as title: Hall"},
	{"no space after the colon", "a: 1\nb:2\n", "2:1: a key with a colon and a space is expected, such as title: Hall"},
	{"too deep by one", "a: 1\n b: 2\nc: 3\n", "2:2: this line is indented deeper than the one before it, so that it would be a part of its text (indent it like the line before it, or put quotes around the whole text)"},
	{"indentation between levels", "a:\n    b: 1\n  c: 2\n", "3:3: indented by 2 spaces, where 0 are expected"},
	{"item among keys", "a: 1\n- b\n", "2:1: a list item among keys (indent the list below its key, or write key: value)"},
	{"key among items", "- a\nb: 1\n", "2:1: a list item is expected here (begin the line with - and a space)"},
	{"item on the line of a key", "a: - b\n", "1:4: '-' cannot stand here (begin a new line, or put quotes around a text)"},
	{"open quotes", "a: \"b\nc: d\n", "2:1: the value before this line has not ended (close its quotes or brackets, or indent this line deeper than its key)"},
	{"open quotes at the end", "a: 'b\n  c", "1:4: these quotes are not closed"},
	{"open bracket", "a: [1, 2\nb: 3\n", "2:1: the value before this line has not ended (close its quotes or brackets, or indent this line deeper than its key)"},
	{"open bracket at the end", "a: [1, 2", "1:9: a comma or ] is expected here"},
	{"no comma", "a: [1 [2]]\n", "1:7: a comma or ] is expected here"},
	{"two commas", "a: [1,, 2]\n", "1:7: a value is missing before the comma"},
	{"key in a list", "a: [b: 1]\n", "1:6: a key within a list (put braces around key: value, or quotes around a text)"},
	{"no value in braces", "a: {b}\n", "1:6: a key with a colon is expected within braces"},
	{"text behind quotes", "a: \"b\" c\n", "1:8: this text after the value belongs to nothing (put quotes around the whole value)"},
	{"text behind brackets", "a: [b] c\n", "1:8: this text after the value belongs to nothing (put quotes around the whole value)"},
	{"escape", `a: "\q"`, `1:5: an escape that is not known (write \\ for a backslash, or use single quotes)`},
	{"character number", `a: "\u12"`, "1:5: a character number of 4 hexadecimal digits is expected after the backslash"},
	{"half of a pair", `a: "\ud83d"`, "1:5: a character number of 4 hexadecimal digits is expected after the backslash"},
	{"line of a block", "a: | text\n  b\n", "1:6: nothing more is expected on the line of | or > (begin the text on the next line, or put quotes around a text)"},
	{"reserved", "a: @b\nc: `d\n", "1:4: a text cannot begin with '@' (put quotes around it)\n2:4: a text cannot begin with '`' (put quotes around it)"},
	{"control character", "a: \x07\n", "1:4: control character U+0007; write it as \\x07 within double quotes"},
	{"not UTF-8", "a: 1\nb: \xff\n", "2:4: the text is not UTF-8 from here on"},
	{"invisible", "ä: b\u2028c\n", "1:5: character U+2028 cannot be seen; write it as \\u2028 within double quotes"},
	{"columns count characters", "Küche: ä: x\n", "1:9: a second colon with a space (put quotes around the text, or begin a new line)"},
	{"all of them", "a: &x\nb: 1\n\tc: 1\nd: [\ne: 'f\n", "1:4: anchors and aliases (& and *) are not read (write the value out, or put quotes around a text)\n" +
		"3:1: a tab; lines are indented with spaces (put spaces in its place)\n" +
		"5:1: the value before this line has not ended (close its quotes or brackets, or indent this line deeper than its key)"},
}

func TestRefusedTextsAreToldAllAtOnce(t *testing.T) {
	for _, c := range refused {
		t.Run(c.name, func(t *testing.T) {
			_, problems := Parse("", []byte(c.text))
			if got := problems.Error(); got != c.want {
				t.Errorf("%q:\n%s\nwant\n%s", c.text, got, c.want)
			}
		})
	}
}

func TestBoundsHold(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"deep brackets", "a: " + strings.Repeat("[", 1_000_000), "more than 20 levels"},
		{"deep lists", strings.Repeat("- ", 1_000_000), "more than 20 levels"},
		{"deep mappings", deep(40), "more than 20 levels"},
		{"too large", strings.Repeat("#\n", MaxBytes/2+1), "at most 64 MB"},
		{"too many values", "[" + strings.Repeat("1,", MaxValues+2) + "]", "values in one text"},
		{"many keys on one line", "{" + strings.Repeat("b: 1, ", 4_000_000) + "}", "more problems"},
		{"one key many times", strings.Repeat("a: 1\n", 2_000_000), "and 1998999 more problems"},
		{"long key", strings.Repeat("k", 2000) + ": 1", "a second colon"},
		{"many problems", strings.Repeat("b:\t\n", 5000), "and 4000 more problems"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var v struct {
				A string `yaml:"a,omitempty"`
			}
			problems := Decode("", []byte(c.text), &v)
			if !strings.Contains(problems.Error(), c.want) {
				t.Errorf("got %.300s", problems.Error())
			}
		})
	}
}

func deep(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "%sa:\n", strings.Repeat(" ", i))
	}
	return b.String()
}

func TestCommentsAreFound(t *testing.T) {
	text := "# first\na: 1 # second\nb: |  # third\n  # text\nc: [1, # fourth\n  2]\nd: 'x # y'\ne: x#y\n# fifth"
	var got []string
	for _, p := range Comments([]byte(text)) {
		got = append(got, fmt.Sprint(p))
	}
	if want := "1:1 2:6 3:7 5:8 9:1"; strings.Join(got, " ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
}
