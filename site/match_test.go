package site

import (
	"bytes"
	"crypto/rand"
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/control"
	"wirewright/site/wire"
)

// plan makes a plan of controllers written as "id type [hardware]".
func plan(list ...string) *Plan {
	p := &Plan{House: "mill-lane"}
	for _, text := range list {
		f := append(strings.Fields(text), "")
		c := Controller{ID: f[0], Type: f[1], Hardware: f[2]}
		c.SetProgram(&control.Program{Controller: f[0]})
		p.Controllers = append(p.Controllers, c)
	}
	return p
}

// device makes a device written as "hardware type [name]"; one with a name has joined the house.
func device(text string) Device {
	f := append(strings.Fields(text), "")
	d := Device{Hardware: f[0], Type: f[1], Name: f[2], Setup: f[2] == ""}
	if d.Name != "" {
		d.House = "mill-lane"
	}
	return d
}

// lines writes findings in short, e.g. "hall.box matched 11".
func lines(list []Hailed) string {
	var out []string
	for _, h := range list {
		s := h.Controller + " " + string(h.Finding) + " " + h.Device.Hardware
		if len(h.Candidates) > 0 {
			s += " " + strings.Join(h.Candidates, "|")
		}
		out = append(out, strings.TrimSpace(s))
	}
	return strings.Join(out, "; ")
}

func TestMatch(t *testing.T) {
	for _, c := range []struct {
		name    string
		plan    []string
		devices []string
		want    string
	}{
		{"by name", []string{"hall relay", "stairs relay"}, []string{"11 relay hall", "12 relay stairs"}, "hall matched 11; stairs matched 12"},
		{"by identity before name", []string{"hall relay 12"}, []string{"12 relay stairs"}, "hall wrong 12"},
		{"identity differs", []string{"hall relay 11"}, []string{"12 relay hall"}, "hall wrong 12"},
		{"type differs", []string{"hall relay"}, []string{"11 dimmer hall"}, "hall wrong 11"},
		{"by identity, not yet joined", []string{"hall relay 11", "stairs relay 12"}, []string{"12 relay", "11 relay"}, "hall matched 11; stairs matched 12"},
		{"by type, only one of it", []string{"hall relay", "stairs dimmer"}, []string{"12 dimmer", "11 relay"}, "hall matched 11; stairs matched 12"},
		{"two could be it", []string{"hall relay", "stairs relay"}, []string{"11 relay"}, "hall missing; stairs missing; ambiguous 11 hall|stairs"},
		{"two for one place", []string{"hall relay"}, []string{"11 relay", "12 relay"}, "hall missing; ambiguous 11 hall; ambiguous 12 hall"},
		{"the rest is clear once names are matched", []string{"hall relay", "stairs relay"}, []string{"11 relay hall", "12 relay"}, "hall matched 11; stairs matched 12"},
		{"nobody planned it", []string{"hall relay"}, []string{"11 relay hall", "99 valve", "98 relay attic"}, "hall matched 11; unexpected 99; unexpected 98"},
		{"one that joined is not taken for another by its type", []string{"hall relay"}, []string{"11 relay attic"}, "hall missing; unexpected 11"},
		{"announced and entered", []string{"hall relay"}, []string{"11 relay hall", "11 relay hall"}, "hall matched 11"},
		{"nothing", []string{"hall relay"}, nil, "hall missing"},
	} {
		var devices []Device
		for _, d := range c.devices {
			devices = append(devices, device(d))
		}
		if got := lines(Match(plan(c.plan...), devices)); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// TestMatchLosesNothing: every controller has one line, every device stands in one line, whatever is announced.
func TestMatchLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom([]string{"relay", "dimmer"})
		var p *Plan
		var ids []string
		for i := range rapid.IntRange(0, 5).Draw(t, "controllers") {
			s := string(rune('a'+i)) + " " + kind.Draw(t, "type")
			if rapid.Bool().Draw(t, "known") {
				s += " " + string(rune('0'+rapid.IntRange(0, 7).Draw(t, "hardware")))
			}
			ids = append(ids, s)
		}
		p = plan(ids...)
		var devices []Device
		for i := range rapid.IntRange(0, 6).Draw(t, "devices") {
			s := string(rune('0'+i)) + " " + kind.Draw(t, "type")
			if rapid.Bool().Draw(t, "joined") {
				s += " " + string(rune('a'+rapid.IntRange(0, 6).Draw(t, "name")))
			}
			devices = append(devices, device(s))
		}
		got := Match(p, devices)
		seen := map[string]int{}
		for i, h := range got {
			if i < len(p.Controllers) != (h.Controller != "") || h.Text == "" {
				t.Fatalf("line %d: %+v", i, h)
			}
			if h.Device.Hardware != "" {
				seen[h.Device.Hardware]++
			}
			if c := p.Controller(h.Controller); h.Finding == Matched && (c.Type != h.Device.Type || c.Hardware != "" && c.Hardware != h.Device.Hardware) {
				t.Fatalf("matched %+v to %+v", h.Device, c)
			}
		}
		for _, d := range devices {
			if seen[d.Hardware] != 1 {
				t.Fatalf("device %s stands in %d lines: %s", d.Hardware, seen[d.Hardware], lines(got))
			}
		}
	})
}

