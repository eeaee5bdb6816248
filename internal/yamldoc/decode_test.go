package yamldoc

import (
	"reflect"
	"strings"
	"testing"
)

// wrongValues are texts in the subset whose values are wrong; want is the whole list of problems.
var wrongValues = []struct{ name, text, want string }{
	{"unknown key, near", "id: a\ncuont: 1", "2:1: key \"cuont\" is not known here (did you mean count?)"},
	{"unknown key, far", "parts: [{name: a, colour: red}]\nid: a", "1:19: key \"colour\" is not known here (known here: name, size, note)"},
	{"required key misspelt", "parts: [{nmae: a}]\nid: a", "1:10: key \"nmae\" is not known here (did you mean name?)"},
	{"key twice", "id: a\nnote: x\nnote: y", "3:1: key note stands here for the second time (it stands in line 2 already)"},
	{"missing", "note: x", "1:1: id is missing (a text)"},
	{"missing within", "id: a\nparts:\n  - size: 1", "3:5: name is missing (a text)"},
	{"required and empty", "id:\nparts: [{name: \"\"}]", "1:4: id is left empty (write its value, or take the line away)\n2:16: name is left empty (write its value, or take the line away)"},
	{"value of a type", "id: a\nkind: gren", "2:7: kind: \"gren\" is not one of red, green, blue (did you mean green?)"},
	{"value of a field", "id: a\nside: Left", "2:7: side: \"Left\" is not one of left, right (did you mean left?)"},
	{"number of a list", "id: a\nphases: 2", "2:9: phases: 2 is not one of 1, 3"},
	{"zero that is no value", "id: a\nphases: 0\nfactor: 0", "2:9: phases: 0 is no value for it (take the line away where the value is not known)\n3:9: factor: 0 is no value for it (take the line away where the value is not known)"},
	{"text for a number", "id: a\ncount: many", "2:8: count: a whole number is expected, \"many\" was found"},
	{"fraction for a whole number", "id: a\ncount: 1.5", "2:8: count: a whole number is expected, \"1.5\" was found"},
	{"leading zero", "id: a\ncount: 07\nfactor: 01", "2:8: count: a whole number is expected, \"07\" was found (write it without the leading zero)\n3:9: factor: a number is expected, \"01\" was found (write it without the leading zero)"},
	{"other forms of numbers", "id: a\nints: [0x1, 1_0, +1, 1e0, 1.]", "2:8: ints: a whole number is expected, \"0x1\" was found (write it without the leading zero)\n2:13: ints: a whole number is expected, \"1_0\" was found\n2:18: ints: a whole number is expected, \"+1\" was found\n2:22: ints: a whole number is expected, \"1e0\" was found\n2:27: ints: a whole number is expected, \"1.\" was found"},
	{"other forms of fractions", "id: a\nfloats: [.5, 1., .inf, .nan, 0x1p2, 1_0, +1, '1', 1e999]", strings.Join([]string{
		"2:10: floats: a number is expected, \".5\" was found", "2:14: floats: a number is expected, \"1.\" was found", "2:18: floats: a number is expected, \".inf\" was found",
		"2:24: floats: a number is expected, \".nan\" was found", "2:30: floats: a number is expected, \"0x1p2\" was found (write it without the leading zero)", "2:37: floats: a number is expected, \"1_0\" was found",
		"2:42: floats: a number is expected, \"+1\" was found", "2:46: floats: a number is expected, a text in quotes was found (take the quotes away)", "2:51: floats: a number is expected, \"1e999\" was found"}, "\n")},
	{"decimal comma", "id: a\nfactor: 0,5", "2:9: factor: a number is expected, \"0,5\" was found (write a decimal point)"},
	{"quotes around a number", "id: a\ncount: \"1\"", "2:8: count: a whole number is expected, a text in quotes was found (take the quotes away)"},
	{"truth value", "id: a\non: yes", "2:5: on: true or false is expected, \"yes\" was found (write true)"},
	{"truth value, no", "id: a\non: off", "2:5: on: true or false is expected, \"off\" was found (write false)"},
	{"bounds", "id: a\ncount: 11\nfactor: 1.5\nints: [1, 10]", "2:8: count: 11 is above 10\n3:9: factor: 1.5 is above 1\n4:11: ints: 10 is above 9"},
	{"lower bounds", "id: a\ncount: -1\nfactor: -1\nweight: -1 g", "2:8: count: -1 is below 0\n3:9: factor: -1 is not above 0\n4:9: weight: -1 g is below 0 g"},
	{"bound of a quantity", "id: a\nweight: 6 kg", "2:9: weight: 6000 g is above 5000 g"},
	{"quantity", "id: a\nweight: 5", "2:9: weight: \"5\" is not a weight; write for example 5 g"},
	{"quantity left empty", "id: a\nweight:", "2:8: weight is left empty (write its value, or take the line away)"},
	{"list for a text", "id: [a]", "1:5: id: a text is expected, a list was found"},
	{"mapping for a number", "id: a\ncount: {a: 1}", "2:8: count: a whole number is expected, keys with values was found"},
	{"text for a list", "id: a\nwords: b", "2:8: words: a list is expected, \"b\" was found (begin each item with - and a space)"},
	{"mapping for a list", "id: a\nparts: {name: x}", "2:8: parts: a list is expected, keys with values was found (begin each item with - and a space)"},
	{"text for a mapping", "id: a\ninner: x", "2:8: inner: keys with values are expected, \"x\" was found"},
	{"text for everything", "hello", "1:1: the text: keys with values are expected, \"hello\" was found"},
	{"nothing", "", "1:1: the text: keys with values are expected, nothing was found"},
	{"pointer left empty", "id: a\nat:\ndeep:", "2:4: at is left empty (write its value, or take the line away)\n3:6: deep is left empty (write its value, or take the line away)"},
	{"place too short", "id: a\nat: [1]", "2:5: at: a place of 2 numbers such as [1.25, 3.4] is expected"},
	{"place too long", "id: a\nring: [[1, 2], [1, 2, 3]]", "2:16: ring: a place of 2 numbers such as [1.25, 3.4] is expected"},
	{"place of texts", "id: a\nat: [1, x]", "2:9: at: a number is expected, \"x\" was found"},
	{"place of lists", "id: a\nat: [1, [2]]", "2:5: at: a place of 2 numbers such as [1.25, 3.4] is expected"},
	{"place far away", "id: a\nat: [1, 2e6]", "2:1: at: coordinate 2e+06 is not within ±1e+06 m (coordinates are in metres)"},
	{"entity is named", "id: a\nmany:\n  - id: b\n    deep:\n      id: c\n      count: x", "6:14: count: a whole number is expected, \"x\" was found"},
	{"grammar and values", "id: a\ncount: x\nside: @\n", "2:8: count: a whole number is expected, \"x\" was found\n3:7: a text cannot begin with '@' (put quotes around it)"},
}

