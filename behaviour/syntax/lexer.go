package syntax

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"wirewright/internal/problem"
)

// The bounds of a text; what is beyond is refused with the figure.
const (
	MaxBytes      = 4 << 20 // length of a text
	MaxStatements = 50_000  // statements in a text
	MaxWord       = 200     // characters in a word
	MaxText       = 1000    // characters in a text in quotation marks
	MaxDepth      = 32      // parentheses and "not" within one another
	MaxList       = 1000    // members of one list
	MaxProblems   = 200     // mistakes that are reported
)

// units are the units that may follow a number, longest first where one begins another.
var units = []string{"min", "ms", "m/s", "s", "h", "d", "%", "°c", "°", "klx", "lx", "deg"}

// lexer cuts a text into tokens and comments.
type lexer struct {
	text     string
	at       int
	line     int32
	column   int32
	fresh    bool // nothing stands on this line yet
	blanks   int  // empty lines since the last token or comment
	tokens   []token
	comments []comment
	problems *problems
}

// problems collects mistakes up to the bound.
type problems struct {
	file string
	list problem.List
}

func (ps *problems) add(at Pos, hint, format string, args ...any) {
	if len(ps.list) >= MaxProblems {
		return
	}
	ps.list = append(ps.list, problem.Problem{
		Place: problem.Place{File: ps.file, Line: int(at.Line), Column: int(at.Column)},
		Text:  fmt.Sprintf(format, args...), Hint: hint,
	})
}

func (l *lexer) run() {
	l.tokens = make([]token, 0, len(l.text)/4) // a token and the space behind it are seldom shorter
	l.line, l.column, l.fresh = 1, 1, true
	l.at = len(l.text) - len(strings.TrimPrefix(l.text, "\uFEFF")) // a byte order mark is no part of the text
	for l.at < len(l.text) {
		l.next()
	}
}

// next reads one token, comment or piece of white space.
func (l *lexer) next() {
	c := l.text[l.at]
	switch {
	case c == '\n':
		l.newline()
	case c == ' ' || c == '\t' || c == '\r':
		l.skip(1)
	case c == '#':
		l.comment()
	case c == '"':
		l.quoted()
	case c >= '0' && c <= '9':
		l.number()
	case strings.IndexByte(":,;()+-", c) >= 0:
		l.emit(token{kind: tokMark, text: l.text[l.at : l.at+1]}, 1)
	case strings.HasPrefix(l.text[l.at:], "−"):
		l.emit(token{kind: tokMark, text: "-"}, len("−"))
	default:
		l.word()
	}
}

func (l *lexer) newline() {
	if l.fresh {
		l.blanks++
	}
	l.at++
	l.line++
	l.column = 1
	l.fresh = true
}

// skip passes n bytes of one line.
func (l *lexer) skip(n int) {
	l.column += int32(utf8.RuneCountInString(l.text[l.at : l.at+n]))
	l.at += n
}

func (l *lexer) here() Pos { return Pos{l.line, l.column} }

// emit adds a token of n bytes.
func (l *lexer) emit(t token, n int) {
	l.blank()
	t.pos, t.start, t.first = l.here(), l.at, l.fresh
	l.skip(n)
	t.end = l.here()
	l.fresh = false
	l.tokens = append(l.tokens, t)
}

// blank notes the empty lines that were passed, as one.
func (l *lexer) blank() {
	if l.blanks > 0 {
		l.comments = append(l.comments, comment{blank: true, pos: l.here(), start: l.at - 1})
	}
	l.blanks = 0
}

func (l *lexer) comment() {
	l.blank()
	n := strings.IndexByte(l.text[l.at:], '\n')
	if n < 0 {
		n = len(l.text) - l.at
	}
	text := strings.ToValidUTF8(l.text[l.at+1:l.at+n], "\uFFFD")
	text = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, text)
	l.comments = append(l.comments, comment{text: strings.TrimSpace(text), inline: !l.fresh, pos: l.here(), start: l.at})
	l.at += n
	l.fresh = false
}

func (l *lexer) quoted() {
	var b strings.Builder
	i, closed := l.at+1, false
	for i < len(l.text) && l.text[i] != '\n' && !closed {
		r, n := utf8.DecodeRuneInString(l.text[i:])
		switch {
		case r == '"':
			closed = true
		case r == '\\' && i+1 < len(l.text) && (l.text[i+1] == '"' || l.text[i+1] == '\\'):
			b.WriteByte(l.text[i+1])
			n = 2
		case unicode.IsControl(r) || r == utf8.RuneError && n == 1:
			b.WriteByte(' ')
		default:
			b.WriteRune(r)
		}
		i += n
	}
	if !closed {
		l.problems.add(l.here(), `texts stand on one line between two "`, "this text is not closed")
	}
	text := b.String()
	if n := utf8.RuneCountInString(text); n > MaxText {
		l.problems.add(l.here(), "", "a text may have %d characters, this one has %d", MaxText, n)
		text = string([]rune(text)[:MaxText])
	}
	l.emit(token{kind: tokText, text: text}, i-l.at)
}

