package step

import (
	"fmt"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"pgregory.net/rapid"
)

// encode writes a text the way ISO 10303-21 wants it: apostrophes and backslashes doubled, everything beyond ASCII in hex.
// The style chooses between \X2\, \X4\, \X\ for the low page, \S\ for its upper half, and raw UTF-8.
func encode(s string, style int) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\'':
			b.WriteString("''")
		case r == '\\':
			b.WriteString(`\\`)
		case r >= 32 && r < 127:
			b.WriteRune(r)
		case style == 1 && r < 256:
			fmt.Fprintf(&b, `\X\%02X`, r)
		case style == 2 && r >= 160 && r < 255 && r-128 != '\'' && r-128 != '\\':
			fmt.Fprintf(&b, `\S\%c`, r-128)
		case style == 3:
			fmt.Fprintf(&b, `\X4\%08X\X0\`, r)
		case style == 4 && r >= 160:
			b.WriteRune(r)
		default:
			b.WriteString(`\X2\`)
			for _, u := range utf16.Encode([]rune{r}) {
				fmt.Fprintf(&b, "%04X", u)
			}
			b.WriteString(`\X0\`)
		}
	}
	return b.String()
}

// TestStringsReadBack: whatever is encoded by any of the rules is read back.
func TestStringsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "text")
		style := rapid.IntRange(0, 4).Draw(t, "style")
		text := "#1=IFCLABEL('" + encode(s, style) + "');"
		f, err := Parse("x", []byte(wrap(text)), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		args, err := f.Args(f.Find(1))
		if err != nil || len(args) != 1 || args[0].Text() != s {
			t.Fatalf("%q is written %s and read %v (%v)", s, text, args, err)
		}
	})
}

// drawValue makes a value, its text, and how it is shown.
func drawValue(t *rapid.T, depth int) (text, shown string) {
	kinds := 9
	if depth > 3 {
		kinds = 7
	}
	switch rapid.IntRange(0, kinds-1).Draw(t, "kind") {
	case 0:
		return "$", "$"
	case 1:
		return "*", "*"
	case 2:
		n := rapid.Int32().Draw(t, "int")
		return strconv.Itoa(int(n)), fmt.Sprintf("int:%g", float64(n))
	case 3:
		n := rapid.Float64Range(-1e9, 1e9).Draw(t, "real")
		s := strconv.FormatFloat(n, 'E', -1, 64)
		if !strings.Contains(s, ".") {
			s = strings.Replace(s, "E", ".E", 1)
		}
		return s, fmt.Sprintf("real:%g", n)
	case 4:
		s := rapid.StringMatching(`[a-z '()#;/*]{0,12}`).Draw(t, "string")
		return "'" + encode(s, 0) + "'", fmt.Sprintf("%q", s)
	case 5:
		s := rapid.StringMatching(`[A-Z][A-Z0-9_]{0,8}`).Draw(t, "enum")
		return "." + s + ".", "." + s + "."
	case 6:
		n := rapid.IntRange(1, 99_999).Draw(t, "ref")
		return fmt.Sprintf("#%d", n), fmt.Sprintf("#%d", n)
	case 7:
		text, shown := drawValue(t, depth+1)
		return "IFCX(" + text + ")", "IFCX(" + shown + ")"
	}
	var texts, shows []string
	for range rapid.IntRange(0, 4).Draw(t, "members") {
		text, shown := drawValue(t, depth+1)
		texts, shows = append(texts, text), append(shows, shown)
	}
	gap := rapid.SampledFrom([]string{",", " , ", ",\n", ",/* c */"}).Draw(t, "gap")
	return "(" + strings.Join(texts, gap) + ")", "(" + strings.Join(shows, " ") + ")"
}

// TestRecordsReadBack writes random records in random layout and reads them back, with their lines.
func TestRecordsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		type record struct {
			id    ID
			shown string
			line  int
		}
		var want []record
		line := 8 // the first line after the head that wrap writes
		for i := range rapid.IntRange(0, 8).Draw(t, "records") {
			text, shown := drawValue(t, 0)
			id := ID(7*i + 1)
			want = append(want, record{id, shown, line})
			s := fmt.Sprintf("#%d%s=IFCTHING%s(%s);%s", id, rapid.SampledFrom([]string{"", " "}).Draw(t, "a"),
				rapid.SampledFrom([]string{"", " ", "\n"}).Draw(t, "b"), text, rapid.SampledFrom([]string{"", "\n", "\r\n", "/* between */\n"}).Draw(t, "end"))
			line += strings.Count(s, "\n")
			b.WriteString(s)
		}
		f, err := Parse("x", []byte(wrap(b.String())), Limits{})
		if err != nil {
			t.Fatalf("%v in\n%s", err, b.String())
		}
		if len(f.Records) != len(want) || f.Count("IFCTHING") != len(want) {
			t.Fatalf("%d records, want %d", len(f.Records), len(want))
		}
		for _, w := range want {
			r := f.Find(w.id)
			args, err := f.Args(r)
			if err != nil || len(args) != 1 || show(args[0]) != w.shown || r.Line != w.line {
				t.Fatalf("%s on line %d: %v (%v), want %s on line %d", r, r.Line, args, err, w.shown, w.line)
			}
		}
	})
}

// TestEveryCutIsAMistake cuts a small file after each byte: only the whole file is accepted.
func TestEveryCutIsAMistake(t *testing.T) {
	whole := wrap("#1=IFCWALL('a''b',(1.,#2),$); /* c */\n#2=IFCLABEL(\"0F\",.T.);")
	end := strings.Index(whole, "END-ISO-10303-21;") + len("END-ISO-10303-21;")
	for n := range whole {
		f, err := Parse("cut", []byte(whole[:n]), Limits{})
		if (err == nil) != (n >= end) || (f == nil) == (n >= end) {
			t.Fatalf("cut after %d bytes: %v", n, err)
		}
	}
}

func TestSeveralNamesAtOnce(t *testing.T) {
	f := parse(t, "#1=(IFCA(1)IFCB(2));\n#2=IFCC(3);")
	if _, err := f.Args(f.Find(1)); err == nil || !strings.Contains(err.Error(), "several entity names") {
		t.Errorf("%v", err)
	}
	if args, err := f.Args(f.Find(2)); err != nil || args[0].Number != 3 {
		t.Errorf("%v %v", args, err)
	}
}

func TestAccessors(t *testing.T) {
	f := parse(t, "#1=IFCA(IFCLENGTHMEASURE(2.5),IFCLABEL('x'),$,*,.T.,7);")
	args, err := f.Args(f.Find(1))
	if err != nil {
		t.Fatal(err)
	}
	if n, ok := args[0].Float(); !ok || n != 2.5 {
		t.Errorf("a typed number: %v %v", n, ok)
	}
	if n, ok := args[5].Float(); !ok || n != 7 {
		t.Errorf("a whole number: %v %v", n, ok)
	}
	if _, ok := args[1].Float(); ok || args[1].Text() != "x" || args[0].Text() != "" || args[4].Text() != "" {
		t.Error("texts and numbers are mixed up")
	}
	if !args[2].IsUnset() || !args[3].IsUnset() || args[4].IsUnset() {
		t.Error("what is unset is not told")
	}
	for k := Unset; k <= Typed; k++ {
		if k.String() == "" || strings.Contains(k.String(), "unknown") {
			t.Errorf("kind %d has no name", k)
		}
	}
	n := 0
	f.All("IFCA", func(r *Record) { n += int(r.ID) })
	if n != 1 || f.Find(2) != nil || f.Count("IFCB") != 0 {
		t.Error("records are not found by keyword")
	}
}
