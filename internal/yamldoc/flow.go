package yamldoc

import "strings"

// flow reads a list or mapping in brackets; it may go on over lines that are indented deeper than its parent.
func (p *parser) flow(parent, depth int) bool {
	if !p.within(depth) {
		return false
	}
	k, end := sequence, byte(']')
	if p.s[p.pos] == '{' {
		k, end = mapping, '}'
	}
	n := p.open(k)
	p.pos++
	for {
		if !p.flowSpace(parent) {
			return false
		}
		if p.peek(p.pos) == end {
			break
		}
		if !p.flowEntry(k, parent, depth) || !p.flowSpace(parent) {
			return false
		}
		if p.peek(p.pos) == ',' {
			p.pos++
			continue
		}
		if p.peek(p.pos) != end {
			return p.fail("a comma or "+string(end)+" is expected here", "")
		}
		break
	}
	p.pos++
	p.close(n)
	return true
}

func (p *parser) flowEntry(k kind, parent, depth int) bool {
	if k == sequence {
		if !p.flowValue(parent, depth) {
			return false
		}
		if c := p.peek(p.pos); c == ':' {
			return p.fail("a key within a list", "put braces around key: value, or quotes around a text")
		}
		return true
	}
	if c := p.peek(p.pos); c == '[' || c == '{' {
		return p.fail("a key is expected here", "")
	}
	line, key := p.line, len(p.nodes)
	if !p.flowValue(parent, depth) {
		return false
	}
	isQuoted := p.nodes[key].style == quoted
	p.skipSpaces()
	if p.peek(p.pos) != ':' || p.line != line {
		return p.fail("a key with a colon is expected within braces", "")
	}
	if p.s[p.nodes[key].start:p.nodes[key].end] == "<<" && !isQuoted {
		return p.fail("merge keys are not read", "write the keys out")
	}
	p.pos++
	if !isQuoted && !p.blank(p.pos) {
		return p.fail("a space is expected after the colon", "")
	}
	if !p.flowSpace(parent) {
		return false
	}
	if c := p.peek(p.pos); c == ',' || c == '}' {
		p.addEmpty()
		return true
	}
	return p.flowValue(parent, depth)
}

// flowBlank tells whether a plain scalar within brackets would end before an offset.
func (p *parser) flowBlank(at int) bool {
	return p.blank(at) || strings.IndexByte(",[]{}", p.s[at]) >= 0
}

func (p *parser) flowValue(parent, depth int) bool {
	if !p.within(depth) {
		return false
	}
	c := p.peek(p.pos)
	switch c {
	case '[', '{':
		return p.flow(parent, depth+1)
	case '"', '\'':
		return p.quotes(parent)
	case ',':
		return p.fail("a value is missing before the comma", "")
	case '|', '>', '#':
		return p.fail("a text within brackets cannot begin with "+string(c), "put quotes around it")
	case 0:
		return p.fail("the brackets are not closed", "")
	case '?', '-', ':':
		if p.flowBlank(p.pos + 1) {
			return p.fail("a text within brackets cannot begin with "+string(c), "put quotes around it")
		}
	}
	return p.mayBegin(c) && p.flowPlain()
}

// flowPlain reads a scalar without quotes within brackets; it stays on its line.
func (p *parser) flowPlain() bool {
	begin, i := p.pos, p.pos
scan:
	for ; i < len(p.s); i++ {
		switch p.s[i] {
		case ',', '[', ']', '{', '}', '\n':
			break scan
		case ':':
			if p.flowBlank(i + 1) {
				break scan
			}
		case '#':
			if p.s[i-1] == ' ' {
				break scan
			}
		case '\t':
			p.pos = i
			return p.fail("a tab", "put spaces in its place, or quotes around the text")
		}
	}
	end := begin + len(strings.TrimRight(p.s[begin:i], " "))
	p.add(node{kind: scalar, start: int32(begin), end: int32(end), line: int32(p.line)})
	p.pos = end
	return true
}

// flowSpace steps over blanks, line ends and comments between the parts of a flow collection.
func (p *parser) flowSpace(parent int) bool {
	for {
		p.skipSpaces()
		switch p.peek(p.pos) {
		case '\n':
			p.newline()
			p.skipSpaces()
			if c := p.peek(p.pos); c == '\n' || c == '#' {
				continue
			}
			if !p.continued(parent) {
				return false
			}
		case '#':
			if p.pos > p.lineStart && p.s[p.pos-1] != ' ' {
				return p.fail("a # must have a space before it to begin a comment", "put quotes around a text")
			}
			p.comment()
			n := strings.IndexByte(p.s[p.pos:], '\n')
			if n < 0 {
				p.pos = len(p.s)
				return true
			}
			p.pos += n
		case '\t':
			return p.fail("a tab", "put spaces in its place")
		default:
			return true
		}
	}
}
