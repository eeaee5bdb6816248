package behaviour

import (
	"strings"
	"testing"
)

// TestTourCompiles compiles every example of the tour of the language, each for itself, and wants it in its canonical
// form.
func TestTourCompiles(t *testing.T) {
	text := read(t, "../docs/behaviour.md")
	parts := strings.Split(text, "```behaviour\n")[1:]
	if len(parts) < 6 {
		t.Fatalf("%d examples in the tour", len(parts))
	}
	for _, p := range parts {
		example, _, closed := strings.Cut(p, "```")
		if !closed {
			t.Fatal("an example is not closed")
		}
		c, problems := Compile(sampleHouse(t, example))
		if len(problems) > 0 {
			t.Errorf("%s\n%v", example, problems)
			continue
		}
		if formatted, _ := Format("", example); formatted != example {
			t.Errorf("formatted differently:\n%s\nwant\n%s", formatted, example)
		}
		for _, r := range c.Rules {
			if len(r.Controllers) == 0 {
				t.Errorf("the rule %s is in no program", r.Name)
			}
		}
	}
}
