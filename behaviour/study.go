package behaviour

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/behaviour/syntax"
	"wirewright/control"
	"wirewright/house"
)

// effectWork is one effect with what it acts on.
type effectWork struct {
	effect *syntax.Effect
	things []*thing
}

// declareRules makes the work of every rule, with its name.
func (c *compiler) declareRules() {
	taken := map[string]syntax.Pos{}
	for _, s := range c.file.Statements {
		r, ok := s.(*syntax.Rule)
		if !ok {
			continue
		}
		info := &RuleInfo{Line: int(r.At.Line), Rule: r, Text: ruleText(r)}
		if r.Name != nil {
			info.Name = r.Name.Text
			if before, twice := taken[info.Name]; twice {
				c.problems.say(r.Name.At, "choose another name", "there are two rules %s", info.Name)
				c.problems.note(before, "the other one is here")
			}
			taken[info.Name] = r.Name.At
		}
		for _, wish := range r.Wishes {
			info.Wishes = append(info.Wishes, wish.Text)
			if c.index.Wish(house.ID(wish.Text)) == nil {
				c.problems.unknown(wish, "wish", c.wishNames())
			}
		}
		c.rules = append(c.rules, ruleWork{rule: r, info: info})
	}
	c.nameRules(taken)
}

// nameRules names the rules without a name after their cause.
func (c *compiler) nameRules(taken map[string]syntax.Pos) {
	for i := range c.rules {
		w := &c.rules[i]
		if w.info.Name != "" {
			continue
		}
		base := causeName(w.rule)
		name := base
		for n := 2; ; n++ {
			if _, twice := taken[name]; !twice {
				break
			}
			name = fmt.Sprintf("%s (%d)", base, n)
		}
		taken[name] = w.rule.At
		w.info.Name = name
	}
}

// causeName is the first cause in words.
func causeName(r *syntax.Rule) string {
	if r.While != nil {
		return "while " + syntax.Cond(r.While)
	}
	return r.Causes[0].String()
}

// ruleText is a rule on one line.
func ruleText(r *syntax.Rule) string {
	var effects []string
	for _, e := range r.Effects {
		effects = append(effects, e.String())
	}
	return r.Cause() + ": " + strings.Join(effects, "; ")
}

func (c *compiler) wishNames() []string {
	var names []string
	for i := range c.house.Wishes {
		names = append(names, string(c.house.Wishes[i].ID))
	}
	return names
}

// study resolves the names of every rule, checks that all fits together, and learns what is wanted of the keys.
func (c *compiler) study() {
	for i := range c.rules {
		w := &c.rules[i]
		before := c.problems.count
		for _, cause := range w.rule.Causes {
			c.studyCause(w, cause)
		}
		if w.rule.While != nil {
			c.studyCondition(w, w.rule.While, true)
		}
		if w.rule.If != nil {
			c.studyCondition(w, w.rule.If, false)
		}
		for _, e := range w.rule.Effects {
			c.studyEffect(w, e)
		}
		w.wrong = c.problems.count > before
		for _, t := range w.reads {
			addName(&w.info.Reads, t.slotName())
		}
		for _, t := range w.targets {
			addName(&w.info.Writes, t.slotName())
		}
	}
}

func addName(list *[]string, name string) {
	if !slices.Contains(*list, name) {
		*list = append(*list, name)
	}
}

func addThing(list *[]*thing, t *thing) {
	if t != nil && !slices.Contains(*list, t) {
		*list = append(*list, t)
	}
}

