package yamldoc

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// quotes reads a scalar in single or double quotes; it may go on over lines that are indented deeper than its parent.
func (p *parser) quotes(parent int) bool {
	q := p.s[p.pos]
	n := p.add(node{kind: scalar, style: quoted, start: int32(p.pos + 1), line: int32(p.line)})
	if end := simpleEnd(p.s, p.pos+1, q); end > 0 {
		p.nodes[n].end = int32(end)
		p.pos = end + 1
		return true
	}
	begin, line := p.pos, p.line
	p.pos++
	var b strings.Builder
	for p.pos < len(p.s) {
		switch c := p.s[p.pos]; {
		case c == q && q == '\'' && p.peek(p.pos+1) == q:
			b.WriteByte(q)
			p.pos += 2
		case c == q:
			p.pos++
			p.cook(n, b.String())
			return true
		case c == '\\' && q == '"':
			if !p.escape(&b, parent) {
				return false
			}
		case c == '\n' || c == ' ' || c == '\t':
			if !p.quotedBlank(&b, parent) {
				return false
			}
		default:
			b.WriteByte(c)
			p.pos++
		}
	}
	p.problemAt(begin, line, "these quotes are not closed", "")
	return false
}

// simpleEnd finds the closing quote of a scalar on one line without escapes; -1 where it is not so simple.
func simpleEnd(s string, from int, q byte) int {
	for i := from; i < len(s); i++ {
		switch s[i] {
		case q:
			if q == '\'' && i+1 < len(s) && s[i+1] == q {
				return -1
			}
			return i
		case '\\':
			if q == '"' {
				return -1
			}
		case '\n':
			return -1
		}
	}
	return -1
}

// quotedBlank reads white space within quotes; around a line end it is folded.
func (p *parser) quotedBlank(b *strings.Builder, parent int) bool {
	begin := p.pos
	for p.peek(p.pos) == ' ' || p.peek(p.pos) == '\t' {
		p.pos++
	}
	if p.peek(p.pos) != '\n' {
		b.WriteString(p.s[begin:p.pos])
		return true
	}
	p.fold(b)
	return p.continued(parent)
}

// continued checks the line that a quoted or flow value goes on in.
func (p *parser) continued(parent int) bool {
	switch {
	case p.pos >= len(p.s):
		return true // its end is missing, which the caller says
	case p.peek(p.pos) == '\t':
		return p.fail("a tab; lines are indented with spaces", "put spaces in its place")
	case p.pos-p.lineStart <= parent:
		return p.fail("the value before this line has not ended", "close its quotes or brackets, or indent this line deeper than its key")
	case p.pos == p.lineStart && marker(p.s, p.pos):
		return p.fail("a document mark within a value", "")
	}
	return true
}

// simple are the escapes of one character (YAML 1.2.2, 5.7).
var simple = map[byte]string{
	'0': "\x00", 'a': "\a", 'b': "\b", 't': "\t", 'n': "\n", 'v': "\v", 'f': "\f", 'r': "\r", 'e': "\x1b",
	' ': " ", '"': "\"", '/': "/", '\\': "\\", 'N': "\u0085", '_': "\u00a0", 'L': "\u2028", 'P': "\u2029",
}

// escape reads what follows a backslash within double quotes.
func (p *parser) escape(b *strings.Builder, parent int) bool {
	c := p.peek(p.pos + 1)
	if text, ok := simple[c]; ok {
		b.WriteString(text)
		p.pos += 2
		return true
	}
	switch c {
	case '\n':
		p.pos++
		p.newline()
		return p.joined(b, parent)
	case 'x':
		return p.coded(b, 2)
	case 'u':
		return p.coded(b, 4)
	case 'U':
		return p.coded(b, 8)
	}
	return p.fail("an escape that is not known", `write \\ for a backslash, or use single quotes`)
}

// joined goes on after an escaped line end, which means nothing; empty lines after it stand for line ends.
func (p *parser) joined(b *strings.Builder, parent int) bool {
	for p.skipSpaces(); p.peek(p.pos) == '\n'; p.skipSpaces() {
		p.newline()
		b.WriteByte('\n')
	}
	return p.continued(parent)
}

// coded reads a character by its number in hexadecimal digits. A pair of surrogates, as JSON writes characters beyond
// U+FFFF, is one character.
func (p *parser) coded(b *strings.Builder, digits int) bool {
	r, ok := p.hex(p.pos+2, digits)
	size := 2 + digits
	if utf16.IsSurrogate(r) && digits == 4 && strings.HasPrefix(p.s[p.pos+size:], `\u`) {
		if low, good := p.hex(p.pos+size+2, 4); good {
			r = utf16.DecodeRune(r, low)
			ok = r != utf8.RuneError
			size *= 2
		}
	}
	if !ok || !utf8.ValidRune(r) {
		return p.fail(fmt.Sprintf("a character number of %d hexadecimal digits is expected after the backslash", digits), "")
	}
	b.WriteRune(r)
	p.pos += size
	return true
}

func (p *parser) hex(at, digits int) (rune, bool) {
	if at+digits > len(p.s) {
		return 0, false
	}
	v, err := strconv.ParseUint(p.s[at:at+digits], 16, 32)
	return rune(v), err == nil
}