// number reads a number with its unit, a time of day, or a word that begins with a digit.
func (l *lexer) number() {
	rest := l.text[l.at:]
	n := digits(rest)
	if h, ok := clockTime(rest, n); ok {
		l.emit(token{kind: tokTime, text: rest[:n+3], value: h}, n+3)
		return
	}
	m := n
	if m+1 < len(rest) && (rest[m] == '.' || rest[m] == ',') && digits(rest[m+1:]) > 0 {
		m += 1 + digits(rest[m+1:])
	}
	unit, k := unitAt(rest[m:])
	if unit == "" {
		if r, _ := utf8.DecodeRuneInString(rest[n:]); r == '-' || inWord(r) && n < len(rest) {
			l.word()
			return
		}
	}
	l.emit(token{kind: tokNumber, text: rest[:m], unit: unit}, m+k)
}

func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}

// clockTime reads "6:30" or "06:30" whose hour has n digits; 24:00 is the end of the day.
func clockTime(s string, n int) (int32, bool) {
	if n > 2 || len(s) < n+3 || s[n] != ':' || digits(s[n+1:]) != 2 {
		return 0, false
	}
	var h, m int32
	for _, c := range s[:n] {
		h = h*10 + c - '0'
	}
	m = int32(s[n+1]-'0')*10 + int32(s[n+2]-'0')
	return h*60 + m, true
}

// unitAt finds the unit that s begins with, spaces before it allowed, and the length up to its end.
func unitAt(s string) (string, int) {
	blank := len(s) - len(strings.TrimLeft(s, " \t"))
	for _, u := range units {
		if !hasPrefixFold(s[blank:], u) {
			continue
		}
		r, n := utf8.DecodeRuneInString(s[blank+len(u):])
		if n > 0 && (inWord(r) || r == '/' || r == '-' || r == '.' && inWordAt(s[blank+len(u)+1:])) {
			continue
		}
		if u == "°c" {
			return "°C", blank + len(u)
		}
		return u, blank + len(u)
	}
	return "", 0
}

// hasPrefixFold tells whether s begins with u, capital letters of ASCII counting as small ones.
func hasPrefixFold(s, u string) bool {
	if len(s) < len(u) {
		return false
	}
	for i := range len(u) {
		c := s[i]
		if c >= 'A' && c <= 'Z' {
			c += 'a' - 'A'
		}
		if c != u[i] {
			return false
		}
	}
	return true
}

func inWord(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) || r == '_'
}

func inWordAt(s string) bool {
	r, n := utf8.DecodeRuneInString(s)
	return n > 0 && inWord(r)
}

// word reads a name or a word of the language; anything else is a mistake and passed over.
func (l *lexer) word() {
	rest := l.text[l.at:]
	n := wordLength(rest)
	if n == 0 {
		r, k := utf8.DecodeRuneInString(rest)
		what := fmt.Sprintf("%q", r)
		if r == utf8.RuneError && k == 1 {
			what = fmt.Sprintf("byte %#x (not UTF-8)", rest[0])
		}
		l.problems.add(l.here(), "", "%s means nothing here", what)
		l.blank()
		l.skip(k)
		l.fresh = false
		return
	}
	text := strings.Map(unicode.ToLower, rest[:n])
	if c := utf8.RuneCountInString(text); c > MaxWord {
		l.problems.add(l.here(), "", "a word may have %d characters, this one has %d", MaxWord, c)
	}
	l.emit(token{kind: tokWord, text: text}, n)
}

// wordLength is the length in bytes of the word that s begins with: letters, digits and hyphens, joined by dots.
func wordLength(s string) int {
	i := 0
	for i < len(s) {
		r, n := utf8.DecodeRuneInString(s[i:])
		if r == utf8.RuneError && n == 1 {
			break
		}
		if i == 0 && (unicode.IsMark(r) || r == '-' || r == '.') {
			break
		}
		if !inWord(r) && r != '-' && !(r == '.' && inWordAt(s[i+1:])) {
			break
		}
		i += n
	}
	return i
}