// studyCause checks that the thing of a cause can do what the cause says.
func (c *compiler) studyCause(w *ruleWork, cause *syntax.Cause) {
	w.info.Causes = append(w.info.Causes, cause.String())
	switch cause.Kind {
	case syntax.CauseMoment, syntax.CauseEvery, syntax.CausePower, syntax.CauseMessage:
		return
	case syntax.CauseLost, syntax.CauseBack:
		c.studyModule(cause.Point)
		return
	}
	t := c.thing(cause.Point, causeWants(cause.Kind))
	if t == nil {
		return
	}
	addThing(&w.reads, t)
	if why := unfit(t, cause); why != "" {
		c.problems.say(cause.Point.At, "", "%s is a %s: %s", t.name, t.what(), why)
		return
	}
	switch cause.Kind {
	case syntax.CausePressed:
		t.gesture.press = true
	case syntax.CauseHeld, syntax.CauseLetGo:
		t.gesture.hold = true
	case syntax.CauseTwice:
		t.gesture.twice = true
	case syntax.CauseRises, syntax.CauseFalls:
		c.level(t, cause.Level)
	case syntax.CauseBecomes:
		if !slices.Contains(t.values, cause.Value.Text) {
			c.problems.say(cause.Value.At, hintOf(cause.Value.Text, t.values), "mode %s is never %s", t.name, cause.Value.Text)
		}
	}
}

// causeWants says what a cause expects, for a name that nothing has.
func causeWants(k syntax.CauseKind) string {
	switch k {
	case syntax.CausePressed, syntax.CauseTwice, syntax.CauseHeld, syntax.CauseLetGo:
		return "key"
	case syntax.CauseOpens, syntax.CauseCloses:
		return "contact"
	}
	return "point or mode"
}

// unfit says why a thing cannot do what a cause says, "" if it can.
func unfit(t *thing, cause *syntax.Cause) string {
	isKind := func(kinds ...house.Kind) bool { return t.point != nil && slices.Contains(kinds, t.point.Kind) }
	switch cause.Kind {
	case syntax.CausePressed, syntax.CauseTwice, syntax.CauseHeld, syntax.CauseLetGo:
		if t.kind != thingKey {
			return "only keys are pressed, held and let go"
		}
	case syntax.CauseOpens, syntax.CauseCloses:
		if !isKind(house.Contact) {
			return "only contacts open and close"
		}
	case syntax.CauseBegins, syntax.CauseEnds:
		if !isKind(house.Presence, house.Rain) {
			return "only presence and rain begin and end"
		}
	case syntax.CauseTurnsOn, syntax.CauseTurnsOff:
		if !needOnOff.ok(t) {
			return "it does not turn on and off"
		}
	case syntax.CauseBecomes:
		if t.kind != thingMode || t.twoState() {
			return "only a mode of several words becomes one of them; write turns on or turns off"
		}
	case syntax.CauseRises, syntax.CauseFalls:
		if !t.scalar() {
			return "it has no level that rises and falls"
		}
	}
	return ""
}

// scalar tells whether the thing has a level and not just two states.
func (t *thing) scalar() bool {
	return t.kind != thingMode && t.kind != thingKey && t.quantity != control.QuantityBool
}

// studyModule checks the module of a link; an empty name is the network.
func (c *compiler) studyModule(n syntax.Name) {
	if n.Text == "" {
		return
	}
	if _, ok := c.byModule[house.ID(n.Text)]; ok {
		return
	}
	var names []string
	for i := range c.controllers {
		names = append(names, string(c.controllers[i].module.ID))
	}
	if m := c.index.Module(house.ID(n.Text)); m != nil {
		head := c.index.ControllerOf(m.ID)
		c.problems.say(n.At, "write module "+string(head), "module %s does not stand in the network by itself", n.Text)
		return
	}
	c.problems.unknown(n, "module", names)
}

// level converts a quantity to the steps of a thing and reports one of the wrong kind.
func (c *compiler) level(t *thing, q syntax.Quantity) int32 {
	v, want := steps(t.quantity, q)
	if want != "" {
		c.problems.say(q.At, "", "%s is measured %s, found %s", t.name, want, q)
	}
	return v
}

