package yamldoc

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// appendText writes a text on one line, in quotes where it needs them.
func appendText(b []byte, s string, m manner) []byte {
	if m != asJSON && bare(s, m == yamlFlow) {
		return append(b, s...)
	}
	return appendQuoted(b, s)
}

// appendQuoted writes a text in double quotes, as JSON writes it; characters that JSON lets stand but some YAML readers
// do not are escaped.
func appendQuoted(b []byte, s string) []byte {
	b = append(b, '"')
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == '"' || r == '\\':
			b = append(b, '\\', byte(r))
		case r == '\n':
			b = append(b, `\n`...)
		case r == '\t':
			b = append(b, `\t`...)
		case r < ' ' || r == 0x7f || r > 0x7e && !printable(r):
			b = fmt.Appendf(b, `\u%04x`, r)
		default:
			b = utf8.AppendRune(b, r)
		}
		i += n
	}
	return append(b, '"')
}

// bare tells whether a text may stand without quotes: it is one line, means itself to every YAML reader, and to people.
func bare(s string, inFlow bool) bool {
	if s == "" || !mayStart(s) || typed(s) {
		return false
	}
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c < ' ', c == 0x7f:
			return false
		case c == ' ' && (i+1 == len(s) || s[i+1] == '#'):
			return false
		case c == ':' && (i+1 == len(s) || s[i+1] == ' ' || inFlow && strings.IndexByte(",[]{}", s[i+1]) >= 0):
			return false
		case inFlow && strings.IndexByte(",[]{}", c) >= 0:
			return false
		case c >= utf8.RuneSelf:
			r, n := utf8.DecodeRuneInString(s[i:])
			if !printable(r) || r == utf8.RuneError && n == 1 || r == 0xA0 {
				return false
			}
			i += n - 1
		}
	}
	return true
}

// mayStart tells whether a text begins with a character that begins nothing else.
func mayStart(s string) bool {
	switch c := s[0]; c {
	case '-', '.':
		return len(s) > 1 && s[1] >= '0' && s[1] <= '9'
	case ' ', '?', ':', ',', '[', ']', '{', '}', '#', '&', '*', '!', '|', '>', '\'', '"', '%', '@', '`', '=', '<', '~':
		return false
	}
	return true
}

// typed tells whether some YAML reader, of 1.1 or 1.2, takes a bare text for something else: null, a truth value, a
// number, a date or time of day, or a merge key.
func typed(s string) bool {
	switch c := s[0]; {
	case c >= '0' && c <= '9', c == '-', c == '+', c == '.':
		return numeric(s)
	case len(s) > 5:
		return false
	}
	switch strings.ToLower(s) {
	case "y", "n", "yes", "no", "on", "off", "true", "false", "null", "nan", "inf":
		return true
	}
	return false
}

// numeric tells whether a text that begins like a number is one, or a date or a time of day, to some reader.
func numeric(s string) bool {
	if len(s) >= 8 && allDigits(s[:4]) && s[4] == '-' {
		return true // a date, perhaps with a time behind it
	}
	if strings.IndexByte(s, ' ') >= 0 {
		return false // as in 16 A
	}
	t := strings.ReplaceAll(strings.TrimLeft(s, "+-"), "_", "")
	if t == "" || strings.Trim(t, "0123456789.:") == "" && strings.Count(t, ".") < 2 {
		return true // decimal, octal, or sexagesimal of YAML 1.1
	}
	switch strings.ToLower(t) {
	case ".inf", ".nan":
		return true
	}
	if _, err := strconv.ParseFloat(t, 64); err == nil {
		return true
	}
	_, err := strconv.ParseUint(t, 0, 64) // hexadecimal, octal, binary with a prefix
	return err == nil || len(t) > 2 && t[0] == '0' && strings.IndexByte("xobXOB", t[1]) >= 0
}

// literalFits tells whether a text is best written as a literal block: it has several lines and nothing in it needs an
// escape.
func literalFits(s string) bool {
	n := strings.IndexByte(s, '\n')
	if n < 0 || strings.Trim(s, "\n \t") == "" {
		return false
	}
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case r < ' ' && r != '\n' && r != '\t', r == 0x7f, r == utf8.RuneError && size == 1, r > 0x7e && !printable(r):
			return false
		}
		i += size
	}
	return true
}
