package step

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wirewright/internal/problem"
)

// wrap puts records into a whole file.
func wrap(records string) string {
	return "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\nFILE_SCHEMA(('IFC4'));\nENDSEC;\nDATA;\n" +
		records + "\nENDSEC;\nEND-ISO-10303-21;\n"
}

func parse(t *testing.T, records string) *File {
	t.Helper()
	f, err := Parse("test.ifc", []byte(wrap(records)), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// show prints a value in one canonical form.
func show(v Value) string {
	switch v.Kind {
	case Unset:
		return "$"
	case Derived:
		return "*"
	case Integer, Real:
		return fmt.Sprintf("%v:%g", map[Kind]string{Integer: "int", Real: "real"}[v.Kind], v.Number)
	case String:
		return fmt.Sprintf("%q", v.Text())
	case Enum:
		return "." + v.Word + "."
	case Binary:
		return "bin:" + v.Word
	case Ref:
		return v.Ref.String()
	case Typed:
		return v.Word + "(" + show(v.List[0]) + ")"
	}
	parts := make([]string, len(v.List))
	for i, m := range v.List {
		parts[i] = show(m)
	}
	return "(" + strings.Join(parts, " ") + ")"
}

// values are the forms of ISO 10303-21 that building models use, with what they mean.
var values = []struct{ text, want string }{
	{"$", "$"},
	{"*", "*"},
	{"12", "int:12"},
	{"-3", "int:-3"},
	{"+4", "int:4"},
	{"1.", "real:1"},
	{"-0.", "real:-0"},
	{"1.E-05", "real:1e-05"},
	{"6.12303176911189E-17", "real:6.12303176911189e-17"},
	{"2.5e3", "real:2500"},
	{"#79107", "#79107"},
	{".T.", ".T."},
	{".ELEMENT.", ".ELEMENT."},
	{".element.", ".ELEMENT."},
	{`"0FA"`, "bin:0FA"},
	{"()", "()"},
	{"(#1,#2)", "(#1 #2)"},
	{"((1.,2.),(3.,4.))", "((real:1 real:2) (real:3 real:4))"},
	{"IFCLABEL('Putz')", `IFCLABEL("Putz")`},
	{"IFCBOOLEAN(.F.)", "IFCBOOLEAN(.F.)"},
	{"IFCLINEINDEX((1,2,3))", "IFCLINEINDEX((int:1 int:2 int:3))"},
	{"''", `""`},
	{"'a;b#1)('", `"a;b#1)("`},
	{"/* a comment */ 7 /* another ' one */", "int:7"},
	{"  ( 1 , 2 )  ", "(int:1 int:2)"},
}

func TestValues(t *testing.T) {
	for _, c := range values {
		f := parse(t, "#1=IFCTHING("+c.text+",'last');")
		args, err := f.Args(f.Find(1))
		if err != nil || len(args) != 2 || show(args[0]) != c.want || args[1].Text() != "last" {
			t.Errorf("%s: read as %v (%v), want %s", c.text, args, err, c.want)
		}
	}
}

// strs are strings as written and as meant. The first group is from the clause on strings of ISO 10303-21 and from real models.
var strs = []struct{ text, want string }{
	{`it''s`, "it's"},
	{`''''`, "''"},
	{`a\\b`, `a\b`},
	{`K\X2\00FC\X0\che`, "Küche"},
	{`IFC T\X2\00FC\X0\r - Eine \X2\00D6\X0\ffnungsrichtung`, "IFC Tür - Eine Öffnungsrichtung"},
	{`\X2\04210442044304340438044F\X0\-\X2\0433043E044104420438043D0430044F\X0\`, "Студия-гостиная"},
	{`12345 Right Way\X\0D\X\0AChicago, IL  60601`, "12345 Right Way\r\nChicago, IL  60601"},
	{`A roof slab that\X\27s got it all covered`, "A roof slab that's got it all covered"},
	{`caf\X\E9`, "café"},
	{`\S\D`, "Ä"},
	{`Stra\S\_e`, "Straße"},
	{`\PE\\S\O\S\` + "`" + `\S\P`, "Яра"},
	{`\PA\\S\D`, "Ä"},
	{`\X4\0001F4A1\X0\`, "💡"},
	{`\X2\D83DDCA1\X0\`, "💡"},
	{"Küche", "Küche"},
	{"K\xfcche", "Küche"},
	{"two\r\n lines", "two lines"},
	{`\X2\00F\X0\`, `\X2\00F\X0\`},
	{`\X2\00FC`, `\X2\00FC`},
	{`\XZZ\`, `\XZZ\`},
	{`ends with \`, `ends with \`},
	{`\X2\ZZZZ\X0\`, `\X2\ZZZZ\X0\`},
	{`\X4\FFFFFFFF\X0\`, `\X4\FFFFFFFF\X0\`},
	{`\PZ\x`, `\PZ\x`},
}

func TestStrings(t *testing.T) {
	for _, c := range strs {
		f := parse(t, "#1=IFCLABEL('"+c.text+"',5);")
		args, err := f.Args(f.Find(1))
		if err != nil || len(args) != 2 || args[0].Text() != c.want {
			t.Errorf("%s: read as %v (%v), want %q", c.text, args, err, c.want)
		}
	}
}

func TestLayout(t *testing.T) {
	text := "ISO-10303-21;HEADER;FILE_DESCRIPTION(('x'),'2;1');\r\nFILE_NAME('','',(''),(''),'','','');FILE_SCHEMA(('ifc2x3'));ENDSEC;\r\n" +
		"DATA;#30=  IFCWALL ( #7 ,\r\n 'a''b' ) ;#7=IFCOWNERHISTORY($);\r\n/* #8=IFCNOT(); */\r\n#000009=ifclabel('x');ENDSEC;\r\n" +
		"DATA('second',('IFC2X3'));#40=IFCSITE('\n');\nENDSEC;SIGNATURE; anything ENDSEC;END-ISO-10303-21;"
	f, err := Parse("layout.ifc", []byte(text), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if f.Schema() != "IFC2X3" {
		t.Errorf("schema %q", f.Schema())
	}
	want := []struct {
		id   ID
		word string
		line int
	}{{30, "IFCWALL", 3}, {7, "IFCOWNERHISTORY", 4}, {9, "IFCLABEL", 6}, {40, "IFCSITE", 7}}
	for i, w := range want {
		if r := f.Records[i]; r.ID != w.id || r.Keyword != w.word || r.Line != w.line {
			t.Errorf("record %d is %v on line %d, want %v", i, r, r.Line, w)
		}
	}
	if len(f.Records) != len(want) || f.Find(8) != nil || f.Count("IFCWALL") != 1 {
		t.Errorf("%d records", len(f.Records))
	}
}

// TestMistakes gives files with mistakes and pieces of what must be said about them.
func TestMistakes(t *testing.T) {
	long := strings.Repeat("(", 70) + strings.Repeat(")", 70)
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"empty", "", []string{"ISO-10303-21"}},
		{"foreign", "PK\x03\x04", []string{"no STEP clear text"}},
		{"no end", strings.TrimSuffix(wrap("#1=IFCWALL($);"), "END-ISO-10303-21;\n"), []string{"ends before END-ISO-10303-21", ":10:"}},
		{"cut in section", wrap("#1=IFCWALL($);")[:120], []string{"cut short", "section"}},
		{"cut in record", strings.TrimSuffix(wrap("#1=IFCWALL($);\n#2=IFCDOOR(1,\n(2,3"), "\nENDSEC;\nEND-ISO-10303-21;\n"),
			[]string{":10:", "#2 IFCDOOR", "begins on line 9", "2 brackets open"}},
		{"cut in string", strings.TrimSuffix(wrap("#2=IFCDOOR(1,'abc"), "\nENDSEC;\nEND-ISO-10303-21;\n"), []string{"#2 IFCDOOR", "inside a string", "line 8"}},
		{"cut in comment", wrap("")[:100] + "/* ", []string{"inside a comment"}},
		{"unclosed list", wrap("#5=IFCWALL((1,2);\n#6=IFCDOOR($);"), []string{"#5 IFCWALL", "brackets open", ":8:"}},
		{"no semicolon", wrap("#5=IFCWALL($)\n#6=IFCDOOR($);"), []string{"#5 IFCWALL", "semicolon"}},
		{"no equals", wrap("#5 IFCWALL($);"), []string{"#5", "= is expected"}},
		{"no name", wrap("#5=123;"), []string{"#5", "entity name"}},
		{"no bracket", wrap("#5=IFCWALL;"), []string{"#5 IFCWALL", "( is expected"}},
		{"zero", wrap("#0=IFCWALL($);"), []string{"above 0"}},
		{"huge number", wrap("#99999999999999999999=IFCWALL($);"), []string{"18 digits"}},
		{"twice", wrap("#5=IFCWALL($);\n\n#5=IFCDOOR($);"), []string{"#5 IFCDOOR", "stands twice", "line 8", ":10:"}},
		{"deep", wrap("#5=IFCWALL(" + long + ");"), []string{"#5 IFCWALL", "deeper than 64"}},
		{"nonsense", wrap("hello"), []string{"a record"}},
		{"other section", "ISO-10303-21;\nFOOTER;\nENDSEC;\nEND-ISO-10303-21;", []string{"a section", "FOOTER"}},
	} {
		f, err := Parse("m.ifc", []byte(c.text), Limits{})
		if err == nil || f != nil {
			t.Errorf("%s: no mistake reported", c.name)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %q does not say %q", c.name, err, w)
			}
		}
	}
}

func TestAllMistakesOfOnePass(t *testing.T) {
	_, err := Parse("m.ifc", []byte(wrap("#1=IFCWALL(;\n#2=IFCDOOR($);\n#3 IFCSLAB($);\n#4=IFCROOF((;\n#2=IFCSITE($);")), Limits{})
	var list problem.List
	if !errors.As(err, &list) || len(list) != 4 {
		t.Fatalf("want 4 mistakes, got %v", err)
	}
	for i, line := range []int{8, 10, 11, 12} {
		if list[i].Line != line {
			t.Errorf("mistake %d is said to stand on line %d, not %d: %s", i, list[i].Line, line, list[i].Text)
		}
	}
}

func TestMistakesInArguments(t *testing.T) {
	for text, want := range map[string]string{
		"1,,2": "a value is expected", "1 2": "a comma", "#": "record number", "..": "enumeration", ".A-B.": "not an enumeration",
		"1.2.3": "not a number", "-": "not a number", "IFCX(1,2)": "one value", "IFCX": "( is expected", "?": "a value", "1,": "missing",
		".A": "enumeration",
	} {
		f := parse(t, "\n#1=IFCWALL(\n"+text+");")
		_, err := f.Args(f.Find(1))
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "test.ifc:10: #1 IFCWALL") {
			t.Errorf("%s: %v does not say %q with entity and line", text, err, want)
		}
		if again, twice := f.Args(f.Find(1)); twice == nil || again != nil {
			t.Errorf("%s: the second time no mistake", text)
		}
		if _, all := f.ReadAll(); all == nil {
			t.Errorf("%s: ReadAll finds no mistake", text)
		}
	}
}

func TestLimits(t *testing.T) {
	text := []byte(wrap("#1=IFCA(1,2,3);\n#2=IFCA(4,5,6);\n#3=IFCA(7);"))
	if _, err := Parse("m", text, Limits{Bytes: 100}); err == nil || !strings.Contains(err.Error(), "at most 100") {
		t.Errorf("size: %v", err)
	}
	if _, err := Parse("m", text, Limits{Records: 2}); err == nil || !strings.Contains(err.Error(), "more than 2 records") {
		t.Errorf("records: %v", err)
	}
	f, err := Parse("m", text, Limits{Values: 5})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Args(f.Find(1)); err != nil {
		t.Error(err)
	}
	if _, err := f.Args(f.Find(2)); err == nil || !strings.Contains(err.Error(), "more than 5 values") {
		t.Errorf("values: %v", err)
	}
	many := []byte(wrap(strings.Repeat("#1 IFCA;\n", 50)))
	if _, err := Parse("m", many, Limits{Problems: 3}); err == nil || strings.Count(err.Error(), "\n") != 2 {
		t.Errorf("problems: %v", err)
	}
}

// TestRealFiles reads every value of the real models; the numbers of records were counted with another reader (npm web-ifc).
func TestRealFiles(t *testing.T) {
	for name, want := range map[string]struct {
		records int
		schema  string
	}{
		"Duplex_A_20110907.ifc": {38898, "IFC2X3"}, "Duplex_Electrical_excerpt.ifc": {1017, "IFC2X3"},
		"AC20-FZK-Haus.ifc": {44249, "IFC4"}, "House.ifc": {25225, "IFC2X3"}, "Building-Architecture.ifc": {444, "IFC4"},
	} {
		f, err := Parse(name, realFile(t, name), Limits{})
		if err != nil {
			t.Error(err)
			continue
		}
		if len(f.Records) != want.records || f.Schema() != want.schema {
			t.Errorf("%s: %d records of %s, want %d of %s", name, len(f.Records), f.Schema(), want.records, want.schema)
		}
		if n, err := f.ReadAll(); err != nil || n < want.records {
			t.Errorf("%s: %d values, %v", name, n, err)
		}
	}
}

// TestCutAnywhere cuts a real file at many places: every cut is a mistake with a line.
func TestCutAnywhere(t *testing.T) {
	data := realFile(t, "Duplex_Electrical_excerpt.ifc")
	for n := 13; n < len(data)-20; n += 997 {
		_, err := Parse("cut.ifc", data[:n], Limits{})
		var list problem.List
		if !errors.As(err, &list) || list[0].Line == 0 || !strings.Contains(err.Error(), "cut short") {
			t.Errorf("cut after %d bytes: %v", n, err)
		}
	}
}

func realFile(tb testing.TB, name string) []byte {
	tb.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "..", "shared", "data", "ifc", name))
	if err != nil {
		tb.Skipf("the real model %s does not lie beside the repository", name)
	}
	return data
}

// FuzzParse reads arbitrary bytes: it must neither panic nor hang, and what it accepts it must accept again.
func FuzzParse(f *testing.F) {
	for _, c := range values {
		f.Add([]byte(wrap("#1=IFCTHING(" + c.text + ");")))
	}
	for _, c := range strs {
		f.Add([]byte(wrap("#1=IFCLABEL('" + c.text + "');")))
	}
	f.Add([]byte(wrap("#1=IFCWALL((1,2);#2=(A(1)B(2));#3=IFCX(.T.,\"0\",*)/* */;")))
	f.Fuzz(func(t *testing.T, data []byte) {
		small := Limits{Bytes: 1 << 20, Records: 1000, Depth: 20, Values: 10_000}
		file, err := Parse("fuzz", data, small)
		if err != nil {
			var list problem.List
			if !errors.As(err, &list) || len(list) == 0 {
				t.Fatalf("an error without a problem: %v", err)
			}
			return
		}
		for i := range file.Records {
			r := &file.Records[i]
			args, err := file.Args(r)
			if err == nil {
				for _, v := range args {
					show(v)
				}
			}
			if file.Find(r.ID) != r {
				t.Fatalf("%s is not found by its number", r)
			}
		}
	})
}

func BenchmarkParse(b *testing.B) {
	for _, name := range []string{"AC20-FZK-Haus.ifc", "Duplex_A_20110907.ifc"} {
		data := realFile(b, name)
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			for b.Loop() {
				if _, err := Parse(name, data, Limits{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkReadAll(b *testing.B) {
	data := realFile(b, "AC20-FZK-Haus.ifc")
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		f, err := Parse("m", data, Limits{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := f.ReadAll(); err != nil {
			b.Fatal(err)
		}
	}
}
