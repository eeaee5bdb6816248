package behaviour

import (
	"os"
	"strings"
	"testing"

	"wirewright/catalogue"
	"wirewright/house"
)

// sampleHouse reads the house of testdata with a behaviour text.
func sampleHouse(t testing.TB, text string) (*house.House, *catalogue.Catalogue) {
	t.Helper()
	b, err := os.ReadFile("testdata/house.yaml")
	if err != nil {
		t.Fatal(err)
	}
	h, err := house.Read("house.yaml", b)
	if err != nil {
		t.Fatal(err)
	}
	h.Behaviour = text
	cat, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	return h, cat
}

func read(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// compiled compiles a text for the house of testdata and wants no mistake.
func compiled(t testing.TB, text string) *Compiled {
	t.Helper()
	c, problems := Compile(sampleHouse(t, text))
	if len(problems) > 0 {
		t.Fatalf("mistakes:\n%v", problems)
	}
	return c
}

func TestSampleCompiles(t *testing.T) {
	c := compiled(t, read(t, "testdata/sample.txt"))
	for _, p := range c.Programs {
		if err := p.Check(); err != nil {
			t.Errorf("%s: %v", p.Controller, err)
		}
		t.Logf("%s: %d rules %d slots", p.Controller, len(p.Rules), len(p.Slots))
	}
	for _, u := range c.Unplaced {
		t.Log(u)
	}
	for _, r := range c.Rules {
		t.Log(r.Name, r.Controllers, r.Reads, r.Writes, r.Crosses)
	}
	t.Log(strings.Repeat("-", 10))
}
