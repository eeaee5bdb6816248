package yamldoc

import "strings"

// header is the line that begins a block scalar.
type header struct {
	folded bool
	indent int  // of the content, 0 where the first line says it
	chomp  byte // '-' no line end after the last line, '+' all of them, 0 one
}

// blockScalar reads a literal (|) or folded (>) text: the lines that are indented deeper than the parent.
func (p *parser) blockScalar(parent int) bool {
	if parent < 0 {
		return p.fail("a text block needs a key", "write for example note: |")
	}
	n := p.add(node{kind: scalar, style: literal, start: int32(p.pos), line: int32(p.line)})
	h, ok := p.header(parent)
	if !ok {
		return false
	}
	if h.indent == 0 {
		if h.indent, ok = p.contentIndent(parent); !ok {
			return false
		}
	}
	lines, ended, ok := p.contentLines(h.indent)
	if !ok {
		return false
	}
	last := len(lines)
	for last > 0 && lines[last-1] == "" {
		last--
	}
	text := join(lines[:last], h.folded)
	after := len(lines) - last // empty lines at the end
	switch {
	case h.chomp == '-', h.chomp == 0 && last == 0:
	case h.chomp == 0:
		if ended || after > 0 {
			text += "\n"
		}
	default:
		if last > 0 && (ended || after > 0) {
			text += "\n"
		}
		text += strings.Repeat("\n", after)
	}
	p.cook(n, text)
	p.lineStart, p.fresh = p.pos, true
	return true
}

// header reads the rest of the line of the | or >.
func (p *parser) header(parent int) (h header, ok bool) {
	h.folded = p.s[p.pos] == '>'
	for p.pos++; ; p.pos++ {
		switch c := p.peek(p.pos); {
		case (c == '-' || c == '+') && h.chomp == 0:
			h.chomp = c
			continue
		case c >= '1' && c <= '9' && h.indent == 0:
			h.indent = max(parent, 0) + int(c-'0')
			continue
		}
		break
	}
	begin := p.pos
	p.skipSpaces()
	switch {
	case p.peek(p.pos) == '#' && p.pos > begin:
		p.comment()
	case p.pos < len(p.s) && p.s[p.pos] != '\n':
		return h, p.fail("nothing more is expected on the line of | or >", "begin the text on the next line, or put quotes around a text")
	}
	p.toLineEnd()
	return h, true
}

// contentIndent finds the indentation of the first line with content.
func (p *parser) contentIndent(parent int) (int, bool) {
	widest := 0
	for i := p.pos; ; i++ {
		start := i
		for p.peek(i) == ' ' {
			i++
		}
		indent := i - start
		if p.peek(i) == '\n' {
			widest = max(widest, indent)
			continue
		}
		if i >= len(p.s) {
			return max(widest, indent, parent+1, 1), true
		}
		if indent <= parent {
			return max(widest, parent+1, 1), true
		}
		if widest > indent {
			return 0, p.fail("an empty line is indented deeper than the text after it", "take its spaces away")
		}
		return max(indent, parent+1), true
	}
}

// contentLines takes the lines of the block, without their indentation; ended tells whether the last one has a line end.
func (p *parser) contentLines(indent int) (lines []string, ended, ok bool) {
	for p.pos < len(p.s) {
		start := p.pos
		for p.peek(p.pos) == ' ' && p.pos-start < indent {
			p.pos++
		}
		c := p.peek(p.pos)
		short := p.pos-start < indent
		if short && c == '\t' {
			return nil, false, p.fail("a tab; lines are indented with spaces", "put spaces in its place")
		}
		if short && c != '\n' && p.pos < len(p.s) || indent == 0 && marker(p.s, start) {
			p.pos = start
			break
		}
		end := strings.IndexByte(p.s[p.pos:], '\n')
		if end < 0 {
			// The text ends within this line. Blanks alone count as a line with its end, as they do to other readers.
			lines, ended = append(lines, p.s[p.pos:]), strings.Trim(p.s[p.pos:], " \t") == ""
			p.pos = len(p.s)
			break
		}
		lines, ended = append(lines, p.s[p.pos:p.pos+end]), true
		p.pos += end
		p.newline()
	}
	return lines, ended, true
}

// join makes one text of the lines. Folded, a line end between two lines of text becomes a blank, unless one of them
// begins with white space.
func join(lines []string, folded bool) string {
	if !folded {
		return strings.Join(lines, "\n")
	}
	var b strings.Builder
	for i := 0; i < len(lines); i++ {
		b.WriteString(lines[i])
		if i == len(lines)-1 {
			break
		}
		empties := 0
		for lines[i+1+empties] == "" { // the last line is not empty
			empties++
		}
		next := lines[i+1+empties]
		straight := lines[i] == "" || spaced(lines[i]) || spaced(next)
		switch {
		case empties == 0 && !straight:
			b.WriteByte(' ')
		case straight:
			b.WriteString(strings.Repeat("\n", empties+1))
		default:
			b.WriteString(strings.Repeat("\n", empties))
		}
		i += empties
	}
	return b.String()
}

func spaced(line string) bool { return line != "" && (line[0] == ' ' || line[0] == '\t') }
