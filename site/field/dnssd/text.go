package dnssd

import (
	"fmt"
	"strings"
)

// Pair is one key and value of a TXT record.
type Pair struct{ Key, Value string }

// textMost bounds all strings of a TXT record together (RFC 6763, 6.2: preferably 400 octets, at most 1300).
const textMost = 1300

// Text writes pairs as the strings of a TXT record. A key is one or more printable ASCII characters without '='; a
// string is at most 255 octets (RFC 6763, 6.1 to 6.4).
func Text(pairs []Pair) ([]string, error) {
	var list []string
	total := 0
	seen := map[string]bool{}
	for _, p := range pairs {
		low := strings.ToLower(p.Key)
		if p.Key == "" || strings.ContainsFunc(p.Key, func(r rune) bool { return r < 0x20 || r > 0x7e || r == '=' }) {
			return nil, fmt.Errorf("text key %q must be printable ASCII without =", p.Key)
		}
		if seen[low] {
			return nil, fmt.Errorf("text key %q stands twice", p.Key)
		}
		seen[low] = true
		s := p.Key + "=" + p.Value
		if len(s) > 255 {
			return nil, fmt.Errorf("text %q has %d octets: at most 255 fit", p.Key, len(s))
		}
		total += len(s) + 1
		list = append(list, s)
	}
	if total > textMost {
		return nil, fmt.Errorf("texts have %d octets together: at most %d fit", total, textMost)
	}
	if list == nil {
		list = []string{""} // an empty record has one empty string (RFC 6763, 6.1)
	}
	return list, nil
}

// ParseText reads the strings of a TXT record: keys in lower case, the first of a key wins, a key without '=' is there
// with an empty value, a string without a key is left out (RFC 6763, 6.4).
func ParseText(list []string) map[string]string {
	m := map[string]string{}
	for _, s := range list {
		key, value, _ := strings.Cut(s, "=")
		key = strings.ToLower(key)
		if _, there := m[key]; key != "" && !there {
			m[key] = value
		}
	}
	return m
}

// label writes any text as one label of a name in presentation form: what has a meaning there is escaped.
func label(s string) string {
	var b strings.Builder
	for _, c := range []byte(s) {
		switch {
		case c <= ' ' || c > '~':
			fmt.Fprintf(&b, `\%03d`, c)
		case strings.IndexByte(`.\"();@$`, c) >= 0:
			b.WriteByte('\\')
			b.WriteByte(c)
		default:
			b.WriteByte(c)
		}
	}
	return b.String()
}

// firstLabel reads the first label of a name in presentation form, and returns the rest behind its dot.
func firstLabel(name string) (text, rest string) {
	for i := 0; i < len(name); i++ {
		switch name[i] {
		case '\\':
			i++
		case '.':
			return unescape(name[:i]), name[i+1:]
		}
	}
	return unescape(name), ""
}

// unescape reads presentation form: a backslash before three digits is an octet, before anything else that itself.
func unescape(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '\\' && i+3 < len(s) && digits(s[i+1:i+4]):
			b.WriteByte((s[i+1]-'0')*100 + (s[i+2]-'0')*10 + s[i+3] - '0')
			i += 3
		case s[i] == '\\' && i+1 < len(s):
			i++
			b.WriteByte(s[i])
		default:
			b.WriteByte(s[i])
		}
	}
	return b.String()
}

// digits tells whether s is all decimal digits.
func digits(s string) bool {
	return !strings.ContainsFunc(s, func(r rune) bool { return r < '0' || r > '9' })
}
