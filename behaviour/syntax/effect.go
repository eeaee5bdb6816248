package syntax

import "slices"

// effect reads a verb, what it acts on, and how.
func (p *parser) effect() *Effect {
	t := p.peek()
	e := &Effect{At: t.pos}
	if !p.isOneOf(verbWords) {
		p.expected("an effect", verbWords...)
		return e
	}
	p.take()
	switch t.text {
	case "turn":
		p.turn(e)
	case "set":
		p.set(e)
	case "toggle", "stop", "lower", "darken":
		e.Verb = map[string]Verb{"toggle": Toggle, "stop": Stop, "lower": Lower, "darken": Darken}[t.text]
		e.Targets = p.targets()
	case "raise", "brighten":
		p.inTurn(e, t.text)
	case "move", "tilt":
		p.move(e, t.text)
	case "hold":
		e.Verb = Hold
		e.Targets = p.targets()
		e.State = p.state()
	case "release":
		e.Verb = Release
		e.Targets = p.targets()
	case "notify":
		e.Verb = Notify
		if m := p.peek(); m.kind != tokText || m.text == "" {
			p.expected("what to say, in quotation marks")
		}
		e.Text = p.take().text
	}
	p.modifiers(e)
	e.End = p.peek().pos
	p.checkModifiers(e)
	return e
}

// turn reads: ( on | off ) targets.
func (p *parser) turn(e *Effect) {
	if e.Verb = TurnOn; p.choice("on or off", []string{"on", "off"}) == "off" {
		e.Verb = TurnOff
	}
	e.Targets = p.targets()
}

// set reads: scene name | targets to ( level | word ).
func (p *parser) set(e *Effect) {
	if p.accept("scene") {
		e.Verb = SetScene
		e.Scene = p.name("the name of a scene")
		return
	}
	e.Targets = p.targets()
	p.need("to")
	if t := p.peek(); t.kind == tokWord {
		e.Verb = SetMode
		e.Word = p.name("a word of the mode")
		return
	}
	e.Verb = SetLevel
	e.Value = p.share()
}

// inTurn reads: raise [ or lower ] targets, brighten [ or darken ] targets.
func (p *parser) inTurn(e *Effect, verb string) {
	other := "lower"
	e.Verb = Raise
	if verb == "brighten" {
		other = "darken"
		e.Verb = Brighten
	}
	if p.accept("or") {
		p.need(other)
		if e.Verb = Reverse; verb == "brighten" {
			e.Verb = Vary
		}
	}
	e.Targets = p.targets()
}

// move reads: targets to share [ with slats at share ].
func (p *parser) move(e *Effect, verb string) {
	e.Verb = Move
	e.Targets = p.targets()
	p.need("to")
	q := p.share()
	if verb == "tilt" {
		e.Verb = Tilt
		e.Slats = &q
		return
	}
	e.Value = q
	e.Slats = p.slats()
}

// modifiers reads what follows the targets, in any order, each at most once.
func (p *parser) modifiers(e *Effect) {
	for seen := []string{}; ; {
		t := p.peek()
		if !p.isOneOf([]string{"over", "while", "for", "until", "after", "with"}) {
			return
		}
		if slices.Contains(seen, t.text) {
			p.fail(t.pos, "", "%s stands twice", t.text)
			return
		}
		seen = append(seen, t.text)
		p.take()
		p.modifier(e, t.text)
	}
}

func (p *parser) modifier(e *Effect, word string) {
	switch word {
	case "over":
		e.Over = p.wait()
	case "while":
		p.need("held")
		e.WhileHeld = true
	case "for":
		e.For = p.wait()
	case "until":
		e.Until = p.wait()
		p.need("after", "it", "ends")
	case "after":
		e.After = p.wait()
	case "with":
		p.need("rank")
		e.Rank = Rank(max(0, slices.Index(rankWords, p.choice("a rank", rankWords[1:]))))
	}
}

// checkModifiers refuses a modifier that the verb cannot have.
func (p *parser) checkModifiers(e *Effect) {
	refuse := func(has bool, what string, verbs ...Verb) {
		if has && !slices.Contains(verbs, e.Verb) {
			p.fail(e.At, "", "%s does not go with this effect", what)
		}
	}
	refuse(e.Over != nil, "over …", TurnOn, TurnOff, SetLevel, SetScene)
	refuse(e.WhileHeld, "while held", Brighten, Darken, Vary, Raise, Lower, Reverse)
	refuse(e.For != nil, "for …", TurnOn, TurnOff, SetLevel, SetMode, Hold)
	refuse(e.Until != nil, "until …", TurnOn, TurnOff, SetLevel, SetMode, Hold)
	refuse(e.Rank != 0, "with rank …", Hold, Release)
	refuse(e.After != nil, "after …", TurnOn, TurnOff, SetLevel, SetMode, SetScene, Raise, Lower, Stop, Move, Tilt, Release, Notify)
	if e.For != nil && e.Until != nil {
		p.fail(e.At, "", "an effect ends either for … or until …, not both")
	}
	if e.After != nil && (e.For != nil || e.Until != nil) {
		p.fail(e.At, "write two effects", "after … and for … do not go together")
	}
	if dims := e.Verb == Brighten || e.Verb == Darken || e.Verb == Vary; dims && !e.WhileHeld {
		p.fail(e.At, "write while held behind it", "brightening and darkening last as long as a key is held")
	}
}
