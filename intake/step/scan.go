package step

import (
	"bytes"
	"fmt"
	"strings"

	"wirewright/internal/problem"
)

// scanner walks the bytes of a file once and finds its sections and records.
type scanner struct {
	file     *File
	data     []byte
	at       int
	line     int
	words    map[string]string // keywords met so far, so that each is one string
	problems problem.List
}

// run reads the whole exchange structure.
func (s *scanner) run() {
	s.blank()
	if !s.word("ISO-10303-21;") {
		s.fail(s.line, "", "the file does not begin with ISO-10303-21; it is no STEP clear text file")
		return
	}
	for !s.stopped() {
		s.blank()
		line := s.line
		switch {
		case s.at >= len(s.data):
			s.fail(line, "", "the file ends before END-ISO-10303-21; it is cut short between two sections")
			return
		case s.word("END-ISO-10303-21;"):
			return
		case s.word("HEADER;"):
			s.section("HEADER", line, true)
		case s.word("DATA"):
			s.dataHead()
			s.section("DATA", line, false)
		default:
			if !s.otherSection() {
				return
			}
		}
	}
}

func (s *scanner) stopped() bool { return len(s.problems) >= s.file.limits.Problems }

func (s *scanner) fail(line int, entity, text string, args ...any) {
	text = fmt.Sprintf(text, args...)
	if entity != "" {
		text = entity + ": " + text
	}
	s.problems = append(s.problems, problem.Problem{Place: problem.Place{File: s.file.Name, Line: line}, Entity: entity, Text: text})
}

// dataHead passes the optional argument list of DATA and its semicolon.
func (s *scanner) dataHead() {
	s.blank()
	if s.at < len(s.data) && s.data[s.at] == '(' {
		s.at++
		s.arguments(&Record{Keyword: "DATA", Line: s.line})
		s.blank()
	}
	if !s.word(";") {
		s.fail(s.line, "DATA", "a semicolon is expected after DATA")
	}
}

// otherSection passes a section of the third edition that no importer of ours needs (ANCHOR, REFERENCE, SIGNATURE).
func (s *scanner) otherSection() bool {
	line, begin := s.line, s.at
	name := s.keyword()
	if name != "ANCHOR" && name != "REFERENCE" && name != "SIGNATURE" {
		s.fail(line, "", "a section (HEADER, DATA) or END-ISO-10303-21; is expected, found %q", s.excerptAt(begin))
		return false
	}
	end := bytes.Index(s.data[s.at:], []byte("ENDSEC;"))
	if end < 0 {
		s.fail(line, name, "the section that begins here does not end: the file is cut short")
		return false
	}
	s.line += bytes.Count(s.data[s.at:s.at+end], []byte{'\n'})
	s.at += end + len("ENDSEC;")
	return true
}

// section reads records up to ENDSEC.
func (s *scanner) section(name string, began int, header bool) {
	for !s.stopped() {
		s.blank()
		if s.at >= len(s.data) {
			s.fail(s.line, name, "the file ends inside the section that begins on line %d: it is cut short", began)
			return
		}
		if s.data[s.at] == 'E' && s.word("ENDSEC;") {
			return
		}
		if !s.record(header) {
			s.resume()
		}
	}
}

// record reads one record; false asks the caller to look for the next one.
func (s *scanner) record(header bool) bool {
	r := Record{Line: s.line}
	if !header {
		if !s.number(&r) {
			return false
		}
	}
	if !header && s.at < len(s.data) && s.data[s.at] == '(' {
		r.Keyword = "&"
	} else if r.Keyword = s.keyword(); r.Keyword == "" {
		s.fail(r.Line, entityName(r), "an entity name is expected, found %q", s.excerpt())
		return false
	}
	s.blank()
	if s.at >= len(s.data) || s.data[s.at] != '(' {
		s.fail(s.line, r.String(), "( is expected after the entity name, found %q", s.excerpt())
		return false
	}
	s.at++
	r.from = s.at
	if !s.arguments(&r) {
		return false
	}
	r.to = s.at - 1
	s.blank()
	if s.at >= len(s.data) || s.data[s.at] != ';' {
		s.fail(s.line, r.String(), "a semicolon is expected after the arguments, found %q", s.excerpt())
		return false
	}
	s.at++
	return s.keep(r, header)
}

func entityName(r Record) string {
	if r.ID == 0 {
		return ""
	}
	return r.ID.String()
}

// number reads `#12 =`.
func (s *scanner) number(r *Record) bool {
	if s.data[s.at] != '#' {
		s.fail(s.line, "", "a record (#1=…;) or ENDSEC; is expected, found %q", s.excerpt())
		return false
	}
	s.at++
	begin := s.at
	for s.at < len(s.data) && s.data[s.at] >= '0' && s.data[s.at] <= '9' {
		r.ID = r.ID*10 + ID(s.data[s.at]-'0')
		s.at++
	}
	if n := s.at - begin; n == 0 || n > 18 || r.ID == 0 {
		s.fail(s.line, "", "a record number above 0 of at most 18 digits is expected after #, found %q", s.excerptAt(begin))
		return false
	}
	s.blank()
	if s.at >= len(s.data) || s.data[s.at] != '=' {
		s.fail(s.line, r.ID.String(), "= is expected after the record number, found %q", s.excerpt())
		return false
	}
	s.at++
	s.blank()
	return true
}

