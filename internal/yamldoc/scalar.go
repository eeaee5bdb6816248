package yamldoc

import (
	"fmt"
	"strings"

	"wirewright/internal/problem"
)

func problemPlace(line, column int) problem.Place { return problem.Place{Line: line, Column: column} }

// maxKey bounds a key, as YAML does.
const maxKey = 1024

// keyHere tells whether the line goes on with a key and a colon.
func (p *parser) keyHere() bool {
	switch p.peek(p.pos) {
	case '?':
		if p.blank(p.pos + 1) {
			return true // refused as a key
		}
	case '[', '{', '|', '>', '#':
		return false
	case '"', '\'':
		end := p.quoteEnd(p.pos)
		return end > 0 && p.colonAfter(end) >= 0
	}
	return p.plainKeyEnd() >= 0
}

// quoteEnd is the offset after the closing quote on this line, -1 where there is none.
func (p *parser) quoteEnd(at int) int {
	q := p.s[at]
	for i := at + 1; i < len(p.s) && p.s[i] != '\n'; i++ {
		switch {
		case p.s[i] == '\\' && q == '"':
			i++
		case p.s[i] == q && q == '\'' && p.peek(i+1) == q:
			i++
		case p.s[i] == q:
			return i + 1
		}
	}
	return -1
}

// colonAfter finds the colon of a key that ends at an offset; -1 where there is none.
func (p *parser) colonAfter(at int) int {
	for p.peek(at) == ' ' {
		at++
	}
	if p.peek(at) == ':' && p.blank(at+1) {
		return at
	}
	return -1
}

// plainKeyEnd is the offset of the colon that ends the plain key which begins here, -1 where there is none.
func (p *parser) plainKeyEnd() int {
	for i := p.pos; i < len(p.s) && i < p.pos+maxKey; i++ {
		switch p.s[i] {
		case '\n':
			return -1
		case ':':
			if p.blank(i + 1) {
				return i
			}
		case '#':
			if i > p.pos && p.s[i-1] == ' ' {
				return -1
			}
		}
	}
	return -1
}

// key reads a key and its colon.
func (p *parser) key() bool {
	c := p.peek(p.pos)
	if c == '"' || c == '\'' {
		return p.quotedKey()
	}
	if c == '|' || c == '>' || c == '[' || c == '{' {
		return p.fail(fmt.Sprintf("a key cannot begin with %q", c), "put quotes around it")
	}
	if !p.mayBegin(c) {
		return false
	}
	colon := p.plainKeyEnd()
	if colon < 0 {
		return p.fail("a key with a colon and a space is expected, such as title: Hall", "")
	}
	name := strings.TrimRight(p.s[p.pos:colon], " ")
	switch {
	case name == "":
		return p.fail("the key before the colon is missing", "")
	case name == "<<":
		return p.fail("merge keys are not read", "write the keys out")
	case strings.IndexByte(name, '\t') >= 0:
		return p.fail("a tab in a key", "put a space in its place")
	}
	p.add(node{kind: scalar, start: int32(p.pos), end: int32(p.pos + len(name)), line: int32(p.line)})
	p.pos = colon + 1
	return true
}

func (p *parser) quotedKey() bool {
	end := p.quoteEnd(p.pos)
	if end < 0 {
		return p.fail("the quotes of this key do not end on its line", "")
	}
	colon := p.colonAfter(end)
	if colon < 0 || colon-p.pos > maxKey {
		return p.fail("a colon and a space are expected after the key", "")
	}
	if !p.quotes(p.pos - p.lineStart) {
		return false
	}
	p.pos = colon + 1
	return true
}

// mayBegin reports what cannot begin a plain scalar or key here.
func (p *parser) mayBegin(c byte) bool {
	switch c {
	case '&', '*':
		return p.fail("anchors and aliases (& and *) are not read", "write the value out, or put quotes around a text")
	case '!':
		return p.fail("tags (!) are not read", "take it away, or put quotes around a text")
	case '%', '@', '`', ',', ']', '}':
		return p.fail(fmt.Sprintf("a text cannot begin with %q", c), "put quotes around it")
	case '\t':
		return p.fail("a tab", "put spaces in its place")
	case '?', '-', ':':
		if c == '?' && p.blank(p.pos+1) {
			return p.fail("keys with a question mark are not read", "write key: value, or put quotes around a text")
		}
		if p.blank(p.pos + 1) {
			return p.fail(fmt.Sprintf("%q cannot stand here", c), "begin a new line, or put quotes around a text")
		}
	}
	return true
}

