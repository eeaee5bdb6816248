package accept

import (
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"wirewright/behaviour/syntax"
	"wirewright/internal/problem"
	"wirewright/unit"
)

// The bounds of an acceptance text.
const (
	MaxBytes    = 4 << 20                      // length
	MaxTests    = 20_000                       // tests
	MaxSteps    = 1_000                        // steps of one test
	MaxTime     = unit.Duration(48 * 3600_000) // longest time of one step
	maxProblems = 200                          // mistakes that are reported
)

// The usual times of steps.
const (
	withinUsual = unit.Duration(1000) // an expectation without a time
	pressTime   = unit.Duration(100)  // how long a short press lasts
	holdTime    = unit.Duration(700)  // how long it takes until a key counts as held, with a margin
)

// Parse reads an acceptance text; file is its name in messages. A test begins in the first column with the word test and
// what it shows; its steps are indented, one a line:
//
//	test "Porch light comes on in the dark"
//	  of rule porch-light
//	  for wish w2
//	  at 2025-01-15 21:00
//	  set porch.presence to occupied
//	  expect porch.lamp on within 300 ms
//
// Every mistake is reported, with its line and column; the tests that could be read are returned all the same.
func Parse(file, text string) ([]Test, problem.List) {
	p := &parser{file: file}
	if len(text) > MaxBytes {
		p.line = 1
		p.fail(1, "", "an acceptance text may have %d bytes, this one has %d", MaxBytes, len(text))
		return nil, p.list
	}
	for i, line := range strings.Split(strings.TrimPrefix(text, "\uFEFF"), "\n") {
		p.line = i + 1
		p.read(strings.TrimRight(line, " \t\r"))
	}
	p.close()
	p.list.Sort()
	return p.tests, p.list
}

// parser reads a text line by line.
type parser struct {
	file  string
	line  int
	list  problem.List
	tests []Test
	test  *Test // the one that is open
	wrong bool  // it has a mistake
	lead  []string
	words []word
	at    int
	bad   bool // this line has a mistake
}

// word is one word, text or mark of a line.
type word struct {
	text   string
	quoted bool
	column int
}

func (p *parser) fail(column int, hint, format string, args ...any) {
	p.bad, p.wrong = true, true
	if len(p.list) < maxProblems {
		p.list = append(p.list, problem.Problem{Place: problem.Place{File: p.file, Line: p.line, Column: column}, Text: fmt.Sprintf(format, args...), Hint: hint})
	}
}

// close ends the open test.
func (p *parser) close() {
	if p.test == nil {
		return
	}
	if len(p.test.Steps) == 0 && !p.wrong {
		line, bad := p.line, p.bad
		p.line = p.test.Line
		p.fail(1, "write its steps on indented lines", "the test %q has no steps", p.test.Name)
		p.line, p.bad = line, bad
	}
	if !p.wrong {
		p.tests = append(p.tests, *p.test)
	}
	p.test, p.wrong = nil, false
}

// read takes one line.
func (p *parser) read(line string) {
	body, note := cutComment(line)
	p.words, p.at, p.bad = nil, 0, false
	p.split(body)
	switch {
	case p.bad:
	case len(p.words) == 0:
		p.remember(line, note)
	case p.words[0].column == 1:
		p.begin(note)
	case p.test == nil:
		p.fail(p.words[0].column, "a test begins in the first column with the word test", "this step belongs to no test")
	default:
		p.step(note)
	}
}

// cutComment divides a line at the # that begins a comment.
func cutComment(line string) (string, string) {
	quoted := false
	for i := 0; i < len(line); i++ {
		switch {
		case line[i] == '\\' && quoted:
			i++
		case line[i] == '"':
			quoted = !quoted
		case line[i] == '#' && !quoted:
			return line[:i], strings.TrimSpace(strings.ToValidUTF8(line[i+1:], "\uFFFD"))
		}
	}
	return line, ""
}

// remember keeps a comment line or an empty line for the next test; between steps they are dropped with the blank.
func (p *parser) remember(line, note string) {
	switch {
	case strings.TrimSpace(line) == "":
		if p.test == nil && len(p.lead) > 0 && p.lead[len(p.lead)-1] != "" || p.test != nil && len(p.lead) == 0 {
			p.lead = append(p.lead, "")
		}
	case note != "":
		p.lead = append(p.lead, note)
	}
}

// split cuts a line into words.
func (p *parser) split(line string) {
	for i, column := 0, 1; i < len(line); {
		r, n := utf8.DecodeRuneInString(line[i:])
		switch {
		case r == ' ' || r == '\t' || r == '\r':
			i, column = i+n, column+1
		case r == '"':
			text, k := unquote(line[i:])
			if k < 0 {
				p.fail(column, "", "this text is not closed")
				return
			}
			p.words = append(p.words, word{text, true, column})
			column += utf8.RuneCountInString(line[i : i+k])
			i += k
		case r == utf8.RuneError && n == 1 || r < ' ':
			p.fail(column, "", "byte %#x means nothing here", line[i])
			return
		default:
			k := strings.IndexAny(line[i:], " \t\r\"")
			if k < 0 {
				k = len(line) - i
			}
			if !utf8.ValidString(line[i : i+k]) {
				p.fail(column, "", "this word is not UTF-8")
				return
			}
			p.words = append(p.words, word{strings.ToLower(line[i : i+k]), false, column})
			column += utf8.RuneCountInString(line[i : i+k])
			i += k
		}
	}
}

