package accept

import (
	"context"
	"os"
	"testing"
)

func readFile(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// parsed reads an acceptance text and wants no mistake.
func parsed(t testing.TB, name, text string) []Test {
	t.Helper()
	tests, problems := Parse(name, text)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return tests
}

func TestWhatTheFormsOfTheLanguageMean(t *testing.T) {
	c := sample(t, readFile(t, "testdata/language.behaviour"))
	tests := parsed(t, "language.txt", readFile(t, "testdata/language.txt"))
	if problems := Check(c, "language.txt", tests); len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, r := range Run(context.Background(), tests, newTiny(t, c), nil) {
		if r.Outcome != Passed {
			t.Errorf("line %d, %s: %s\n%s", r.Line, r.Outcome, r.Test, r.Text)
		}
	}
}
