package behaviour

import (
	"slices"
	"strings"
	"testing"

	"wirewright/control"
)

// TestPlacement says for one rule each where it lives and what of it crosses the network.
func TestPlacement(t *testing.T) {
	const modes = "mode away is off\nwhen hall.keys.4 is pressed: toggle away\n"
	for _, c := range []struct {
		name, text  string
		controllers []string
		crosses     []string
		commands    int
	}{
		{"cause and output on one line", "when hall.keys.1 is pressed: toggle hall.ceiling", []string{"board1.head"}, nil, 0},
		{"cause and output in one box", "when bedroom.keys.1 is pressed: toggle bedroom.ceiling", []string{"bedroom.box"}, nil, 0},
		{"output elsewhere", "when hall.keys.1 is pressed: toggle porch.lamp", []string{"board1.head"}, []string{"commands porch.lamp on porch.box"}, 1},
		{"the cause decides, not the output", "when bedroom.keys.1 is pressed: toggle hall.ceiling", []string{"bedroom.box"}, []string{"commands hall.ceiling on board1.head"}, 1},
		{"a condition elsewhere", "when porch.presence begins, if kitchen.window is closed: turn on porch.lamp for 1 min", []string{"porch.box"},
			[]string{"reads kitchen.window from board1.head"}, 0},
		{"a group over controllers", "when hall.keys.1 is pressed: toggle all lamps of porch; turn off all lamps of bath", []string{"board1.head"},
			[]string{"commands porch.lamp on porch.box", "commands bath.lamp on bath.box"}, 2},
		{"a group toggled reads what it decides on", "group g: hall.ceiling and porch.lamp\nwhen hall.keys.1 is pressed: toggle g", []string{"board1.head"},
			[]string{"reads porch.lamp from porch.box", "commands porch.lamp on porch.box"}, 1},
		{"two causes, two places", "when hall.keys.1 is pressed or bedroom.keys.1 is pressed: toggle bedroom.ceiling", []string{"board1.head", "bedroom.box"},
			[]string{"commands bedroom.ceiling on bedroom.box"}, 1},
		{"the clock goes to the output", "at 23:00: turn off bath.fan", []string{"bath.box"}, nil, 0},
		{"the clock goes to most outputs", "at 23:00: turn off bath.fan, hall.ceiling and living.wall", []string{"board1.head"}, []string{"commands bath.fan on bath.box"}, 1},
		{"a notice goes to what is read", "at 23:00, if porch.presence is occupied: notify \"late\"", []string{"porch.box"}, nil, 0},
		{"a notice of nothing goes to the first", "at 23:00: notify \"late\"", []string{"board1.head"}, nil, 0},
		{"a message is heard at the output", "when message \"bell\" arrives: turn on porch.lamp for 1 min", []string{"porch.box"}, []string{"hears the message bell"}, 0},
		{"a hold stands at its output", "while garden.rain is wet: hold garden.awning raised", []string{"garden.box"}, []string{"reads garden.rain from board1.head"}, 0},
		{"holds at every owner", "while hall.light is above 100 lx until below 50 lx: hold porch.lamp and hall.ceiling off", []string{"board1.head", "porch.box"},
			[]string{"reads hall.light from board1.head"}, 0},
		{"power returns at every owner", "when power returns: turn off porch.lamp and hall.ceiling", []string{"board1.head", "porch.box"}, nil, 0},
		{"a loss is told at the output", "when module porch.box is lost: turn on hall.ceiling for 1 min", []string{"board1.head"}, nil, 0},
		{"another make's mode", modes + "when hall.keys.1 is pressed, unless away: toggle hall.ceiling", []string{"board1.head"}, nil, 0},
	} {
		out := compiled(t, c.text)
		r := out.Rules[len(out.Rules)-1]
		if !slices.Equal(r.Controllers, c.controllers) || !slices.Equal(r.Crosses, c.crosses) || r.Commands != c.commands {
			t.Errorf("%s:\n got %v %q %d\nwant %v %q %d", c.name, r.Controllers, r.Crosses, r.Commands, c.controllers, c.crosses, c.commands)
		}
		if r.Controller != c.controllers[0] {
			t.Errorf("%s: the first controller is %s", c.name, r.Controller)
		}
	}
}

