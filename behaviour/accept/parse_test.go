package accept

import (
	"flag"
	"os"
	"reflect"
	"strings"
	"testing"

	"wirewright/internal/corpus"
	"wirewright/internal/problem"
)

var rewrite = flag.Bool("rewrite", false, "write the golden files anew")

func TestEveryMistakeIsReportedBesideItsLine(t *testing.T) {
	corpus.Mistakes(t, "testdata/errors.txt", *rewrite, func(text string) problem.List {
		_, problems := Parse("", text)
		return problems
	})
}

func TestCheckHoldsTestsAgainstTheHouse(t *testing.T) {
	c := sample(t, "")
	tests := parsed(t, "", `test "all wrong"
  of rule porch-lihgt
  press hall.keys.9
  press hall.lamp.1
  set kitchen.window to occupied
  set garden.wind to 20 °C
  set away to on
  set season to spring
  expect mode season is
  expect mode season spring
  expect hall.flor on
  expect hall.ceiling 40 %
  expect living.ceiling 40 %
  expect hall.ceiling moves up
  expect kitchen.keys on
  expect porch.lamp unknown
`)
	var got []string
	for _, p := range Check(c, "", tests) {
		got = append(got, p.String())
	}
	want := []string{
		"1: there is no rule porch-lihgt (did you mean porch-light?)",
		"3: there is no key hall.keys.9 (did you mean hall.keys.1?)",
		"4: there is no key hall.lamp.1",
		"5: kitchen.window is never occupied",
		"6: garden.wind is never 20 °C",
		"7: away is a mode (write mode away)",
		"8: season is a mode (write mode season)",
		"9: mode season is never is",
		"10: mode season is never spring",
		"11: there is no point or mode hall.flor (did you mean hall.floor?)",
		"12: hall.ceiling is never 40 %",
		"14: hall.ceiling has no motor",
		"15: kitchen.keys is a keypad (write kitchen.keys.1)",
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// withoutLines sets the lines of tests to zero, so that differently laid out texts can be compared.
func withoutLines(tests []Test) []Test {
	for i := range tests {
		tests[i].Line = 0
		for j := range tests[i].Steps {
			s := &tests[i].Steps[j]
			s.Line = 0
			if q := s.State.Quantity; q != nil {
				q.At.Line, q.At.Column = 0, 0
			}
		}
	}
	return tests
}

func TestHandWrittenTestsAreTheirOwnFormat(t *testing.T) {
	text := readFile(t, "testdata/language.txt")
	if got := Format(parsed(t, "", text)); got != text {
		t.Errorf("formatted differently:\n%s", got)
	}
}

func TestGeneratedTestsCanBeWrittenAndReadAgain(t *testing.T) {
	c := sample(t, "")
	made := Generate(c)
	text := Format(made)
	if *rewrite {
		if err := os.WriteFile("testdata/generated.txt", []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if want := readFile(t, "testdata/generated.txt"); text != want {
		t.Errorf("the tests made from the sample differ from testdata/generated.txt; run with -rewrite and look at the change")
	}
	read := parsed(t, "", text)
	if problems := Check(c, "", read); len(problems) > 0 {
		t.Error(problems)
	}
	if !reflect.DeepEqual(withoutLines(read), withoutLines(made)) {
		t.Error("the tests read differently from how they were made")
	}
}

func FuzzParse(f *testing.F) {
	for _, name := range []string{"testdata/language.txt", "testdata/errors.txt", "testdata/generated.txt"} {
		for _, part := range strings.Split(readFile(f, name), "\ntest ") {
			f.Add("test " + part)
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		tests, problems := Parse("f", text)
		if len(problems) > 0 {
			return
		}
		printed := Format(tests)
		again, problems := Parse("f", printed)
		if len(problems) > 0 {
			t.Fatalf("%q is printed as %q, which has %v", text, printed, problems)
		}
		if !reflect.DeepEqual(withoutLines(tests), withoutLines(again)) {
			t.Fatalf("%q is printed as %q, which reads differently", text, printed)
		}
	})
}
