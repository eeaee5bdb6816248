package behaviour

import (
	"slices"

	"wirewright/behaviour/syntax"
	"wirewright/control"
)

// declared is everything that the text names itself.
type declared struct {
	groups map[string]*syntax.Group
	hours  map[string]*syntax.Hours
	scenes map[string]*syntax.Scene
	at     map[string]syntax.Pos // where each name was given, of whatever sort
	cache  map[string][]*thing   // targets that begin with all, as printed
}

// declare takes up modes, groups, hours, scenes and rules, and refuses names that are taken.
func (c *compiler) declare() {
	c.declared = declared{
		groups: map[string]*syntax.Group{}, hours: map[string]*syntax.Hours{}, scenes: map[string]*syntax.Scene{},
		at: map[string]syntax.Pos{}, cache: map[string][]*thing{},
	}
	for _, s := range c.file.Statements {
		switch s := s.(type) {
		case *syntax.Mode:
			if c.newName(s.Name, "mode") {
				c.declareMode(s)
			}
		case *syntax.Group:
			if c.newName(s.Name, "group") {
				c.groups[s.Name.Text] = s
			}
		case *syntax.Hours:
			if c.newName(s.Name, "span of hours") {
				c.hours[s.Name.Text] = s
			}
		case *syntax.Scene:
			if c.sceneName(s) {
				c.scenes[s.Name.Text] = s
			}
		}
	}
	c.sortNames()
	c.declareRules()
	c.checkDeclared()
}

// newName refuses a name that a point or another declaration has.
func (c *compiler) newName(n syntax.Name, what string) bool {
	if before, taken := c.declared.at[n.Text]; taken {
		c.problems.say(n.At, "choose another name", "the %s %s has a name that is taken", what, n.Text)
		c.problems.note(before, "the other one is here")
		return false
	}
	if t := c.things[n.Text]; t != nil {
		c.problems.say(n.At, "choose another name", "the %s %s has the name of a point of the house", what, n.Text)
		return false
	}
	c.declared.at[n.Text] = n.At
	return true
}

// sceneName refuses a second scene of the same name; scenes have names of their own, since they are always called so.
func (c *compiler) sceneName(s *syntax.Scene) bool {
	if before := c.scenes[s.Name.Text]; before != nil {
		c.problems.say(s.Name.At, "choose another name", "there are two scenes %s", s.Name.Text)
		c.problems.note(before.Name.At, "the other one is here")
		return false
	}
	return true
}

func (c *compiler) declareMode(m *syntax.Mode) {
	t := &thing{name: m.Name.Text, kind: thingMode, slotKind: control.SlotVar, home: -1, why: "the house has no controller"}
	if len(m.Values) == 1 {
		t.values = []string{"off", "on"}
		t.start = int32(slices.Index(t.values, m.Values[0].Text))
	} else {
		t.quantity = control.QuantityCount
		for _, v := range m.Values {
			t.values = append(t.values, v.Text)
		}
	}
	c.things[t.name] = t
	c.modes = append(c.modes, t)
}

// checkDeclared resolves what is declared, so that a mistake shows even where no rule uses it.
func (c *compiler) checkDeclared() {
	for _, s := range c.file.Statements {
		switch s := s.(type) {
		case *syntax.Group:
			if c.groups[s.Name.Text] == s {
				c.targets(s.Members)
			}
		case *syntax.Scene:
			for _, set := range s.Settings {
				c.setting(set)
			}
		}
	}
}

// setting resolves the targets of a setting and checks that they can have its state.
func (c *compiler) setting(set *syntax.Setting) []*thing {
	things := c.targets(set.Targets)
	return c.suitable(things, set.Targets[0].At, stateNeed(set.State))
}

// place gives a mode its owner: the controller whose rules have most to do with it, so that most of them need no
// network for it. Writing weighs more than reading; heads of lines win a tie, since they do not depend on radio.
func (c *compiler) placeModes() {
	for _, t := range c.modes {
		weight := make([]int, len(c.controllers))
		for i := range c.rules {
			c.weigh(&c.rules[i], t, weight)
		}
		for at := range weight {
			if t.home < 0 || weight[at] > weight[t.home] || weight[at] == weight[t.home] && c.controllers[at].head && !c.controllers[t.home].head {
				t.home = at
			}
		}
		info := ModeInfo{Name: t.name, Values: t.values, Start: int(t.start)}
		if t.home >= 0 {
			b := c.builders[t.home]
			info.Controller = b.p.Controller
			t.slot = b.slot(control.Slot{
				Name: t.slotName(), Kind: control.SlotVar, Quantity: t.quantity, Publish: true, Retain: true,
				Peer: -1, Remote: -1, Start: t.start, Schedule: -1,
			})
		}
		c.out.Modes = append(c.out.Modes, info)
	}
}

// weigh adds what one rule has to do with a mode to the weights of the controllers where its causes happen.
func (c *compiler) weigh(w *ruleWork, mode *thing, weight []int) {
	n := 0
	if slices.Contains(w.targets, mode) {
		n = 3
	} else if slices.Contains(w.reads, mode) {
		n = 1
	}
	if n == 0 {
		return
	}
	for _, t := range w.reads {
		if t.kind != thingMode && t.home >= 0 {
			weight[t.home] += n
		}
	}
	for _, t := range w.targets {
		if t.kind != thingMode && t.home >= 0 {
			weight[t.home] += n
		}
	}
}
