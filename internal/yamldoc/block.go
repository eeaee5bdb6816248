package yamldoc

import (
	"fmt"
	"strings"
)

// parser reads block structure: lines, told apart by their indentation. Between two steps it stands on the first
// character of a line with content, whose indentation is p.indent; -1 at the end of the text.
type parser struct {
	*Document
	pos       int
	line      int
	lineStart int
	indent    int
	started   bool // content or a --- line was seen
	ended     bool // a ... line was seen
	fresh     bool // the value in hand ended at the start of a line: it was a block scalar
}

func (p *parser) document() {
	p.toContent()
	if p.indent < 0 {
		p.add(node{kind: scalar, style: empty, line: 1})
		return
	}
	p.started = true
	if !p.block(p.indent, -1, 0) {
		p.nodes = p.nodes[:0]
		p.recover(-1)
	}
	if p.indent >= 0 {
		p.fail("this line belongs to nothing above it", "indent it like the lines that it belongs to")
	}
}

// fail reports a problem at the present place; it returns false for the caller to return.
func (p *parser) fail(text, hint string) bool {
	p.problemAt(p.pos, p.line, text, hint)
	return false
}

func (p *parser) add(n node) int32 {
	i := int32(len(p.nodes))
	n.next = i + 1
	p.nodes = append(p.nodes, n)
	return i
}

func (p *parser) open(k kind) int32 {
	return p.add(node{kind: k, start: int32(p.pos), end: int32(p.pos), line: int32(p.line)})
}

func (p *parser) close(n int32) {
	p.nodes[n].next = int32(len(p.nodes))
	p.nodes[n].end = int32(p.pos)
}

func (p *parser) addEmpty() {
	p.add(node{kind: scalar, style: empty, start: int32(p.pos), end: int32(p.pos), line: int32(p.line)})
}

// peek is the byte at an offset, 0 beyond the end.
func (p *parser) peek(at int) byte {
	if at < len(p.s) {
		return p.s[at]
	}
	return 0
}

// blank tells whether a blank, a line end or the end of the text is at an offset.
func (p *parser) blank(at int) bool {
	return at >= len(p.s) || p.s[at] == ' ' || p.s[at] == '\n' || p.s[at] == '\t'
}

func (p *parser) skipSpaces() {
	for p.pos < len(p.s) && p.s[p.pos] == ' ' {
		p.pos++
	}
}

// toContent goes from the start of a line to the next content.
func (p *parser) toContent() {
	for {
		p.lineStart = p.pos
		p.skipSpaces()
		p.indent = p.pos - p.lineStart
		if p.pos >= len(p.s) {
			p.indent = -1
			return
		}
		switch c := p.s[p.pos]; {
		case c == '\n':
			p.newline()
		case c == '#':
			p.comment()
			p.toLineEnd()
		case c == '\t':
			p.fail("a tab; lines are indented with spaces", "put spaces in its place")
			p.toLineEnd()
		case c == '%' && p.indent == 0 && !p.started:
			p.fail("directives (lines that begin with %) are not read", "take the line away")
			p.toLineEnd()
		case p.indent == 0 && marker(p.s, p.pos):
			p.documentMark()
		case p.ended:
			p.fail("text after the end of the document", "one file holds one document")
			p.pos, p.indent = len(p.s), -1
			return
		default:
			return
		}
	}
}

// marker tells whether a line of three hyphens or three points begins at an offset, which is the
// start of a line.
func marker(s string, at int) bool {
	if !strings.HasPrefix(s[at:], "---") && !strings.HasPrefix(s[at:], "...") {
		return false
	}
	return at+3 == len(s) || s[at+3] == ' ' || s[at+3] == '\n' || s[at+3] == '\t'
}

func (p *parser) documentMark() {
	end := p.s[p.pos] == '.'
	if !end && p.started {
		p.fail("a second document begins", "one file holds one document")
		p.pos = len(p.s)
		return
	}
	p.started, p.ended = true, end
	p.pos += 3
	p.skipSpaces()
	if p.pos < len(p.s) && p.s[p.pos] != '\n' && p.s[p.pos] != '#' {
		p.fail("text beside a document mark", "put it on a line of its own")
	}
	if p.peek(p.pos) == '#' {
		p.comment()
	}
	p.toLineEnd()
}

func (p *parser) comment() {
	pl := problemPlace(p.line, p.column(p.pos))
	pl.File = p.file
	p.comments = append(p.comments, pl)
}

// newline steps over the line end that it stands on.
func (p *parser) newline() {
	p.pos++
	p.line++
	p.lineStart = p.pos
}

// toLineEnd steps over the rest of the line.
func (p *parser) toLineEnd() {
	n := strings.IndexByte(p.s[p.pos:], '\n')
	if n < 0 {
		p.pos = len(p.s)
		return
	}
	p.pos += n
	p.newline()
}