// unquote reads a text in quotation marks; the length is -1 where it is not closed.
func unquote(s string) (string, int) {
	var b strings.Builder
	for i := 1; i < len(s); i++ {
		switch c := s[i]; {
		case c == '"':
			return strings.ToValidUTF8(b.String(), "\uFFFD"), i + 1
		case c == '\\' && i+1 < len(s) && (s[i+1] == '"' || s[i+1] == '\\'):
			i++
			b.WriteByte(s[i])
		case c < ' ' || c == 0x7f:
			b.WriteByte(' ')
		default:
			b.WriteByte(c)
		}
	}
	return "", -1
}

// begin reads: test "what it shows".
func (p *parser) begin(note string) {
	p.close()
	p.test = &Test{Line: p.line, Lead: p.lead}
	p.lead = nil
	if note != "" {
		p.test.Lead = append(p.test.Lead, note)
	}
	if len(p.tests) >= MaxTests {
		p.fail(1, "", "an acceptance text may have %d tests", MaxTests)
		return
	}
	if !p.accept("test") {
		p.fail(p.words[0].column, problem.DidYouMean(p.words[0].text, []string{"test"}), "expected test, found %s", p.words[0].text)
		return
	}
	w := p.next()
	if !w.quoted || w.text == "" {
		p.expected(w, "what the test shows, in quotation marks")
		return
	}
	p.test.Name = w.text
	p.end()
}

// next takes the next word; behind the last one it is empty.
func (p *parser) next() word {
	if p.at < len(p.words) {
		p.at++
		return p.words[p.at-1]
	}
	last := p.words[len(p.words)-1]
	return word{column: last.column + utf8.RuneCountInString(last.text)}
}

// peek is the word that comes next.
func (p *parser) peek() word {
	w := p.next()
	if w.text != "" || w.quoted {
		p.at--
	}
	return w
}

// accept passes these words if all of them come next.
func (p *parser) accept(texts ...string) bool {
	if p.at+len(texts) > len(p.words) {
		return false
	}
	for i, t := range texts {
		if w := p.words[p.at+i]; w.quoted || w.text != t {
			return false
		}
	}
	p.at += len(texts)
	return true
}

// need passes a word or reports that it is missing.
func (p *parser) need(text string) {
	if !p.bad && !p.accept(text) {
		p.expected(p.peek(), text)
	}
}

func (p *parser) expected(w word, what string, offers ...string) {
	if p.bad {
		return
	}
	found := w.text
	if found == "" {
		found = "the end of the line"
	}
	p.fail(w.column, problem.DidYouMean(w.text, offers), "expected %s, found %s", what, found)
}

// end reports what stands behind the end of a step.
func (p *parser) end() {
	if w := p.peek(); !p.bad && (w.text != "" || w.quoted) {
		p.expected(w, "the end of the line")
	}
}

// duration reads a span of time up to the end of the line.
func (p *parser) duration() unit.Duration {
	first := p.peek()
	var parts []string
	for p.at < len(p.words) {
		parts = append(parts, p.next().text)
	}
	d, err := unit.ParseDuration(strings.Join(parts, " "))
	switch {
	case p.bad:
	case err != nil:
		p.fail(first.column, "", "%s", err)
	case d > MaxTime:
		p.fail(first.column, "", "a step may take %s at most", MaxTime)
	}
	return d
}

// clock reads: 2025-01-15 06:30 [ :ss ].
func (p *parser) clock() time.Time {
	w := p.next()
	text := w.text + " " + p.next().text
	for _, layout := range []string{"2006-01-02 15:04", "2006-01-02 15:04:05"} {
		if t, err := time.Parse(layout, text); err == nil {
			return t
		}
	}
	p.expected(w, "a date and a time such as 2025-01-15 06:30")
	return time.Time{}
}

// key reads a key: hall.keys.1.
func (p *parser) key() (string, int) {
	w := p.next()
	at := strings.LastIndexByte(w.text, '.')
	if at > 0 {
		if n, err := strconv.Atoi(w.text[at+1:]); err == nil && n > 0 && n < 100 && w.text[at+1] != '+' {
			return w.text[:at], n
		}
	}
	p.expected(w, "a key such as hall.keys.1")
	return "", 0
}

// name reads a point, or a mode behind the word mode.
func (p *parser) name() string {
	prefix := ""
	if p.accept("mode") {
		prefix = "mode "
	}
	w := p.next()
	if w.text == "" || w.quoted {
		p.expected(w, "a point or a mode")
	}
	return prefix + w.text
}

// state reads a word or a quantity, up to one of the words that may follow it.
func (p *parser) state(stop ...string) State {
	first := p.peek()
	var parts []string
	for w := p.peek(); w.text != "" && !w.quoted; w = p.peek() {
		if len(parts) > 0 && contains(stop, w.text) {
			break
		}
		parts = append(parts, p.next().text)
	}
	text := strings.Join(parts, " ")
	switch {
	case text == "":
		p.expected(first, "a state such as on or 40 %")
	case text[0] >= '0' && text[0] <= '9' || text[0] == '-' || text[0] == '+' || strings.HasPrefix(text, "−"):
		q, err := syntax.ParseQuantity(text)
		if err != nil && !p.bad {
			p.fail(first.column, "", "%s", err)
		}
		return State{Quantity: &q}
	case len(parts) > 1:
		p.expected(p.words[p.at-len(parts)+1], "one word for the state")
	}
	return State{Word: text}
}

func contains(list []string, s string) bool {
	for _, l := range list {
		if l == s {
			return true
		}
	}
	return false
}
