package behaviour

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// found lists the findings of a text as "slug line severity", without those that every short text has.
func found(t *testing.T, text string) []string {
	t.Helper()
	var list []string
	for _, f := range compiled(t, text).Findings {
		if f.Slug != "key/no-rule" && f.Slug != "wish/no-rule" && !strings.HasPrefix(f.Slug, "mode/never") {
			list = append(list, fmt.Sprintf("%s %d %s", f.Slug, f.Line, f.Severity))
		}
	}
	return list
}

// TestSeededFaults has one fault of every class and its corrected twin: the fault is found, and the twin has none.
// The ring of four is the check case of the reference for chained causes: P on, Q on, P off, Q off, with period 4.
func TestSeededFaults(t *testing.T) {
	const on, off = "when hall.keys.1 is pressed: turn on hall.ceiling\n", "when hall.keys.2 is pressed: turn off hall.ceiling\n"
	const modes = "mode p is off\nmode q is off\n"
	ring := modes + "when p turns on: set q to on\nwhen q turns on: set p to off\nwhen p turns off: set q to off\nwhen q turns off: set p to on\n"
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"no way off", on, []string{"rule/no-way-off 1 fault"}},
		{"way off by another key", on + off, nil},
		{"way off by toggling", on + "when hall.keys.2 is pressed: toggle hall.ceiling", nil},
		{"way off by itself", "when hall.keys.1 is pressed: turn on hall.ceiling for 3 min", nil},
		{"way off in a scene", on + "scene s: all lamps except attic.lamp off\nwhen hall.keys.2 is pressed: set scene s", nil},
		{"double", on + off + on, []string{"rule/double 3 caution"}},
		{"conflict", on + off + "when hall.keys.1 is pressed: turn off hall.ceiling", []string{"rule/conflict 3 fault"}},
		{"conflict in a group", on + off + "when hall.keys.1 is pressed: turn off all lamps of hall", []string{"rule/conflict 3 fault"}},
		{"conflict under conditions", "mode p is off\n" + on + off + "when hall.keys.1 is pressed, if p: turn off hall.ceiling", []string{"rule/conflict 4 caution"}},
		{"conditions that exclude", "mode p is off\n" + off + "when hall.keys.1 is pressed, if p: turn off hall.ceiling\nwhen hall.keys.1 is pressed, unless p: turn on hall.ceiling", nil},
		{"words that exclude", "mode p is a or b\n" + off + "when hall.keys.1 is pressed, if p is a: turn off hall.ceiling\nwhen hall.keys.1 is pressed, if p is b: turn on hall.ceiling", nil},
		{"conflict in one rule", "when hall.keys.1 is pressed: raise living.shutter; lower all shutters", []string{"rule/conflict 1 fault"}},
		{"later is no conflict", "when hall.keys.1 is pressed: turn on hall.ceiling; turn off hall.ceiling after 5 s", nil},
		{"ring of four", ring, []string{"rule/cycle 3 fault"}},
		{"ring that is broken", strings.Replace(ring, "when q turns off: set p to on\n", "", 1), nil},
		{"ring that comes to rest", modes + "when p turns on: set q to on\nwhen q turns on: set p to on\n", nil},
		{"ring with a delay", "when hall.ceiling turns on: turn off hall.ceiling after 5 s\nwhen hall.ceiling turns off: turn on hall.ceiling after 5 s", []string{"rule/cycle 1 caution"}},
		{"ring by toggling", "when hall.ceiling turns on: toggle living.wall\nwhen living.wall turns on: toggle hall.ceiling\nwhen living.wall turns off: toggle hall.ceiling\nwhen hall.ceiling turns off: toggle living.wall", []string{"rule/cycle 1 fault"}},
		{"missing cause", "when porch.presence begins, if dark: turn on porch.lamp for 1 min", []string{"rule/missing-cause 1 remark"}},
		{"a person at a key needs no further cause", "when hall.keys.1 is pressed, if dark: turn on porch.lamp for 1 min", nil},
	} {
		if got := found(t, c.text); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

func TestRingIsTold(t *testing.T) {
	c := compiled(t, "mode p is off\nmode q is off\nwhen p turns on: set q to on\nwhen q turns on: set p to off\nwhen p turns off: set q to off\nwhen q turns off: set p to on\n")
	const want = "mode q on, then mode p off, then mode q off, then mode p on, and again (lines 3, 4, 5, 6)"
	for _, f := range c.Findings {
		if f.Slug == "rule/cycle" {
			if !strings.HasSuffix(f.Text, want) {
				t.Errorf("got %q, want it to end with %q", f.Text, want)
			}
			return
		}
	}
	t.Error("the ring is not found")
}

func TestPolarHouseIsWarnedOfDaysWithoutSunset(t *testing.T) {
	h, cat := sampleHouse(t, "at sunset: turn on hall.ceiling for 1 h\nat sunset but not after 21:00: turn on living.wall for 1 h\n")
	h.Site.Latitude = 69_649_200 // Tromsø, where the sun does not set in June nor rise in December
	c, problems := Compile(h, cat)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	var lines []int
	for _, f := range c.Findings {
		if f.Slug == "rule/no-sunset" {
			lines = append(lines, f.Line)
		}
	}
	if !slices.Equal(lines, []int{1}) {
		t.Errorf("warned on lines %v, want 1 alone", lines)
	}
}

func TestEverySlugIsExplained(t *testing.T) {
	known := map[string]bool{}
	last := ""
	for _, s := range Slugs() {
		known[s.Slug] = true
		if s.Slug <= last || s.Title == "" || s.Why == "" || s.Source == "" {
			t.Errorf("slug %q after %q: out of order or not explained", s.Slug, last)
		}
		last = s.Slug
	}
	for _, f := range compiled(t, read(t, "testdata/sample.txt")).Findings {
		if !known[f.Slug] || f.Text == "" || f.Remedy == "" {
			t.Errorf("finding without explanation: %+v", f)
		}
	}
}