func TestWrongValuesAreToldAllAtOnce(t *testing.T) {
	for _, c := range wrongValues {
		t.Run(c.name, func(t *testing.T) {
			v := sample{ID: "untouched"}
			problems := Decode("", []byte(c.text), &v)
			if got := problems.Error(); got != c.want {
				t.Errorf("%q:\n%s\nwant\n%s", c.text, got, c.want)
			}
			if !reflect.DeepEqual(v, sample{ID: "untouched"}) {
				t.Error("something was handed out")
			}
		})
	}
}

func TestProblemNamesTheEntity(t *testing.T) {
	var v sample
	problems := Decode("f.yaml", []byte("id: a\nmany:\n  - count: x\n    id: b\n  - id: c\n    kind: x\n"), &v)
	if len(problems) != 2 || problems[0].Entity != "b" || problems[1].Entity != "c" || problems[0].File != "f.yaml" {
		t.Errorf("got %+v", problems)
	}
}

func TestRawTextsStayWhatTheyAre(t *testing.T) {
	var v sample
	text := "id: 0123\nwords: [off, 1e3, 06:30, ~, null, yes, 0x1F, 1_000, 2026-01-02, .5, '', \"\"]\nnote: 1.50\n"
	if problems := Decode("", []byte(text), &v); problems != nil {
		t.Fatal(problems)
	}
	if got, want := strings.Join(v.Words, " "), "off 1e3 06:30 ~ null yes 0x1F 1_000 2026-01-02 .5  "; got != want {
		t.Errorf("got %q", got)
	}
	if v.ID != "0123" || v.Note != "1.50" {
		t.Errorf("got %q, %q", v.ID, v.Note)
	}
}

func TestNothingReadsAsNothing(t *testing.T) {
	var v sample
	if problems := Decode("", []byte("id: a\nwords:\nmany: []\ninner:\nnote:\n"), &v); problems != nil {
		t.Fatal(problems)
	}
	if !reflect.DeepEqual(v, sample{ID: "a"}) {
		t.Errorf("got %+v", v)
	}
}

// TestChecksGetPlaces: a check sees the value and its paths become places, of what is there or would be.
func TestChecksGetPlaces(t *testing.T) {
	text := "id: a\nmany:\n  - {id: b, count: 3}\n  - id: c\n    inner:\n      title: x\n    weight: 5\n"
	check := func(v any) []Issue {
		s := v.(*sample)
		if len(s.Many) != 2 || s.Many[1].Weight != 0 {
			t.Errorf("the check sees %+v", s)
		}
		is := Issue{Path: Path{"many", 0, "count"}, Text: "is three", Entity: "b"}
		is.Note(Path{"many", 1, "id"}, "see here")
		return []Issue{is, {Path: Path{"many", 1}, Text: "is second"}, {Path: Path{"many", 1, "inner"}, Text: "has a title"},
			{Path: Path{"many", 0, "side"}, Text: "is not there"}, {Path: Path{"many", 1, "weight"}, Text: "was refused already"}}
	}
	var v sample
	got := Decode("", []byte(text), &v, check)
	want := "3:5: side: is not there\n3:20: count: is three\n4:5: is second\n5:5: inner: has a title\n7:13: weight: \"5\" is not a weight; write for example 5 g"
	if got.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", got, want)
	}
	if n := got[1].Notes; len(n) != 1 || n[0].Place.Line != 4 || n[0].Place.Column != 9 {
		t.Errorf("notes %+v", n)
	}
	if got[1].Entity != "b" {
		t.Errorf("entity %q", got[1].Entity)
	}
}

func TestPathPrints(t *testing.T) {
	if got := (Path{"points", 3, "load", "power"}).String(); got != "points[3].load.power" {
		t.Error(got)
	}
}
