package behaviour

import (
	"fmt"
	"strings"
	"testing"

	"wirewright/house"
	"wirewright/internal/corpus"
	"wirewright/internal/problem"
)

func TestEveryMistakeAgainstTheHouseIsReported(t *testing.T) {
	corpus.Mistakes(t, "testdata/mistakes.txt", *rewrite, func(text string) problem.List {
		_, problems := Compile(sampleHouse(t, text))
		return problems
	})
}

func TestHouseWithoutBehaviourObeysPlainCommands(t *testing.T) {
	c := compiled(t, "")
	if len(c.Programs) != 7 {
		t.Fatalf("%d programs, want one for each of 7 controllers", len(c.Programs))
	}
	for _, p := range c.Programs {
		if len(p.Rules) != 0 || len(p.Slots) == 0 {
			t.Errorf("%s: %d rules and %d slots, want slots alone", p.Controller, len(p.Rules), len(p.Slots))
		}
	}
	if at, slot, ok := c.Place("bath.fan"); !ok || at != "bath.box" || c.Program(at).Slots[slot].Name != "bath.fan" {
		t.Errorf("bath.fan is placed at %s %d %v", at, slot, ok)
	}
	if _, _, ok := c.Place("attic.lamp"); ok {
		t.Error("a point that is not landed has a place")
	}
	if len(c.Unplaced) != 1 || c.Unplaced[0].Point != "attic.lamp" {
		t.Errorf("unplaced: %v", c.Unplaced)
	}
}

func TestHouseWithoutAnythingCompiles(t *testing.T) {
	c, problems := Compile(&house.House{Behaviour: "mode a is on\nat 06:30: notify \"up\"\n"}, nil)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if len(c.Programs) != 0 || c.Listing() == "" {
		t.Errorf("%d programs, listing %q", len(c.Programs), c.Listing())
	}
	if len(c.Findings) == 0 || c.Findings[0].Slug != "mode/never-read" && c.Findings[0].Slug != "mode/never-set" {
		t.Errorf("findings: %v", c.Findings)
	}
}

func TestUnplacedPointsAreDoneWithout(t *testing.T) {
	c := compiled(t, "when hall.keys.1 is pressed: turn on attic.lamp and hall.ceiling\nwhen hall.keys.2 is pressed: turn off hall.ceiling; turn off attic.lamp\nwhen hall.keys.3 is pressed, if attic.lamp is on: toggle hall.ceiling\n")
	var slugs []string
	for _, f := range c.Findings {
		slugs = append(slugs, fmt.Sprint(f.Slug, " ", f.Line))
	}
	want := []string{"rule/unplaced 1", "rule/unplaced 2", "rule/unplaced 3"}
	for _, w := range want {
		if !strings.Contains(strings.Join(slugs, ","), w) {
			t.Errorf("no finding %s in %v", w, slugs)
		}
	}
	if r := c.Rules[2]; len(r.Controllers) != 0 {
		t.Errorf("a rule whose condition cannot be read lives on %v", r.Controllers)
	}
	if n := len(c.Program("board1.head").Rules); n != 2 {
		t.Errorf("%d rules, want the 2 that can be done", n)
	}
}

func TestTooLargeAProgramIsRefusedWithTheFigure(t *testing.T) {
	var b strings.Builder
	for i := range 61 {
		fmt.Fprintf(&b, "at %02d:%02d: turn on porch.lamp for 1 min\n", i/60+1, i%60)
	}
	_, problems := Compile(sampleHouse(t, b.String()))
	if len(problems) == 0 || !strings.Contains(problems.Error(), "the program of controller porch.box has 122 rules, a relay-wifi-1x5-in1 has room for 60") {
		t.Errorf("got %v", problems)
	}
}
