package circuit

import (
	"bytes"
	"math"
	"strings"
	"testing"
)

func TestEverySetIsWhole(t *testing.T) {
	for _, name := range RuleNames() {
		r, err := NamedRules(name)
		if err != nil {
			t.Fatal(err)
		}
		if r.Name != name {
			t.Errorf("%s is named %s", name, r.Name)
		}
		for n, span := range limitRanges() {
			l := r.Limit(n)
			if l.Name != n || l.Title == "" || l.Source == "" || !(l.Value >= span.least && l.Value <= span.most) {
				t.Errorf("%s: limit %s is not whole: %+v", name, n, l)
			}
		}
		for _, d := range r.Diversity {
			if d.Source == "" {
				t.Errorf("%s: the factor of %s has no source", name, d.Use)
			}
		}
	}
	if _, err := NamedRules("atlantis"); err == nil || !strings.Contains(err.Error(), "bs7671-2018") {
		t.Errorf("an unknown set: %v", err)
	}
	if _, ok := any(base(t).Limit("no such")).(Limit); !ok || base(t).Value("no such") != 0 {
		t.Error("a limit of nothing")
	}
}

// The base that comes without an error is the one that is read with one, and is the caller's own.
func TestIECIsTheBase(t *testing.T) {
	r := IEC()
	if !bytes.Equal(r.Text(), base(t).Text()) {
		t.Error("IEC is not the base set")
	}
	r.Limits[0].Value = 99
	if IEC().Limits[0].Value == 99 {
		t.Error("who changes his set changes everybody's")
	}
}

const ownRules = `format: wirewright circuit rules 1
name: own
title: Stricter than asked
base: bs7671-2008
limits:
  - {name: drop-other, value: 3, source: house rule}
diversity:
  - {use: sockets, rest: 0.5, source: measured}
  - {use: sauna, rest: 1, source: measured}
`

func TestOwnSetStandsOnItsBase(t *testing.T) {
	r, err := ReadRules("own.yaml", []byte(ownRules))
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]float64{DropOther: 3, VoltageLeast: 1, DropLighting: 3, TouchVoltage: 50} {
		if got := r.Value(name); got != want {
			t.Errorf("%s: %g, want %g", name, got, want)
		}
	}
	if l := r.Limit(DropOther); l.Unit != "%" || l.Title == "" || l.Source != "house rule" {
		t.Errorf("the title and unit of the base are lost: %+v", l)
	}
	if d, err := MaximumDemand([]Use{{"sauna", 1, 20}, {UseSockets, 1, 10}}, r); err != nil || d.Most != 25 {
		t.Errorf("demand %+v %v", d, err)
	}
	if !bytes.Contains(r.Text(), []byte("name: drop-other")) || !strings.Contains(r.String(), "own") {
		t.Error("the set does not print itself")
	}
	// What is printed reads back.
	again, err := ReadRules("own.yaml", r.Text())
	if err != nil || !bytes.Equal(again.Text(), r.Text()) {
		t.Errorf("the printed set reads differently: %v", err)
	}
}

func TestMistakesInASetAreSaid(t *testing.T) {
	for _, c := range []struct{ from, to, want string }{
		{"drop-other", "drop-othr", "did you mean drop-other"},
		{"value: 3", "value: 30", "expected 0.5 to 10"},
		{"base: bs7671-2008", "base: atlantis", "atlantis"},
		{"rules 1", "rules 2", "rules"},
		{"use: sauna", "use: sockets", "twice"},
		{"source: house rule", "sauce: house rule", "sauce"},
	} {
		if _, err := ReadRules("own.yaml", []byte(strings.Replace(ownRules, c.from, c.to, 1))); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.to, err)
		}
	}
	if _, err := ReadRules("iec.yaml", []byte("format: wirewright circuit rules 1\nname: iec\ntitle: empty\n")); err == nil || !strings.Contains(err.Error(), "lacks") {
		t.Errorf("an empty base: %v", err)
	}
}

func FuzzReadRules(f *testing.F) {
	f.Add([]byte(ownRules))
	for _, name := range RuleNames() {
		text, err := ruleSets.ReadFile("rules/" + name + ".yaml")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Add([]byte("limits:\n  - {name: touch-voltage, value: .nan, source: x}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := ReadRules("fuzz.yaml", text)
		if err != nil {
			return
		}
		for _, l := range r.Limits {
			if math.IsNaN(l.Value) || math.IsInf(l.Value, 0) {
				t.Fatalf("limit %s is %g", l.Name, l.Value)
			}
		}
		if _, err := MaximumDemand([]Use{{UseOther, 1, 10}}, r); err != nil && len(r.Diversity) > 0 && r.Base != "" {
			t.Fatalf("a set without the factor of its base: %v", err)
		}
	})
}