// inline reads the value that begins here, on the line of its key or hyphen.
func (p *parser) inline(parent, depth int) bool {
	switch c := p.peek(p.pos); c {
	case '[', '{':
		return p.flow(parent, depth)
	case '"', '\'':
		return p.quotes(parent)
	case '|', '>':
		return p.blockScalar(parent)
	default:
		return p.mayBegin(c) && p.plain(parent)
	}
}

// plain reads a scalar without quotes; it may go on over lines that are indented deeper than its parent.
func (p *parser) plain(parent int) bool {
	n := p.add(node{kind: scalar, start: int32(p.pos), line: int32(p.line)})
	end, ok := p.plainLine(false)
	if !ok {
		return false
	}
	p.nodes[n].end = int32(end)
	p.pos = end
	if !p.goesOn(parent) {
		return true
	}
	var b strings.Builder
	b.WriteString(p.s[p.nodes[n].start:end])
	for p.goesOn(parent) {
		p.fold(&b)
		begin := p.pos
		if end, ok = p.plainLine(true); !ok {
			return false
		}
		b.WriteString(p.s[begin:end])
		p.pos = end
	}
	p.cook(n, b.String())
	return true
}

func (p *parser) cook(n int32, text string) {
	p.cooked = append(p.cooked, text)
	p.nodes[n].cooked = int32(len(p.cooked))
	p.nodes[n].end = int32(p.pos)
}

// plainLine finds the end of the plain scalar on this line; further tells whether it began on an earlier one.
func (p *parser) plainLine(further bool) (int, bool) {
	line := p.s[p.pos:]
	if n := strings.IndexByte(line, '\n'); n >= 0 {
		line = line[:n]
	}
	if n := commentAt(line); n >= 0 {
		line = line[:n]
	}
	line = strings.TrimRight(line, " ")
	if n := strings.IndexByte(line, '\t'); n >= 0 {
		p.pos += n
		return 0, p.fail("a tab", "put spaces in its place, or quotes around the text")
	}
	if n := colonIn(line); n >= 0 {
		if further {
			return 0, p.fail("this line is indented deeper than the one before it, so that it would be a part of its text",
				"indent it like the line before it, or put quotes around the whole text")
		}
		p.pos += n
		return 0, p.fail("a second colon with a space", "put quotes around the text, or begin a new line")
	}
	return p.pos + len(line), true
}

// commentAt finds the # that begins a comment; the first character is none.
func commentAt(line string) int {
	for from := 1; from < len(line); {
		n := strings.IndexByte(line[from:], '#')
		if n < 0 {
			return -1
		}
		if c := line[from+n-1]; c == ' ' || c == '\t' {
			return from + n
		}
		from += n + 1
	}
	return -1
}

// colonIn finds a colon that would end a key.
func colonIn(line string) int {
	for from := 0; ; {
		n := strings.IndexByte(line[from:], ':')
		if n < 0 {
			return -1
		}
		from += n + 1
		if from == len(line) || line[from] == ' ' {
			return from - 1
		}
	}
}

// goesOn tells whether the scalar that ends here goes on in a later line: one that is indented deeper than the parent and
// is no comment.
func (p *parser) goesOn(parent int) bool {
	i := p.pos
	for p.peek(i) == ' ' {
		i++
	}
	if p.peek(i) != '\n' {
		return false
	}
	for {
		start := i + 1
		for i = start; p.peek(i) == ' '; i++ {
		}
		c := p.peek(i)
		if c == '\n' {
			continue
		}
		return c != 0 && c != '#' && i-start > parent && !(parent < 0 && i == start && marker(p.s, i))
	}
}

// fold steps over line ends and indentation and writes what they mean: a blank for one line end, a line end for each
// further one.
func (p *parser) fold(b *strings.Builder) {
	lines := 0
	for p.skipSpaces(); p.peek(p.pos) == '\n'; p.skipSpaces() {
		p.newline()
		lines++
	}
	if lines == 1 {
		b.WriteByte(' ')
		return
	}
	for range lines - 1 {
		b.WriteByte('\n')
	}
}
