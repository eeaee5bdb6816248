package behaviour

import (
	"strings"
	"testing"

	"wirewright/control"
)

// FuzzCompile checks that no text makes the compiler fail, and that what it gives out without a mistake can be stepped:
// the control core finds the programs sound, they survive being written and read, and starting them breaks nothing.
func FuzzCompile(f *testing.F) {
	for _, name := range []string{"testdata/sample.txt", "testdata/mistakes.txt"} {
		text := read(f, name)
		f.Add(text)
		for _, line := range strings.Split(text, "\n") {
			f.Add(line)
		}
	}
	h, cat := sampleHouse(f, "")
	f.Fuzz(func(t *testing.T, text string) {
		house := *h
		house.Behaviour = text
		c, problems := Compile(&house, cat)
		c.Listing()
		c.Matrix()
		if len(problems) > 0 {
			return
		}
		for _, p := range c.Programs {
			again, err := control.Decode(p.Encode())
			if err != nil || again.Digest() != p.Digest() {
				t.Fatalf("%q: the program of %s does not survive: %v", text, p.Controller, err)
			}
			s := p.NewState()
			p.Step(s, control.Event{Kind: control.EventStart, Slot: -1}, nil)
			if wrong := p.Invariant(s); wrong != "" {
				t.Fatalf("%q: %s after the start: %s", text, p.Controller, wrong)
			}
		}
	})
}