func TestTasksEmptyThemselves(t *testing.T) {
	p := plan("hall relay", "stairs relay")
	s := &Standing{Sealed: map[string]bool{}, Tried: map[string]TryResult{}, Tests: []string{"key"}}
	want := func(when, list string) {
		t.Helper()
		var got []string
		for _, k := range Tasks(p, s) {
			got = append(got, strings.TrimSpace(k.Act+" "+k.Subject))
			if k.Text == "" {
				t.Errorf("%s: a task without a sentence: %+v", when, k)
			}
		}
		if g := strings.Join(got, ", "); g != list {
			t.Errorf("%s: %s, want %s", when, g, list)
		}
	}
	want("at first", "enrol hall, enrol stairs, load, try key")
	s.Sealed["hall"] = true
	want("one is enrolled", "find hall, enrol stairs, load, try key")
	s.Sealed["stairs"] = true
	s.Hailed = Match(p, []Device{device("11 relay hall"), device("12 dimmer stairs"), device("13 valve")})
	want("one is another type", "settle stairs, settle 13, load, try key")
	s.Hailed = Match(p, []Device{device("11 relay hall"), device("12 relay stairs")})
	want("found", "attest, try key")
	good := func(c int, epoch uint32) Attested {
		d := p.Controllers[c].Digest
		return Attested{Controller: p.Controllers[c].ID, Want: d, Answer: wire.Answer{Running: wire.Loaded{Epoch: epoch, Digest: d}}}
	}
	s.Attested = []Attested{good(0, 3), {Controller: "stairs", Want: p.Controllers[1].Digest}}
	want("one runs nothing", "load, try key")
	s.Attested = []Attested{good(0, 3), good(1, 4)}
	want("two epochs", "load, try key")
	s.Attested[0] = good(0, 4)
	want("loaded", "try key")
	s.Tried["key"] = TryResult{Epoch: 3, Passed: true}
	want("tried in an epoch before", "try key")
	s.Tried["key"] = TryResult{Epoch: 4}
	want("failed", "try key")
	s.Tried["key"] = TryResult{Epoch: 4, Passed: true}
	want("passed", "")
}

func TestSecrets(t *testing.T) {
	seen := map[string]bool{}
	letters := map[rune]int{}
	for range 2000 {
		s, err := NewSecret(rand.Reader, SecretLength)
		if err != nil || len(s) != SecretLength || seen[s] {
			t.Fatalf("%q (%v)", s, err)
		}
		seen[s] = true
		for _, r := range s {
			letters[r]++
		}
	}
	if len(letters) != len(secretLetters) {
		t.Errorf("%d letters were used of %d", len(letters), len(secretLetters))
	}
	for _, r := range "0Oo1lI" {
		if letters[r] > 0 {
			t.Errorf("%c is easily mistaken", r)
		}
	}
	// 56 letters: 93 bits in 16 characters, above the 64 that NIST SP 800-63B, 5.1.2.2 asks for without a throttle.
	if bits := SecretLength * math.Log2(float64(len(secretLetters))); bits < 64 {
		t.Errorf("only %.1f bits", bits)
	}
	mean := float64(2000*SecretLength) / float64(len(secretLetters))
	for r, n := range letters {
		if math.Abs(float64(n)-mean) > 6*math.Sqrt(mean) { // six standard deviations: once in 10⁷ runs
			t.Errorf("%c came %d times, %.0f are expected", r, n, mean)
		}
	}
	for _, c := range []struct {
		source string
		n      int
	}{{strings.Repeat("a", 100), 7}, {"abc", 16}, {strings.Repeat("\xff", 5000), 16}} {
		if s, err := NewSecret(strings.NewReader(c.source), c.n); err == nil {
			t.Errorf("%d characters of %.3q gave %q", c.n, c.source, s)
		}
	}
}