// endLine expects nothing more on the line but a comment, and goes to the next content.
func (p *parser) endLine() bool {
	if p.fresh {
		p.fresh = false
		p.toContent()
		return true
	}
	p.skipSpaces()
	ok := true
	switch c := p.peek(p.pos); {
	case p.pos >= len(p.s), c == '\n':
	case c == '#' && (p.pos == p.lineStart || p.s[p.pos-1] == ' '):
		p.comment()
	case c == '\t':
		ok = p.fail("a tab", "put spaces in its place")
	default:
		ok = p.fail("this text after the value belongs to nothing", "put quotes around the whole value")
	}
	if ok {
		p.toLineEnd()
		p.toContent()
	}
	return ok
}

// recover goes on after a mistake: to the next line that is indented no deeper than the block it happened in.
func (p *parser) recover(indent int) {
	for {
		p.toLineEnd()
		p.toContent()
		if p.indent <= indent {
			return
		}
	}
}

// block reads the collection or scalar that begins here, at column col, below a block of indentation parent.
func (p *parser) block(col, parent, depth int) bool {
	if !p.within(depth) {
		return false
	}
	if p.dash() {
		p.sequence(col, parent, depth)
		return true
	}
	if p.keyHere() {
		p.mapping(col, depth)
		return true
	}
	return p.inline(parent, depth) && p.endLine()
}

func (p *parser) within(depth int) bool {
	if depth > MaxDepth {
		return p.fail(fmt.Sprintf("more than %d levels within each other", MaxDepth), "")
	}
	if len(p.nodes) > MaxValues {
		p.fail(fmt.Sprintf("more than %d values in one text", MaxValues), "")
		p.pos, p.indent = len(p.s), -1
		return false
	}
	return true
}

// dash tells whether a list item begins here.
func (p *parser) dash() bool { return p.peek(p.pos) == '-' && p.blank(p.pos+1) }

func (p *parser) sequence(col, parent, depth int) {
	n := p.open(sequence)
	for p.indent >= 0 {
		mark := len(p.nodes)
		p.settle(n, mark, col, p.item(col, depth))
		if p.indent < col {
			break
		}
		if !p.dash() {
			if parent == col {
				break
			}
			p.fail("a list item is expected here", "begin the line with - and a space")
			p.broken[n] = true
			p.recover(col - 1)
			break
		}
	}
	p.close(n)
}

// settle goes on behind a part of a collection: one that could not be read is taken back, and what stands too far to the
// right is told and passed over.
func (p *parser) settle(n int32, mark, col int, read bool) {
	if !read {
		p.forget(n, mark)
		p.recover(col)
	}
	if p.indent > col {
		p.fail(fmt.Sprintf("indented by %d spaces, where %d are expected", p.indent, col), "")
		p.broken[n] = true
		p.recover(col)
	}
}

// forget takes back the nodes of a part that could not be read.
func (p *parser) forget(n int32, mark int) {
	p.nodes = p.nodes[:mark]
	p.broken[n] = true
}

func (p *parser) item(col, depth int) bool {
	p.pos++
	p.skipSpaces()
	if p.lineDone() {
		if !p.endLine() {
			return false
		}
		if p.indent > col {
			return p.block(p.indent, col, depth+1)
		}
		p.addEmpty()
		return true
	}
	at := p.pos - p.lineStart
	if p.dash() || p.keyHere() {
		p.indent = at
		return p.block(at, col, depth+1)
	}
	return p.inline(col, depth+1) && p.endLine()
}

// lineDone tells whether nothing but a comment follows on the line.
func (p *parser) lineDone() bool {
	if p.pos >= len(p.s) || p.s[p.pos] == '\n' {
		return true
	}
	return p.s[p.pos] == '#' && p.s[p.pos-1] == ' '
}

func (p *parser) mapping(col, depth int) {
	n := p.open(mapping)
	for p.indent >= 0 {
		mark := len(p.nodes)
		p.settle(n, mark, col, p.entry(col, depth))
		if p.indent < col {
			break
		}
	}
	p.close(n)
}

func (p *parser) entry(col, depth int) bool {
	if p.dash() {
		return p.fail("a list item among keys", "indent the list below its key, or write key: value")
	}
	if !p.within(depth) || !p.key() {
		return false
	}
	p.skipSpaces()
	if !p.lineDone() {
		return p.inline(col, depth+1) && p.endLine()
	}
	end, line := p.pos, p.line
	if !p.endLine() {
		return false
	}
	switch {
	case p.indent > col:
		return p.block(p.indent, col, depth+1)
	case p.indent == col && p.dash():
		if !p.within(depth + 1) {
			return false
		}
		p.sequence(col, col, depth+1)
	default:
		p.add(node{kind: scalar, style: empty, start: int32(end), end: int32(end), line: int32(line)})
	}
	return true
}
