package syntax

import (
	"slices"
	"strings"

	"wirewright/internal/problem"
)

// Parse reads a behaviour text; file is its name in messages. Every mistake is reported, in the order of the text; the
// statements that could be read stand in the file all the same, so that an editor can go on working with them.
func Parse(file, text string) (*File, problem.List) {
	f := &File{Name: file}
	ps := &problems{file: file}
	if len(text) > MaxBytes {
		ps.add(Pos{1, 1}, "divide it", "a behaviour text may have %d bytes, this one has %d", MaxBytes, len(text))
		return f, ps.list
	}
	lex := &lexer{text: text, problems: ps}
	lex.run()
	p := &parser{problems: ps, rest: lex.tokens, comments: lex.comments}
	for len(p.rest) > 0 {
		if len(f.Statements) >= MaxStatements {
			ps.add(p.rest[0].pos, "divide the text", "a text may have %d statements", MaxStatements)
			break
		}
		if s := p.statement(); s != nil {
			f.Statements = append(f.Statements, s)
		}
	}
	f.Tail = p.lead(len(text) + 1)
	if len(f.Statements) == 0 {
		f.Tail = trimBlank(f.Tail)
	}
	ps.list.Sort()
	return f, ps.list
}

// parser reads one statement after the other. After a mistake it is failed: until the end of the statement, or of the
// effect, peek says that nothing is left, so that every function returns by itself.
type parser struct {
	problems *problems
	rest     []token // what is not yet cut into statements
	tokens   []token // of this statement; the last is its end
	at       int
	failed   bool
	depth    int
	comments []comment
	seen     int  // comments that were taken
	started  bool // a statement was read
}

// statement cuts off the next statement and reads it; nil if it could not be read.
func (p *parser) statement() Statement {
	n := 1
	for n < len(p.rest) && !(p.rest[n].first && p.rest[n].pos.Column == 1) {
		n++
	}
	last := p.rest[n-1]
	p.tokens = append(append(p.tokens[:0], p.rest[:n]...), token{kind: tokEnd, first: true, pos: last.end, end: last.end, start: last.start + 1})
	p.rest = p.rest[n:]
	p.at, p.failed, p.depth = 0, false, 0
	head := Head{At: p.tokens[0].pos, End: last.end, Lead: p.lead(p.tokens[0].start)}
	if !p.started {
		head.Lead = trimBlank(head.Lead)
	}
	s := p.body(head)
	p.finish(s, last)
	if !p.failed && p.peek().kind != tokEnd {
		p.expected("the end of the statement")
	}
	if p.failed || s == nil {
		return nil
	}
	p.started = true
	return s
}

// body reads a statement by its first word.
func (p *parser) body(head Head) Statement {
	switch t := p.peek(); {
	case t.kind != tokWord:
	case t.text == "mode":
		return p.mode(head)
	case t.text == "group":
		return p.group(head)
	case t.text == "hours":
		return p.hours(head)
	case t.text == "scene":
		return p.scene(head)
	case slices.Contains(ruleWords, t.text):
		return p.rule(head)
	}
	p.expected("a statement", statementWords...)
	return nil
}

// peek is the token that comes next; after a mistake, the end.
func (p *parser) peek() token { return p.ahead(0) }

// ahead is the token n places further on.
func (p *parser) ahead(n int) token {
	if p.failed || p.at+n >= len(p.tokens) {
		return p.tokens[len(p.tokens)-1]
	}
	return p.tokens[p.at+n]
}

// take passes the next token and returns it.
func (p *parser) take() token {
	t := p.peek()
	if t.kind != tokEnd {
		p.at++
	}
	return t
}

// is tells whether the next token is this word or mark.
func (p *parser) is(text string) bool {
	t := p.peek()
	return (t.kind == tokWord || t.kind == tokMark) && t.text == text
}

// accept passes the next token if it is this word or mark.
func (p *parser) accept(text string) bool {
	if p.is(text) {
		p.at++
		return true
	}
	return false
}

