package behaviour

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/behaviour/syntax"
)

// findDoubles looks for rules that say the same.
func (c *compiler) findDoubles() {
	seen := map[string]*ruleWork{}
	for i := range c.rules {
		w := &c.rules[i]
		if before := seen[w.info.Text]; before != nil {
			c.finding(Finding{Slug: "rule/double", Severity: Caution, Rule: w.info.Name, Line: w.info.Line,
				Text: fmt.Sprintf("this rule says the same as the one on line %d", before.info.Line), Remedy: "remove one of them"})
			continue
		}
		seen[w.info.Text] = w
	}
}

// findConflicts looks for different effects of one cause on one thing.
func (c *compiler) findConflicts() {
	byCause := map[string][]*ruleWork{}
	var order []string
	for i := range c.rules {
		w := &c.rules[i]
		c.findOwnConflict(w)
		for _, cause := range w.info.Causes {
			if byCause[cause] == nil {
				order = append(order, cause)
			}
			if !slices.Contains(byCause[cause], w) {
				byCause[cause] = append(byCause[cause], w)
			}
		}
	}
	for _, cause := range order {
		list := byCause[cause]
		for i := range list {
			for j := range i {
				c.conflict(cause, list[j], list[i])
			}
		}
	}
}

// findOwnConflict looks for two effects of one rule that fight.
func (c *compiler) findOwnConflict(w *ruleWork) {
	before := map[*thing]string{}
	for i := range w.effects {
		if w.effects[i].effect.After != nil {
			continue
		}
		for _, d := range c.doings(&w.effects[i]) {
			if v, ok := before[d.thing]; ok && fights(v, d.value) {
				c.finding(Finding{Slug: "rule/conflict", Severity: Fault, Rule: w.info.Name, Line: w.info.Line,
					Text: fmt.Sprintf("two effects of this rule fight over %s", d.thing.slotName()), Remedy: "keep one of them, or leave it out of the group with except"})
				return
			}
			before[d.thing] = d.value
		}
	}
}

// fights tells whether two doings on one thing cannot both be done.
func fights(a, b string) bool {
	slats := strings.HasPrefix(a, "tilt") != strings.HasPrefix(b, "tilt")
	return a != b && !slats
}

// conflict looks at two rules of one cause.
func (c *compiler) conflict(cause string, a, b *ruleWork) {
	if a.info.Text == b.info.Text || exclude(a.rule, b.rule) {
		return
	}
	for i := range a.effects {
		for j := range b.effects {
			if a.effects[i].effect.After != nil || b.effects[j].effect.After != nil {
				continue
			}
			t := c.fightOver(&a.effects[i], &b.effects[j])
			if t == nil {
				continue
			}
			f := Finding{Slug: "rule/conflict", Severity: Fault, Rule: b.info.Name, Line: b.info.Line,
				Text:   fmt.Sprintf("when %s, this rule and the one on line %d fight over %s", cause, a.info.Line, t.slotName()),
				Remedy: "give them conditions that exclude each other, or join them into one rule"}
			if a.rule.If != nil || b.rule.If != nil {
				f.Severity = Caution
				f.Text += " where both conditions hold"
			}
			c.finding(f)
			return
		}
	}
}

func (c *compiler) fightOver(a, b *effectWork) *thing {
	first := map[*thing]string{}
	for _, d := range c.doings(a) {
		first[d.thing] = d.value
	}
	for _, d := range c.doings(b) {
		if v, ok := first[d.thing]; ok && fights(v, d.value) {
			return d.thing
		}
	}
	return nil
}

// exclude tells whether the conditions of two rules are plainly opposite.
func exclude(a, b *syntax.Rule) bool {
	if a.If == nil || b.If == nil {
		return false
	}
	return opposite(plainCond(a), plainCond(b)) || opposite(plainCond(b), plainCond(a))
}

// plainCond is the condition as terms that must all hold, "unless" being "not".
func plainCond(r *syntax.Rule) []string {
	cond := r.If
	if r.Unless {
		cond = &syntax.Not{Term: r.If}
	}
	if all, ok := cond.(*syntax.All); ok {
		var terms []string
		for _, t := range all.Terms {
			terms = append(terms, syntax.Cond(t))
		}
		return terms
	}
	return []string{syntax.Cond(cond)}
}

// opposite tells whether a term of one list is the contrary of a term of the other.
func opposite(a, b []string) bool {
	for _, x := range a {
		for _, y := range b {
			if "not "+x == y || "not ("+x+")" == y || contrary(x, y) {
				return true
			}
		}
	}
	return false
}

// contrary tells whether two tests look at one thing for different states: "x is on", "x is off".
func contrary(x, y string) bool {
	a, b := strings.Fields(x), strings.Fields(y)
	if len(a) == 3 && len(b) == 3 && a[1] == "is" && b[1] == "is" && a[0] == b[0] {
		return a[2] != b[2]
	}
	if len(a) == 4 && len(b) == 3 && a[0] == b[0] && a[2] == "not" {
		return a[3] == b[2]
	}
	if len(a) == 1 && len(b) == 3 && a[0] == b[0] {
		return b[2] == "off"
	}
	return false
}