func (s *scanner) keep(r Record, header bool) bool {
	if header {
		s.file.Header = append(s.file.Header, r)
		if len(s.file.Header) > 1000 {
			s.fail(r.Line, r.Keyword, "more than 1000 records in the header")
			return false
		}
		return true
	}
	if first, ok := s.file.index[r.ID]; ok {
		s.fail(r.Line, r.String(), "the number stands twice; the first is on line %d", s.file.Records[first].Line)
		return true
	}
	if len(s.file.Records) >= s.file.limits.Records {
		s.fail(r.Line, r.String(), "more than %d records", s.file.limits.Records)
		s.at = len(s.data)
		return true
	}
	s.file.index[r.ID] = int32(len(s.file.Records))
	s.file.Records = append(s.file.Records, r)
	return true
}

// plain marks the bytes that mean nothing to the search for the end of a list.
var plain = func() (t [256]bool) {
	for i := range t {
		t[i] = true
	}
	for _, c := range "()'\";/\n" {
		t[c] = false
	}
	return t
}()

// arguments passes everything up to the bracket that closes the list just opened. A semicolon outside a string means
// that the list was not closed.
func (s *scanner) arguments(r *Record) bool {
	data, at, depth := s.data, s.at, 1
	for {
		for at < len(data) && plain[data[at]] {
			at++
		}
		s.at = at
		if at >= len(data) {
			s.fail(s.line, r.String(), "the file ends inside the record that begins on line %d, with %d brackets open: it is cut short", r.Line, depth)
			return false
		}
		switch c := data[at]; c {
		case '\n':
			s.line++
		case '(':
			if depth++; depth > s.file.limits.Depth {
				s.fail(s.line, r.String(), "lists are nested deeper than %d", s.file.limits.Depth)
				return false
			}
		case ')':
			if depth--; depth == 0 {
				s.at = at + 1
				return true
			}
		case '\'', '"':
			if !s.quoted(c, r) {
				return false
			}
			at = s.at
			continue
		case ';':
			s.fail(s.line, r.String(), "the record ends with %d brackets open", depth)
			return false
		case '/':
			if at+1 < len(data) && data[at+1] == '*' {
				if !s.comment() {
					return false
				}
				at = s.at
				continue
			}
		}
		at++
	}
}

// quoted passes a string or a binary; a doubled quote inside is seen as two strings end to end, which is the same to
// whoever looks for the end.
func (s *scanner) quoted(quote byte, r *Record) bool {
	n := bytes.IndexByte(s.data[s.at+1:], quote)
	if n < 0 {
		s.fail(s.line, r.String(), "the file ends inside a string that begins on line %d: it is cut short", s.line)
		s.at = len(s.data)
		return false
	}
	for _, c := range s.data[s.at+1 : s.at+1+n] {
		if c == '\n' {
			s.line++
		}
	}
	s.at += n + 2
	return true
}

// comment passes a comment.
func (s *scanner) comment() bool {
	n := bytes.Index(s.data[s.at+2:], []byte("*/"))
	if n < 0 {
		s.fail(s.line, "", "the file ends inside a comment that begins on line %d: it is cut short", s.line)
		s.at = len(s.data)
		return false
	}
	s.line += bytes.Count(s.data[s.at:s.at+2+n], []byte{'\n'})
	s.at += n + 4
	return true
}

// blank passes white space and comments.
func (s *scanner) blank() {
	for s.at < len(s.data) {
		switch c := s.data[s.at]; {
		case c == '\n':
			s.line++
			s.at++
		case c == ' ' || c == '\t' || c == '\r' || c == '\f':
			s.at++
		case c == '/' && s.at+1 < len(s.data) && s.data[s.at+1] == '*':
			if !s.comment() {
				return
			}
		default:
			return
		}
	}
}

// word passes the text if it stands here, in any case of letters.
func (s *scanner) word(text string) bool {
	if len(s.data)-s.at < len(text) || !strings.EqualFold(string(s.data[s.at:s.at+len(text)]), text) {
		return false
	}
	s.at += len(text)
	return true
}

// keyword reads an entity name; empty if none stands here. A user-defined name begins with an exclamation mark.
func (s *scanner) keyword() string {
	begin := s.at
	for s.at < len(s.data) && isName(s.data[s.at], s.at > begin) {
		s.at++
	}
	raw := s.data[begin:s.at]
	if w, ok := s.words[string(raw)]; ok {
		return w
	}
	w := strings.ToUpper(string(raw))
	if len(s.words) < 10_000 {
		s.words[string(raw)] = w
	}
	return w
}

func isName(c byte, digits bool) bool {
	return c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' || c == '_' || digits && c >= '0' && c <= '9' || !digits && c == '!'
}

// resume looks for the start of the next record after a mistake, so that one pass finds more than one.
func (s *scanner) resume() {
	for s.at < len(s.data) {
		n := bytes.IndexByte(s.data[s.at:], ';')
		if n < 0 {
			s.at = len(s.data)
			return
		}
		s.line += bytes.Count(s.data[s.at:s.at+n], []byte{'\n'})
		s.at += n + 1
		s.blank()
		if s.at < len(s.data) && (s.data[s.at] == '#' || s.data[s.at] == 'E') {
			return
		}
	}
}

func (s *scanner) excerpt() string { return s.excerptAt(s.at) }

func (s *scanner) excerptAt(at int) string {
	end := min(at+24, len(s.data))
	line, _, _ := bytes.Cut(s.data[min(at, end):end], []byte{'\n'})
	return strings.ToValidUTF8(strings.TrimRight(string(line), "\r"), "?")
}
