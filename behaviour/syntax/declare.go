package syntax

// mode reads: mode name is word { or word }.
func (p *parser) mode(head Head) *Mode {
	p.need("mode")
	m := &Mode{Head: head, Name: p.newName("mode")}
	p.need("is")
	m.Values = append(m.Values, p.name("off, on, or the mode's first word"))
	for p.accept("or") {
		m.Values = append(m.Values, p.name("another word of the mode"))
		p.bound(len(m.Values), "words of a mode")
	}
	p.checkValues(m)
	return m
}

// checkValues refuses a mode of a single word, and a word that stands twice.
func (p *parser) checkValues(m *Mode) {
	if p.failed {
		return
	}
	if v := m.Values[0]; len(m.Values) == 1 && v.Text != "off" && v.Text != "on" {
		p.fail(v.At, "write off, on, or its words joined by or", "a mode is off, on, or one of at least two words; found only %s", v.Text)
		return
	}
	known := map[string]bool{}
	for _, v := range m.Values {
		if known[v.Text] {
			p.fail(v.At, "", "the word %s stands twice in mode %s", v.Text, m.Name.Text)
		}
		if len(m.Values) > 1 && (v.Text == "on" || v.Text == "off" || v.Text == "unknown" || v.Text == "not" || v.Text == "above" || v.Text == "below") {
			p.fail(v.At, "", "%s cannot be one of several words of a mode", v.Text)
		}
		known[v.Text] = true
	}
}

// bound refuses a list that is too long.
func (p *parser) bound(n int, what string) {
	if n > MaxList {
		p.fail(p.peek().pos, "divide the list", "there may be at most %d %s", MaxList, what)
	}
}

// group reads: group name : targets.
func (p *parser) group(head Head) *Group {
	p.need("group")
	g := &Group{Head: head, Name: p.newName("group")}
	p.need(":")
	g.Members = p.targets()
	return g
}

// hours reads: hours name : window.
func (p *parser) hours(head Head) *Hours {
	p.need("hours")
	h := &Hours{Head: head, Name: p.newName("span of hours")}
	p.need(":")
	h.Window = p.window()
	return h
}

// scene reads: scene name : setting { ; setting }.
func (p *parser) scene(head Head) *Scene {
	p.need("scene")
	s := &Scene{Head: head, Name: p.newName("scene")}
	p.need(":")
	note := &s.Note
	p.lines("setting", func() {
		set := &Setting{At: p.peek().pos, Lead: p.between(p.peek().start, note)}
		set.Targets = p.targets()
		set.State = p.state()
		s.Settings = append(s.Settings, set)
		note = &set.Note
		p.bound(len(s.Settings), "settings of a scene")
	})
	return s
}

// lines reads members that stand on lines of their own or between semicolons; after a mistake in one it goes on with
// the next.
func (p *parser) lines(what string, member func()) {
	if p.failed {
		return
	}
	wrong := false
	for {
		start := p.at
		member()
		if !p.failed && !p.peek().first && !p.is(";") {
			p.expected("the end of the " + what + " (a new line or ;)")
		}
		if p.failed {
			wrong = true
			p.toNextMember(start)
		}
		p.failed = false
		p.accept(";")
		if p.peek().kind == tokEnd {
			break
		}
	}
	p.failed = wrong
}

// toNextMember passes everything up to the next line or semicolon, but at least one token behind start.
func (p *parser) toNextMember(start int) {
	p.failed = false
	if p.at == start {
		p.take()
	}
	for !p.peek().first && !p.is(";") {
		p.take()
	}
}

// state reads the state of a setting or a hold.
func (p *parser) state() State {
	t := p.peek()
	s := State{At: t.pos}
	switch {
	case p.accept("off"):
		s.Kind = StateOff
	case p.accept("on"):
		s.Kind = StateOn
	case p.accept("raised"):
		s.Kind = StateRaised
	case p.accept("lowered"):
		s.Kind = StateLowered
	case p.accept("at"):
		s.Kind = StateAt
		s.Value = p.share()
		s.Slats = p.slats()
	default:
		p.expected("a state", "on", "off", "raised", "lowered", "at")
	}
	return s
}

// slats reads: [ with slats at share ].
func (p *parser) slats() *Quantity {
	if !p.is("with") || p.ahead(1).text != "slats" {
		return nil
	}
	p.need("with", "slats", "at")
	q := p.share()
	return &q
}