// safe is a store of secrets in memory.
type safe map[string]string

func (s safe) Seal(name, secret string) error { s[name] = secret; return nil }
func (s safe) Open(name string) (string, error) {
	if v, ok := s[name]; ok {
		return v, nil
	}
	return "", ErrNoSecret
}

func TestSecretsAreNeverTheSameTwice(t *testing.T) {
	p, s := plan("hall relay", "stairs relay"), safe{}
	stuck := func() *bytes.Reader { return bytes.NewReader(bytes.Repeat([]byte{7}, 1000)) }
	first, err := secretFor(p, s, stuck(), moduleSecret("hall"))
	if err != nil {
		t.Fatal(err)
	}
	if again, err := secretFor(p, s, rand.Reader, moduleSecret("hall")); err != nil || again != first {
		t.Errorf("taken up again: %q (%v), first %q", again, err, first)
	}
	if second, err := secretFor(p, s, stuck(), moduleSecret("stairs")); err == nil {
		t.Errorf("a stuck source gave %q again", second)
	}
	if _, ok := s[moduleSecret("stairs")]; ok {
		t.Error("the same secret was sealed")
	}
}

func TestAccountsKnowOnlyThePlan(t *testing.T) {
	p, s := plan("hall relay", "stairs relay"), safe{"module/hall": "hall-secret-1", "module/attic": "attic-secret"}
	a, err := NewAccounts(p, s, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	for user, want := range map[string]string{"hall": "hall-secret-1", "stairs": "", "attic": "", "": "", wire.SiteUser: s["site"]} {
		got, ok := a.Account(user)
		if got.Secret != want || ok != (want != "") {
			t.Errorf("%q: %q %v", user, got.Secret, ok)
		}
	}
	s["module/hall"] = "hall-secret-2"
	a.Forget("hall")
	if got, _ := a.Account("hall"); got.Secret != "hall-secret-2" {
		t.Errorf("after a change %q", got.Secret)
	}
}

func TestNetworkPasswords(t *testing.T) {
	for password, ok := range map[string]bool{"1234567": false, "12345678": true, strings.Repeat("x", 63): true, strings.Repeat("x", 64): false, "mühlenweg": false} {
		if err := SetNetwork(safe{}, password); (err == nil) != ok {
			t.Errorf("%q: %v", password, err)
		}
	}
}

func TestHouseNames(t *testing.T) {
	for title, want := range map[string]string{"Mill Lane 7": "mill-lane-7", "  ": "house", "Haus/Müller+#": "haus-müller", "a": "a"} {
		if got := HouseName(title); got != want {
			t.Errorf("%q: %q", title, got)
		}
	}
	if got := HouseName(strings.Repeat("long ", 50)); len(got) > 50 {
		t.Errorf("%d octets", len(got))
	}
}

func TestLoadErrorSaysWhatStands(t *testing.T) {
	e := &LoadError{Epoch: 4, Act: "stage", Err: errors.New("hall: away"), Rollback: errors.New("hall: away")}
	if s := e.Error(); !strings.Contains(s, "epoch 4 could not be staged everywhere, and was rolled back: hall: away; not rolled back") {
		t.Error(s)
	}
	e = &LoadError{Epoch: 4, Act: "activate", Err: ErrAway}
	if s := e.Error(); !strings.Contains(s, "could not be activated") || !errors.Is(e, ErrAway) {
		t.Error(s)
	}
}
