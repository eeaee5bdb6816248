package syntax

// condition reads: conjunction { or conjunction }.
func (p *parser) condition() Condition {
	terms := p.terms("or", func() Condition { return p.conjunction() })
	if len(terms) == 1 {
		return terms[0]
	}
	return &Any{terms}
}

// conjunction reads: negation { and negation }.
func (p *parser) conjunction() Condition {
	terms := p.terms("and", func() Condition { return p.negation() })
	if len(terms) == 1 {
		return terms[0]
	}
	return &All{terms}
}

func (p *parser) terms(joint string, read func() Condition) []Condition {
	list := []Condition{read()}
	for p.accept(joint) {
		list = append(list, read())
		p.bound(len(list), "terms of a condition")
	}
	return list
}

// negation reads: not negation | "(" condition ")" | test.
func (p *parser) negation() Condition {
	t := p.peek()
	p.depth++
	defer func() { p.depth-- }()
	if p.depth > MaxDepth {
		p.fail(t.pos, "divide it over several rules or hours", "a condition may be nested %d deep", MaxDepth)
	}
	if p.accept("not") {
		return &Not{At: t.pos, Term: p.negation()}
	}
	if p.accept("(") {
		c := p.condition()
		p.need(")")
		return c
	}
	return p.test()
}

// test reads one thing that a condition looks at.
func (p *parser) test() Condition {
	t := p.peek()
	c := &Test{At: t.pos}
	switch {
	case p.accept("dark"):
		c.Kind = TestDark
	case p.is("between"):
		c.Kind = TestWindow
		c.Window = p.window()
	case p.accept("network"):
		p.need("is")
		c.Kind = TestNetwork
		c.Word = Name{p.choice("lost or back", []string{"lost", "back"}), t.pos}
	case p.accept("module"):
		c.Name = p.name("a module")
		p.need("is")
		c.Kind = TestModule
		c.Word = Name{p.choice("lost or back", []string{"lost", "back"}), t.pos}
	default:
		c.Name = p.name("a condition")
		p.compare(c)
	}
	return c
}

// compare reads what is said about the name of a test; nothing for a mode or hours.
func (p *parser) compare(c *Test) {
	if !p.accept("is") {
		c.Kind = TestName
		return
	}
	if c.Not = p.accept("not"); c.Not && (p.is("above") || p.is("below")) {
		p.fail(p.peek().pos, "write not before the test", "is not %s cannot be said", p.peek().text)
	}
	switch {
	case p.accept("above"):
		p.bounded(c, TestAbove, "below")
	case p.accept("below"):
		p.bounded(c, TestBelow, "above")
	default:
		c.Kind = TestIs
		c.Word = p.name("a state such as on, open or occupied")
	}
}

// bounded reads: level [ until ( below | above ) level ].
func (p *parser) bounded(c *Test, k TestKind, back string) {
	c.Kind = k
	c.Level = p.quantity()
	if !p.accept("until") {
		return
	}
	p.need(back)
	at := p.peek().pos
	q := p.quantity()
	c.Back = &q
	p.apart(at, c.Level, q, k == TestAbove)
}