// TestModesLiveWhereTheyAreSet: the owner of a mode is the controller that has most to do with it.
func TestModesLiveWhereTheyAreSet(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"mode m is off\n", "board1.head"},
		{"mode m is off\nwhen bedroom.keys.1 is pressed: toggle m\n", "bedroom.box"},
		{"mode m is off\nwhen bedroom.keys.1 is pressed: toggle m\nwhen hall.keys.1 is pressed: toggle m\n", "board1.head"},
		{"mode m is off\nwhen bedroom.keys.1 is pressed: toggle m\nwhen hall.keys.1 is pressed, if m: toggle hall.ceiling\n", "bedroom.box"},
	} {
		out := compiled(t, c.text)
		if got := out.Modes[0].Controller; got != c.want {
			t.Errorf("%q: the mode lives on %s, want %s", c.text, got, c.want)
		}
		at, slot, ok := out.Place("mode m")
		if s := out.Program(at).Slots[slot]; !ok || at != c.want || s.Kind != control.SlotVar || !s.Publish || !s.Retain {
			t.Errorf("%q: placed at %s as %+v", c.text, at, s)
		}
	}
}

// TestRecognitionOnlyWhereItIsNeeded: a key acts at once unless a rule waits for it to be held or pressed twice.
func TestRecognitionOnlyWhereItIsNeeded(t *testing.T) {
	for _, c := range []struct {
		text      string
		press     control.CauseKind
		long, gap int32
	}{
		{"when hall.keys.1 is pressed: toggle hall.ceiling", control.CausePress, 0, 0},
		{"when hall.keys.1 is pressed: toggle hall.ceiling\nwhen hall.keys.2 is held: turn off living.wall", control.CausePress, 0, 0},
		{"when hall.keys.1 is pressed: toggle hall.ceiling\nwhen hall.keys.1 is held: turn off living.wall", control.CauseShort, control.LongUsual, 0},
		{"when hall.keys.1 is pressed: toggle hall.ceiling\nwhen hall.keys.1 is let go: turn off living.wall", control.CauseShort, control.LongUsual, 0},
		{"when hall.keys.1 is pressed: toggle hall.ceiling\nwhen hall.keys.1 is pressed twice: turn off living.wall", control.CauseShort, 0, control.GapUsual},
		{"when hall.keys.1 is pressed: toggle hall.ceiling\nwhen hall.keys.1 is pressed twice or hall.keys.1 is held: turn off living.wall", control.CauseShort, control.LongUsual, control.GapUsual},
	} {
		p := compiled(t, c.text).Program("board1.head")
		if got := p.Causes[p.Rules[0].Causes.First].Kind; got != c.press {
			t.Errorf("%q: cause %d, want %d", c.text, got, c.press)
		}
		i := slices.IndexFunc(p.Gestures, func(g control.Gesture) bool { return p.Slots[g.Slot].Name == "hall.keys.1" })
		if g := p.Gestures[i]; g.Long != c.long || g.Gap != c.gap || g.Debounce != control.DebounceUsual {
			t.Errorf("%q: %+v", c.text, g)
		}
	}
}

// TestCommandsExpire: what comes too late does nothing, and how late is too late depends on what is moved.
func TestCommandsExpire(t *testing.T) {
	c := compiled(t, `mode away is off
when bedroom.keys.1 is pressed: toggle hall.ceiling; lower living.shutter; turn on living.valve; set away to on; hold living.wall off
when hall.keys.1 is pressed: toggle away; release living.wall; turn off living.valve
`)
	p := c.Program("bedroom.box")
	want := map[string]int32{"hall.ceiling": 2000, "living.shutter": 5000, "living.valve": 60000, "living.wall": 60000, "mode away": 60000}
	for _, a := range p.Actions {
		if a.To != control.TargetPeer {
			continue
		}
		owner := c.Program(p.Peers[a.Peer])
		name := owner.Slots[a.Index].Name
		if a.Expiry != want[name] {
			t.Errorf("%s: a command expires after %d ms, want %d", name, a.Expiry, want[name])
		}
		if !slices.Contains(owner.Peers, "bedroom.box") {
			t.Errorf("%s does not know who commands it", owner.Controller)
		}
		delete(want, name)
	}
	if len(want) > 0 {
		t.Errorf("no commands to %v", want)
	}
}

