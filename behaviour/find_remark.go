package behaviour

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"wirewright/behaviour/syntax"
	"wirewright/house"
)

// findMissingCauses looks for rules whose cause lasts and whose condition may come true meanwhile.
func (c *compiler) findMissingCauses() {
	for i := range c.rules {
		w := &c.rules[i]
		if w.wrong || w.rule.If == nil || w.rule.While != nil || !lasts(w.rule) {
			continue
		}
		c.finding(Finding{Slug: "rule/missing-cause", Severity: Remark, Rule: w.info.Name, Line: w.info.Line,
			Text:   fmt.Sprintf("the condition is looked at only when %s; when it comes true later, nothing happens", w.info.Causes[0]),
			Remedy: "if that is not meant, write a second rule whose cause is the condition's change"})
	}
}

// lasts tells whether a cause of the rule is the beginning of something that lasts and is caused by no person at a key.
func lasts(r *syntax.Rule) bool {
	for _, cause := range r.Causes {
		switch cause.Kind {
		case syntax.CauseOpens, syntax.CauseBegins, syntax.CauseRises, syntax.CauseFalls:
			return true
		}
	}
	return false
}

// findSun warns where the sun does not rise or set every day.
func (c *compiler) findSun() {
	lat := c.house.Site.Latitude.Deg()
	if lat < 65.7 && lat > -65.7 {
		return
	}
	for i := range c.rules {
		for _, cause := range c.rules[i].rule.Causes {
			if m := cause.Moment; m != nil && m.Anchor != syntax.AnchorTime && m.NotAfter < 0 && m.NotBefore < 0 {
				c.finding(Finding{Slug: "rule/no-sunset", Severity: Caution, Rule: c.rules[i].info.Name, Line: c.rules[i].info.Line,
					Text:   fmt.Sprintf("at this latitude there are days without %s", m),
					Remedy: "write but not before … and not after …, so that it happens on such days too"})
			}
		}
	}
}

// findIdleKeys lists the keys that no rule names, one finding a keypad.
func (c *compiler) findIdleKeys() {
	used := map[*thing]bool{}
	for i := range c.rules {
		for _, t := range c.rules[i].reads {
			used[t] = true
		}
	}
	idle := map[house.ID][]string{}
	for _, name := range c.names {
		if t := c.things[name]; t.kind == thingKey && t.home >= 0 && !used[t] && len(c.rules) > 0 {
			idle[t.point.ID] = append(idle[t.point.ID], name)
		}
	}
	ids := make([]house.ID, 0, len(idle))
	for id := range idle {
		ids = append(ids, id)
	}
	sort.Slice(ids, func(i, j int) bool { return ids[i] < ids[j] })
	for _, id := range ids {
		c.finding(Finding{Slug: "key/no-rule", Severity: Remark, Point: id,
			Text: "no rule names " + strings.Join(idle[id], ", "), Remedy: "write what it does, or choose a keypad with fewer keys"})
	}
}

// findWishes lists the wishes that no rule names.
func (c *compiler) findWishes() {
	named := map[string]bool{}
	for i := range c.rules {
		for _, w := range c.rules[i].info.Wishes {
			named[w] = true
		}
	}
	for i := range c.house.Wishes {
		if w := &c.house.Wishes[i]; !named[string(w.ID)] && len(c.rules) > 0 {
			c.finding(Finding{Slug: "wish/no-rule", Severity: Remark, Text: fmt.Sprintf("no rule names the wish %s: %s", w.ID, w.Text),
				Remedy: "write for wish " + string(w.ID) + " before the rules that fulfil it"})
		}
	}
}

// findIdleModes lists the modes that no rule sets, or none reads.
func (c *compiler) findIdleModes() {
	for _, m := range c.modes {
		set, read := false, false
		for i := range c.rules {
			set = set || slices.Contains(c.rules[i].targets, m)
			read = read || slices.Contains(c.rules[i].reads, m)
		}
		switch {
		case !set:
			c.finding(Finding{Slug: "mode/never-set", Severity: Remark, Line: int(c.declared.at[m.name].Line),
				Text: "no rule sets the mode " + m.name, Remedy: "write a rule that sets it, or tell the owner how it is set"})
		case !read:
			c.finding(Finding{Slug: "mode/never-read", Severity: Remark, Line: int(c.declared.at[m.name].Line),
				Text: "no rule looks at the mode " + m.name, Remedy: "remove it, or write what it is for"})
		}
	}
}