// acceptAll passes these words if all of them come next.
func (p *parser) acceptAll(words ...string) bool {
	for i, w := range words {
		if t := p.ahead(i); t.kind != tokWord || t.text != w {
			return false
		}
	}
	p.at += len(words)
	return true
}

// need passes this word or mark, or reports that it is missing.
func (p *parser) need(texts ...string) {
	for _, text := range texts {
		if !p.accept(text) {
			p.expected(text, text)
		}
	}
}

// expected reports that something else was expected here; the words are those of the language that would do.
func (p *parser) expected(what string, words ...string) {
	if p.failed {
		return
	}
	t := p.peek()
	hint := ""
	if t.kind == tokWord {
		hint = problem.DidYouMean(t.text, words)
	}
	if hint == "" && len(words) > 1 {
		hint = "one of: " + strings.Join(words, ", ")
	}
	p.fail(t.pos, hint, "expected %s, found %s", what, t.describe())
}

// fail reports a mistake and gives the statement up.
func (p *parser) fail(at Pos, hint, format string, args ...any) {
	if !p.failed {
		p.problems.add(at, hint, format, args...)
	}
	p.failed = true
}

// name reads a name; what says what it names.
func (p *parser) name(what string) Name {
	t := p.peek()
	if t.kind != tokWord {
		p.expected(what)
		return Name{}
	}
	p.at++
	return Name{Text: t.text, At: t.pos}
}

// newName reads a name that the text gives to something of its own; the words of the language cannot be names.
func (p *parser) newName(what string) Name {
	t := p.peek()
	n := p.name("a name for the " + what)
	if isReserved(n.Text) {
		p.fail(t.pos, "choose another name", "%s is a word of the language and cannot name a %s", n.Text, what)
	}
	return n
}

// lead takes the comments before the byte start as lines of their own.
func (p *parser) lead(start int) []string {
	var lines []string
	for ; p.seen < len(p.comments) && p.comments[p.seen].start < start; p.seen++ {
		c := p.comments[p.seen]
		if c.blank {
			if len(lines) == 0 || lines[len(lines)-1] != "" {
				lines = append(lines, "")
			}
			continue
		}
		lines = append(lines, commentLine(c.text))
	}
	return lines
}

// commentLine prints a comment.
func commentLine(text string) string {
	if text == "" || text[0] == '#' {
		return "#" + text
	}
	return "# " + text
}

func trimBlank(lines []string) []string {
	for len(lines) > 0 && lines[0] == "" {
		lines = lines[1:]
	}
	if len(lines) == 0 {
		return nil
	}
	return lines
}

// between takes the comments before the byte start that stand inside a statement: those on lines of their own are
// returned, those behind something join the note.
func (p *parser) between(start int, note *string) []string {
	var lines []string
	for ; p.seen < len(p.comments) && p.comments[p.seen].start < start; p.seen++ {
		switch c := p.comments[p.seen]; {
		case c.blank:
		case c.inline:
			join(note, c.text)
		default:
			lines = append(lines, commentLine(c.text))
		}
	}
	return lines
}

func join(note *string, text string) {
	if *note != "" && text != "" {
		*note += " "
	}
	*note += text
}

// finish takes the comments that belong to the statement: those inside it that nothing has taken, and the one behind
// its last token.
func (p *parser) finish(s Statement, last token) {
	var lost string
	note := &lost
	if s != nil {
		note = lastNote(s)
	}
	lines := p.between(last.start, note)
	if s != nil {
		s.Heading().Lead = append(s.Heading().Lead, lines...)
	}
	if p.seen < len(p.comments) {
		if c := p.comments[p.seen]; c.inline && c.pos.Line == last.end.Line {
			join(note, c.text)
			p.seen++
		}
	}
}

// lastNote is the note at the end of the statement.
func lastNote(s Statement) *string {
	switch s := s.(type) {
	case *Rule:
		if n := len(s.Effects); n > 0 {
			return &s.Effects[n-1].Note
		}
	case *Scene:
		if n := len(s.Settings); n > 0 {
			return &s.Settings[n-1].Note
		}
	}
	return &s.Heading().Note
}
