package syntax

import "slices"

// rule reads: [ rule name ] [ for wish id { and id } ] ":" … or the rule itself without a title.
func (p *parser) rule(head Head) *Rule {
	r := &Rule{Head: head}
	titled := false
	if p.accept("rule") {
		n := p.newName("rule")
		r.Name, titled = &n, true
	}
	if p.accept("for") {
		p.need("wish")
		titled = true
		r.Wishes = append(r.Wishes, p.name("the name of a wish"))
		for p.accept("and") || p.accept(",") {
			r.Wishes = append(r.Wishes, p.name("the name of a wish"))
			p.bound(len(r.Wishes), "wishes of a rule")
		}
	}
	if titled {
		p.need(":")
	}
	p.trigger(r)
	if p.accept(",") {
		p.guard(r)
	}
	p.need(":")
	note := &r.Note
	p.lines("effect", func() {
		lead := p.between(p.peek().start, note)
		e := p.effect()
		e.Lead = lead
		r.Effects = append(r.Effects, e)
		note = &e.Note
		p.bound(len(r.Effects), "effects of a rule")
	})
	return r
}

// trigger reads what the rule begins with: when, at, every or while.
func (p *parser) trigger(r *Rule) {
	switch {
	case p.accept("when"):
		p.anyCause(r, p.event)
	case p.accept("at"):
		p.moments(r)
	case p.accept("every"):
		t := p.peek()
		c := &Cause{Kind: CauseEvery, At: t.pos, Period: *p.wait()}
		if c.Period%60_000 != 0 && !p.failed {
			p.fail(t.pos, "", "a period is whole minutes, found %s", c.Period)
		}
		c.Days = p.days()
		c.Dates = p.dates()
		c.End = p.peek().pos
		r.Causes = []*Cause{c}
	case p.accept("while"):
		r.While = p.condition()
		if p.accept("for") {
			if p.accept("at") {
				p.need("least")
			}
			r.Lasting = p.wait()
		}
	default:
		p.expected("when, at, every or while", "when", "at", "every", "while")
	}
}

// anyCause reads causes joined by or.
func (p *parser) anyCause(r *Rule, read func() *Cause) {
	r.Causes = append(r.Causes, read())
	for p.accept("or") {
		r.Causes = append(r.Causes, read())
		p.bound(len(r.Causes), "causes of a rule")
	}
}

// moments reads: moment { or moment } [ on days ] [ from date to date ]; the days and dates are those of all.
func (p *parser) moments(r *Rule) {
	p.anyCause(r, func() *Cause {
		m := p.moment()
		return &Cause{Kind: CauseMoment, At: m.At, Moment: m, End: p.peek().pos}
	})
	days, dates := p.days(), p.dates()
	for _, c := range r.Causes {
		c.Days, c.Dates, c.End = days, dates, p.peek().pos
	}
}

// guard reads: ( if | unless ) condition.
func (p *parser) guard(r *Rule) {
	if r.Unless = p.accept("unless"); !r.Unless && !p.accept("if") {
		p.expected("if or unless", "if", "unless")
	}
	r.If = p.condition()
}

// event reads one cause behind when.
func (p *parser) event() *Cause {
	t := p.peek()
	c := &Cause{At: t.pos}
	switch {
	case p.acceptAll("power", "returns"):
		c.Kind = CausePower
	case p.accept("network"):
		p.lostOrBack(c)
	case p.accept("module"):
		c.Point = p.name("a module")
		p.lostOrBack(c)
	case p.accept("message"):
		m := p.peek()
		if m.kind != tokText || m.text == "" {
			p.expected("the name of the message in quotation marks")
		}
		c.Text = p.take().text
		p.need("arrives")
		c.Kind = CauseMessage
	default:
		c.Point = p.name("a key, a sensor, an output or a mode")
		p.happens(c)
	}
	if p.acceptAll("and", "stays", "so") {
		p.accept("for")
		p.stays(c)
	}
	c.End = p.peek().pos
	return c
}

// stays reads how long the cause must last, where it can last.
func (p *parser) stays(c *Cause) {
	at := p.peek().pos
	c.Stays = p.wait()
	switch c.Kind {
	case CausePressed, CauseTwice, CauseHeld, CauseLetGo, CausePower, CauseMessage:
		p.fail(at, "", "this cause is over at once and cannot stay so")
	}
}

func (p *parser) lostOrBack(c *Cause) {
	p.need("is")
	if c.Kind = CauseLost; !p.accept("lost") {
		c.Kind = CauseBack
		if !p.accept("back") {
			p.expected("lost or back", "lost", "back")
		}
	}
}

// happens reads the verb of a cause.
func (p *parser) happens(c *Cause) {
	simple := map[string]CauseKind{"opens": CauseOpens, "closes": CauseCloses, "begins": CauseBegins, "ends": CauseEnds}
	t := p.peek()
	if k, ok := simple[t.text]; ok && t.kind == tokWord {
		p.take()
		c.Kind = k
		return
	}
	switch {
	case p.accept("is"):
		p.gesture(c)
	case p.accept("turns"):
		if c.Kind = CauseTurnsOn; p.choice("on or off", []string{"on", "off"}) == "off" {
			c.Kind = CauseTurnsOff
		}
	case p.accept("becomes"):
		c.Kind = CauseBecomes
		c.Value = p.name("a word of the mode")
	case p.accept("rises"):
		p.level(c, CauseRises, "above", "below")
	case p.accept("falls"):
		p.level(c, CauseFalls, "below", "above")
	default:
		p.expected("what happens to "+c.Point.Text, eventWords...)
	}
}

// gesture reads: pressed [ twice ] | held | let go.
func (p *parser) gesture(c *Cause) {
	switch {
	case p.acceptAll("pressed", "twice"):
		c.Kind = CauseTwice
	case p.accept("pressed"):
		c.Kind = CausePressed
	case p.accept("held"):
		c.Kind = CauseHeld
	case p.acceptAll("let", "go"):
		c.Kind = CauseLetGo
	default:
		p.expected("what is done to the key", "pressed", "held", "let go")
	}
}

// level reads: above level until below level; without the second level a value that trembles would fire again and
// again, so it is required.
func (p *parser) level(c *Cause, k CauseKind, to, back string) {
	c.Kind = k
	p.need(to)
	c.Level = p.quantity()
	if !p.failed && !p.is("until") {
		p.fail(p.peek().pos, "the rule is armed again only there, so that a value that trembles does not fire it again and again",
			"expected until %s and a second level (hysteresis), found %s", back, p.peek().describe())
	}
	p.need("until", back)
	at := p.peek().pos
	c.Back = p.quantity()
	p.apart(at, c.Level, c.Back, to == "above")
}

// apart checks that the level at which something ends lies on the right side of the level at which it begins.
func (p *parser) apart(at Pos, level, back Quantity, rising bool) {
	switch {
	case p.failed:
	case level.Kind != back.Kind:
		p.fail(at, "", "both levels need the same unit, found %s and %s", level, back)
	case rising && back.Value >= level.Value:
		p.fail(at, "", "the level below which it ends must be lower than %s, found %s", level, back)
	case !rising && back.Value <= level.Value:
		p.fail(at, "", "the level above which it ends must be higher than %s, found %s", level, back)
	}
}

// isOneOf tells whether the next token is one of these words.
func (p *parser) isOneOf(words []string) bool {
	t := p.peek()
	return t.kind == tokWord && slices.Contains(words, t.text)
}