func TestOriginsExplainPrograms(t *testing.T) {
	c := compiled(t, read(t, "testdata/sample.txt"))
	seen := map[string]bool{}
	for _, p := range c.Programs {
		for i, r := range p.Rules {
			info := c.Origin(p.Controller, i)
			if info == nil {
				t.Errorf("rule %d of %s (%s) comes from nowhere", i, p.Controller, p.Texts[r.Name])
				continue
			}
			seen[info.Name] = true
			if !slices.Contains(info.Controllers, p.Controller) {
				t.Errorf("%s has a rule of %s, which lives on %v", p.Controller, info.Name, info.Controllers)
			}
		}
		if c.Origin(p.Controller, len(p.Rules)) != nil || c.Origin(p.Controller, -1) != nil {
			t.Error("a rule that does not exist has an origin")
		}
	}
	for _, r := range c.Rules {
		if !seen[r.Name] {
			t.Errorf("%s is in no program", r.Name)
		}
		if c.Rule(r.Name) == nil || c.Rule(r.Name).Line != r.Line {
			t.Errorf("%s is not found by its name", r.Name)
		}
	}
	if c.Rule("nonsense") != nil || c.Origin("nonsense", 0) != nil || c.Program("nonsense") != nil {
		t.Error("what does not exist is found")
	}
}

func TestThingsAreFoundByEveryName(t *testing.T) {
	c := compiled(t, read(t, "testdata/sample.txt"))
	for _, name := range []string{"kitchen.keys", "kitchen.keys.1"} {
		if th, ok := c.Thing(name); !ok || th.Name != "kitchen.keys.1" || th.Key != 1 || th.Controller != "kitchen.plate" {
			t.Errorf("%s: %+v", name, th)
		}
	}
	for _, name := range []string{"season", "mode season"} {
		if th, ok := c.Thing(name); !ok || th.Name != "mode season" || !slices.Equal(th.Values, []string{"winter", "summer"}) || th.Moved() {
			t.Errorf("%s: %+v", name, th)
		}
	}
	for _, name := range []string{"mode hall.ceiling", "hall.kyes.1", "mode "} {
		if th, ok := c.Thing(name); ok {
			t.Errorf("%s is found: %+v", name, th)
		}
	}
	if w := c.Words("kitchen.window"); len(w) != 2 || w["open"] != 1 || w["closed"] != 0 {
		t.Errorf("words of a contact: %v", w)
	}
	if w := c.Words("mode season"); w["summer"] != 1 {
		t.Errorf("words of a mode: %v", w)
	}
	if !slices.Contains(c.Names(), "away") || !slices.IsSorted(c.Names()) {
		t.Errorf("names: %v", c.Names())
	}
}

// TestRelayMakesADimmedLampASwitchedOne: what a lamp can do is what its channel can do.
func TestRelayMakesADimmedLampASwitchedOne(t *testing.T) {
	h, cat := sampleHouse(t, "when hall.keys.1 is pressed: set living.ceiling to 40 %\n")
	for i := range h.Modules {
		for j := range h.Modules[i].Landings {
			l := &h.Modules[i].Landings[j]
			if l.Point == "living.ceiling" {
				l.Point = "living.wall"
			} else if l.Point == "living.wall" {
				l.Point = "living.ceiling"
			}
		}
	}
	_, problems := Compile(h, cat)
	if len(problems) != 1 || !strings.Contains(problems[0].Text, "living.ceiling cannot be dimmed") {
		t.Errorf("got %v", problems)
	}
}
