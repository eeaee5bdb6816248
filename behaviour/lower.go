package behaviour

import (
	"fmt"
	"slices"

	"wirewright/behaviour/syntax"
	"wirewright/control"
)

// site is one controller on which a rule lives, with the causes that happen there.
type site struct {
	at     int
	causes []*syntax.Cause
	own    bool // it moves only what this controller owns: the other owners have the rule too
}

// lowering is one rule on its way into the program of one controller.
type lowering struct {
	c        *compiler
	b        *builder
	w        *ruleWork
	site     site
	rank     control.Rank
	cond     []control.Instr
	groups   []causeGroup
	actions  []control.Action // what is done in every case
	variants []variant        // what is done in one case only
}

// causeGroup are causes that share a condition of their own.
type causeGroup struct {
	causes []control.Cause
	extra  []control.Instr
}

// variant are actions under a further condition.
type variant struct {
	cond    []control.Instr
	actions []control.Action
}

// lower puts one rule into the programs where it belongs.
func (c *compiler) lower(w *ruleWork) {
	if w.wrong || len(w.effects) == 0 {
		return
	}
	if !c.placeable(w) {
		return
	}
	if !c.useful(w) {
		c.unplacedRule(w, "nothing that it moves has a controller")
		return
	}
	sites := c.sites(w)
	if len(sites) == 0 {
		c.unplacedRule(w, "none of its causes and outputs has a controller")
		return
	}
	for _, s := range sites {
		name := c.builders[s.at].p.Controller
		addName(&w.info.Controllers, name)
		l := &lowering{c: c, b: c.builders[s.at], w: w, site: s, rank: rankOf(w.rule)}
		l.b.rule = slices.IndexFunc(c.rules, func(o ruleWork) bool { return o.rule == w.rule })
		l.run()
		l.b.rule = -1
	}
	w.info.Controller = w.info.Controllers[0]
}

// placeable tells whether everything that the rule reads has a controller; a rule that reads less would be another one.
func (c *compiler) placeable(w *ruleWork) bool {
	for _, t := range w.reads {
		if t.home < 0 && !causesOnly(w, t) {
			c.unplacedRule(w, t.slotName()+" has no controller: "+t.why)
			return false
		}
	}
	for _, t := range w.targets {
		if t.home < 0 {
			c.out.Findings = append(c.out.Findings, Finding{Slug: "rule/unplaced", Severity: Caution, Rule: w.info.Name, Line: w.info.Line,
				Text:   fmt.Sprintf("the rule does without %s: %s", t.slotName(), t.why),
				Remedy: "land " + t.name + " on a channel"})
		}
	}
	return true
}

// useful tells whether the rule does anything at all.
func (c *compiler) useful(w *ruleWork) bool {
	for i := range w.effects {
		if w.effects[i].effect.Verb == syntax.Notify {
			return true
		}
	}
	return slices.ContainsFunc(w.targets, func(t *thing) bool { return t.home >= 0 })
}

// causesOnly tells whether a thing is read by causes and not by conditions, and other causes remain.
func causesOnly(w *ruleWork, t *thing) bool {
	others := false
	for _, cause := range w.rule.Causes {
		others = others || cause.Point.Text != t.name
	}
	return others && w.rule.While == nil && !slices.Contains(conditionNames(w.rule.If), t.name)
}

// conditionNames lists the names that a condition looks at.
func conditionNames(cond syntax.Condition) []string {
	switch cond := cond.(type) {
	case *syntax.All:
		return flatNames(cond.Terms)
	case *syntax.Any:
		return flatNames(cond.Terms)
	case *syntax.Not:
		return conditionNames(cond.Term)
	case *syntax.Test:
		if cond.Name.Text != "" {
			return []string{cond.Name.Text}
		}
	}
	return nil
}

func flatNames(terms []syntax.Condition) []string {
	var names []string
	for _, t := range terms {
		names = append(names, conditionNames(t)...)
	}
	return names
}

func (c *compiler) unplacedRule(w *ruleWork, why string) {
	c.out.Findings = append(c.out.Findings, Finding{Slug: "rule/unplaced", Severity: Caution, Rule: w.info.Name, Line: w.info.Line,
		Text: "the rule is in no program: " + why, Remedy: "land the points that it reads and moves"})
}

// rankOf decides between writes in one instant: a person at a key goes before what happens by itself.
func rankOf(r *syntax.Rule) control.Rank {
	for _, cause := range r.Causes {
		switch cause.Kind {
		case syntax.CausePressed, syntax.CauseTwice, syntax.CauseHeld, syntax.CauseLetGo, syntax.CauseMessage:
			return control.RankManual
		}
	}
	return control.RankAutomatic
}

