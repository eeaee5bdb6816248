package accept

import "wirewright/unit"

// stepWords are the words with which a step begins.
var stepWords = []string{"press", "hold", "let", "set", "message", "wait", "at", "expect", "break", "mend", "of", "for"}

// step reads one step of the open test, or what it proves.
func (p *parser) step(note string) {
	w := p.next()
	s := Step{Line: p.line, Note: note}
	keep := true
	switch {
	case w.quoted:
		p.expected(w, "a step", stepWords...)
	case w.text == "of" || w.text == "for":
		p.proves(w.text)
		keep = false
	case w.text == "press" || w.text == "hold" || w.text == "let":
		p.keyStep(&s, w.text)
	case w.text == "set":
		s.Kind = StepSet
		s.Name = p.name()
		p.need("to")
		s.State = p.state()
	case w.text == "message":
		s.Kind = StepMessage
		s.Name = p.quoted("the name of the message in quotation marks")
	case w.text == "wait":
		s.Kind = StepWait
		s.Time = p.duration()
	case w.text == "at":
		s.Kind = StepAt
		s.Clock = p.clock()
	case w.text == "expect":
		p.expect(&s)
	case w.text == "break" || w.text == "mend":
		p.component(&s, w.text)
	default:
		p.expected(w, "a step", stepWords...)
	}
	p.end()
	if !keep || p.bad {
		return
	}
	if p.test.Steps = append(p.test.Steps, s); len(p.test.Steps) > MaxSteps {
		p.fail(w.column, "divide the test", "a test may have %d steps", MaxSteps)
	}
}

// proves reads: of rule name; for wish id.
func (p *parser) proves(word string) {
	if word == "of" {
		p.need("rule")
		w := p.next()
		if w.text == "" {
			p.expected(w, "the name of a rule")
		}
		p.test.Rule = w.text
		return
	}
	p.need("wish")
	for more := true; more && !p.bad; more = p.accept("and") {
		w := p.next()
		if w.text == "" || w.quoted {
			p.expected(w, "the name of a wish")
		}
		p.test.Wishes = append(p.test.Wishes, w.text)
	}
}

// keyStep reads: press key [ twice ]; hold key; let go key.
func (p *parser) keyStep(s *Step, word string) {
	switch word {
	case "hold":
		s.Kind = StepHold
	case "let":
		s.Kind = StepLetGo
		p.need("go")
	}
	s.Name, s.Key = p.key()
	if word == "press" {
		s.Twice = p.accept("twice")
	}
}

func (p *parser) quoted(what string) string {
	w := p.next()
	if !w.quoted || w.text == "" {
		p.expected(w, what)
	}
	return w.text
}

// expect reads: expect notice text [within]; expect name (moves | moving) direction [within]; expect name stays state for duration;
// expect name state [within].
func (p *parser) expect(s *Step) {
	s.Kind, s.Time = StepExpect, withinUsual
	if p.accept("notice") {
		s.Kind = StepNotice
		s.Name = p.quoted("what people are told, in quotation marks")
		p.within(s)
		return
	}
	s.Name = p.name()
	switch {
	case p.accept("moves") || p.accept("moving"):
		s.Kind = StepMoves
		w := p.next()
		if _, ok := directions[w.text]; !ok {
			p.expected(w, "up, down or still", "up", "down", "still")
		}
		s.State.Word = w.text
	case p.accept("stays"):
		s.Kind = StepStays
		s.State = p.state("for")
		p.need("for")
		s.Time = p.duration()
		return
	default:
		s.State = p.state("within")
	}
	p.within(s)
}

func (p *parser) within(s *Step) {
	if p.accept("within") {
		s.Time = p.duration()
	}
}

// component reads: router; broker; module id; line id; access-point id.
func (p *parser) component(s *Step, word string) {
	s.Kind = StepBreak
	if word == "mend" {
		s.Kind = StepMend
	}
	w := p.next()
	s.Name = w.text
	switch w.text {
	case "router", "broker":
	case "module", "line", "supply", "access-point":
		n := p.next()
		if n.text == "" || n.quoted {
			p.expected(n, "the name of the "+w.text)
		}
		s.Name += " " + n.text
	default:
		p.expected(w, "router, broker, or a module, line, supply or access-point by its name", "router", "broker", "module", "line", "supply", "access-point")
	}
}

// usual tells whether a time is the one that is meant where none is written.
func usual(d unit.Duration) bool { return d == withinUsual }
