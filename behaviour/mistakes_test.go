package behaviour

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"wirewright/house"
)

// mark introduces the expected messages behind the line that they are about.
const mark = "  #> "

func TestEveryMistakeAgainstTheHouseIsReported(t *testing.T) {
	const name = "testdata/mistakes.txt"
	lines := strings.Split(strings.TrimSuffix(read(t, name), "\n"), "\n")
	want := make([]string, len(lines))
	for i, l := range lines {
		if at := strings.LastIndex(l, mark); at >= 0 {
			lines[i], want[i] = l[:at], l[at+len(mark):]
		}
	}
	_, problems := Compile(sampleHouse(t, strings.Join(lines, "\n")))
	got := make([]string, len(lines))
	for _, p := range problems {
		if p.Line == 0 {
			t.Fatalf("a mistake without a line: %v", p)
		}
		m := fmt.Sprintf("%d: %s", p.Column, p.Text)
		if p.Hint != "" {
			m += " (" + p.Hint + ")"
		}
		for _, n := range p.Notes {
			m += fmt.Sprintf(" [line %d: %s]", n.Place.Line, n.Text)
		}
		if got[p.Line-1] != "" {
			m = got[p.Line-1] + " | " + m
		}
		got[p.Line-1] = m
	}
	if *rewrite {
		for i := range lines {
			if got[i] != "" {
				lines[i] += mark + got[i]
			}
		}
		if err := os.WriteFile(name, []byte(strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	for i := range lines {
		if got[i] != want[i] {
			t.Errorf("line %d: %s\n got %s\nwant %s", i+1, lines[i], got[i], want[i])
		}
	}
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