// sites divides a rule over the controllers: each cause where it happens; holds, and what power does when it returns,
// at the outputs, since they must stand without a network; a cause that happens everywhere (clock, message, network)
// where the outputs are.
func (c *compiler) sites(w *ruleWork) []site {
	var sites []site
	add := func(at int, own bool, cause *syntax.Cause) {
		i := slices.IndexFunc(sites, func(s site) bool { return s.at == at && s.own == own })
		if i < 0 {
			sites = append(sites, site{at: at, own: own})
			i = len(sites) - 1
		}
		if cause != nil {
			sites[i].causes = append(sites[i].causes, cause)
		}
	}
	if w.rule.While != nil {
		for _, at := range c.owners(w) {
			add(at, true, nil)
		}
		return sites
	}
	var anywhere []*syntax.Cause
	for _, cause := range w.rule.Causes {
		switch t := c.causeThing(cause); {
		case t != nil && t.home >= 0:
			add(t.home, false, cause)
		case t != nil:
		case cause.Kind == syntax.CausePower && len(c.owners(w)) > 0:
			for _, at := range c.owners(w) {
				add(at, true, cause)
			}
		default:
			anywhere = append(anywhere, cause)
		}
	}
	if len(anywhere) > 0 {
		if at := c.anywhere(w, sites); at >= 0 {
			for _, cause := range anywhere {
				add(at, false, cause)
			}
		}
	}
	return sites
}

// causeThing is the thing at which a cause happens, nil where it happens everywhere.
func (c *compiler) causeThing(cause *syntax.Cause) *thing {
	switch cause.Kind {
	case syntax.CauseMoment, syntax.CauseEvery, syntax.CausePower, syntax.CauseMessage, syntax.CauseLost, syntax.CauseBack:
		return nil
	}
	if t := c.things[cause.Point.Text]; t != nil {
		return t
	}
	return c.things[cause.Point.Text+".1"] // a keypad of one key
}

// owners lists the controllers that own the targets of a rule, in their order.
func (c *compiler) owners(w *ruleWork) []int {
	var list []int
	for _, t := range w.targets {
		if t.home >= 0 && !slices.Contains(list, t.home) {
			list = append(list, t.home)
		}
	}
	slices.Sort(list)
	return list
}

// anywhere chooses the controller for causes that happen everywhere: with the other causes of the rule, else where most
// of its outputs are, else where something is that it reads, else the first.
func (c *compiler) anywhere(w *ruleWork, sites []site) int {
	for _, s := range sites {
		if !s.own {
			return s.at
		}
	}
	for _, list := range [][]*thing{w.targets, w.reads} {
		count := make([]int, len(c.controllers))
		best := -1
		for _, t := range list {
			if t.home >= 0 {
				count[t.home]++
			}
		}
		for at, n := range count {
			if n > 0 && (best < 0 || n > count[best]) {
				best = at
			}
		}
		if best >= 0 {
			return best
		}
	}
	return min(0, len(c.controllers)-1)
}

// run lowers the rule at its site.
func (l *lowering) run() {
	r := l.w.rule
	if r.While != nil {
		l.stand()
		return
	}
	if r.If != nil {
		l.cond = l.code(r.If)
		if r.Unless {
			l.cond = not(l.cond)
		}
	}
	for _, cause := range l.site.causes {
		cc, extra := l.cause(cause)
		l.addCause(cc, extra)
	}
	for i := range l.w.effects {
		l.effect(&l.w.effects[i])
	}
	l.emit(l.cond, l.actions)
	for _, v := range l.variants {
		l.emit(and(l.cond, v.cond), v.actions)
	}
}

// addCause joins a cause to those that share its own condition.
func (l *lowering) addCause(cause control.Cause, extra []control.Instr) {
	i := slices.IndexFunc(l.groups, func(g causeGroup) bool { return slices.Equal(g.extra, extra) })
	if i < 0 {
		l.groups = append(l.groups, causeGroup{extra: extra})
		i = len(l.groups) - 1
	}
	l.groups[i].causes = append(l.groups[i].causes, cause)
}

// emit adds the rule of the program for every group of causes.
func (l *lowering) emit(cond []control.Instr, actions []control.Action) {
	for _, g := range l.groups {
		l.b.emit(emission{name: l.w.info.Name, rank: l.rank, causes: g.causes, cond: and(g.extra, cond), actions: actions})
	}
}

// later adds a rule of the program that follows from this one by itself.
func (l *lowering) later(cause control.Cause, cond []control.Instr, actions []control.Action) {
	l.b.emit(emission{name: l.w.info.Name, rank: control.RankNone, causes: []control.Cause{cause}, cond: cond, actions: actions})
}

// crosses notes what needs the network: what is done, to what, and with whom.
func (l *lowering) crosses(verb, name, joint, there string) {
	x := crossing{here: l.b.p.Controller, verb: verb, joint: joint, there: there}
	list := &l.w.info.crossings
	i := slices.IndexFunc(*list, func(o crossing) bool { return o.here == x.here && o.verb == verb && o.there == there })
	if i < 0 {
		*list = append(*list, x)
		i = len(*list) - 1
	}
	addName(&(*list)[i].names, name)
}

// controller is the name of the owner of a thing.
func (l *lowering) controller(t *thing) string { return l.c.builders[t.home].p.Controller }

// read is the slot of a thing here; where that is a mirror, the rule needs the network.
func (l *lowering) read(t *thing) int16 {
	if t.home != l.b.at {
		l.crosses("reads", t.slotName(), " from ", l.controller(t))
	}
	return l.b.read(t)
}

// set writes a hidden variable.
func set(slot int16, v int32) control.Action {
	return control.Action{Kind: control.ActionSet, Index: slot, Peer: -1, Const: v}
}

// timerAction starts a timer with its own time, or cancels it.
func timerAction(kind control.ActionKind, timer int16) control.Action {
	return control.Action{Kind: kind, Index: timer, Peer: -1}
}
