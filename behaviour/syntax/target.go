package syntax

import "slices"

// targets reads: target { ( "," | "and" ) target }.
func (p *parser) targets() []*Target {
	list := []*Target{p.target()}
	for p.accept(",") || p.accept("and") {
		list = append(list, p.target())
		p.bound(len(list), "targets in a list")
	}
	return list
}

// target reads a name, or all points of a kind.
func (p *parser) target() *Target {
	t := p.peek()
	if !p.is("all") {
		if t.kind == tokWord && slices.Contains(reserved, t.text) {
			p.expected("a point, a group or all …")
		}
		return &Target{At: t.pos, Name: p.name("a point, a group or all …")}
	}
	p.take()
	g := &Target{Kind: TargetAll, At: t.pos}
	plural := p.peek()
	if plural.kind != tokWord || !slices.Contains(pluralWords, plural.text) {
		p.expected("what all of is meant", pluralWords...)
		return g
	}
	g.Plural = p.take().text
	if p.accept("facing") {
		g.Facing = p.choice("a direction", facingWords)
	}
	if p.accept("of") {
		g.Place = p.name("a room or a storey")
		g.Storey = p.accept("storey")
	}
	if p.accept("except") {
		g.Except = p.except()
	}
	return g
}

// except reads names joined by commas. The list ends before "and" unless a name follows that is no target of its own:
// "all lamps except a, b and c" leaves out all three, so what is to follow such a list stands before it.
func (p *parser) except() []Target {
	var list []Target
	for {
		t := p.peek()
		if t.kind == tokWord && slices.Contains(reserved, t.text) {
			p.expected("a point or a group to leave out")
		}
		list = append(list, Target{At: t.pos, Name: p.name("a point or a group to leave out")})
		p.bound(len(list), "names in a list")
		if p.failed || !(p.is(",") || p.is("and")) || p.ahead(1).text == "all" {
			return list
		}
		p.take()
	}
}

// choice reads one of several words.
func (p *parser) choice(what string, words []string) string {
	t := p.peek()
	if t.kind == tokWord && slices.Contains(words, t.text) {
		p.take()
		return t.text
	}
	p.expected(what, words...)
	return ""
}