// steps converts a quantity to the whole steps of package control; where the kinds differ it says what was expected.
func steps(k control.Quantity, q syntax.Quantity) (int32, string) {
	scale := func(want syntax.QuantityKind, say string) (int32, string) {
		if q.Kind != want {
			return 0, say
		}
		return q.Steps(), ""
	}
	switch k {
	case control.QuantityTemperature:
		return scale(syntax.Temperature, "in °C")
	case control.QuantityLight:
		return scale(syntax.Illuminance, "in lx")
	case control.QuantityWind:
		return scale(syntax.Speed, "in m/s")
	case control.QuantityLevel, control.QuantityPosition:
		return scale(syntax.Percent, "in %")
	case control.QuantityCount:
		return scale(syntax.Number, "in plain numbers")
	}
	return 0, "by on and off only"
}

// studyCondition checks a condition; standing tells that it is the condition of a while.
func (c *compiler) studyCondition(w *ruleWork, cond syntax.Condition, standing bool) {
	switch cond := cond.(type) {
	case *syntax.All:
		for _, t := range cond.Terms {
			c.studyCondition(w, t, standing)
		}
	case *syntax.Any:
		for _, t := range cond.Terms {
			c.studyCondition(w, t, standing)
		}
	case *syntax.Not:
		c.studyCondition(w, cond.Term, standing)
	case *syntax.Test:
		c.studyTest(w, cond, standing)
	}
}

func (c *compiler) studyTest(w *ruleWork, t *syntax.Test, standing bool) {
	switch t.Kind {
	case syntax.TestDark, syntax.TestWindow, syntax.TestNetwork:
		return
	case syntax.TestModule:
		c.studyModule(t.Name)
		return
	case syntax.TestName:
		if c.hours[t.Name.Text] != nil {
			return
		}
	}
	th := c.thing(t.Name, "point, mode or span of hours")
	if th == nil {
		return
	}
	addThing(&w.reads, th)
	switch t.Kind {
	case syntax.TestName:
		if !th.twoState() {
			c.problems.say(t.At, fmt.Sprintf("write %s is %s", th.name, strings.Join(th.words(), " or ")), "%s is a %s and no condition by itself", th.name, th.what())
		}
	case syntax.TestIs:
		if !slices.Contains(th.words(), t.Word.Text) {
			c.problems.say(t.Word.At, hintOf(t.Word.Text, th.words()), "%s is a %s and never %s", th.name, th.what(), t.Word.Text)
		}
	default:
		c.studyLevelTest(th, t, standing)
	}
}

func (c *compiler) studyLevelTest(th *thing, t *syntax.Test, standing bool) {
	if !th.scalar() {
		c.problems.say(t.Name.At, "", "%s is a %s and has no level", th.name, th.what())
		return
	}
	c.level(th, t.Level)
	if t.Back != nil {
		c.level(th, *t.Back)
	} else if standing {
		c.problems.say(t.Level.At, "the hold would begin and end again and again with a value that trembles",
			"expected until and a second level (hysteresis) behind %s", t.Level)
	}
}

// hintOf offers the nearest of some words, or all of them.
func hintOf(word string, words []string) string {
	if h := nearestOf(word, words); h != "" {
		return h
	}
	return "it is " + strings.Join(words, " or ")
}

// words are what can be said of a thing behind "is".
func (t *thing) words() []string {
	var words []string
	for _, w := range t.states() {
		words = append(words, w.word)
	}
	return append(words, "unknown")
}

// state is a word and the value that it stands for.
type state struct {
	word  string
	value int32
	least bool // value and everything above
}

func (t *thing) states() []state {
	switch {
	case t.kind == thingMode:
		var list []state
		for i, v := range t.values {
			list = append(list, state{v, int32(i), false})
		}
		return list
	case t.kind == thingKey:
		return []state{{"pressed", 1, false}}
	case t.motor():
		return []state{{"raised", 0, false}, {"lowered", 1000, false}}
	case t.kind == thingOutput:
		return []state{{"off", 0, false}, {"on", 1, true}}
	}
	switch t.point.Kind {
	case house.Contact:
		return []state{{"closed", 0, false}, {"open", 1, false}}
	case house.Presence:
		return []state{{"empty", 0, false}, {"occupied", 1, false}}
	case house.Rain:
		return []state{{"dry", 0, false}, {"wet", 1, false}}
	}
	return nil
}
