package step

import (
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// decode turns the text of a string, as it stands in the file, into what it says. An escape that is not well formed is
// kept as it stands: a name with an odd character is better than no house. Line ends inside a string are no part of it.
func decode(raw string) string {
	if strings.IndexFunc(raw, needsDecoding) < 0 {
		return strings.Clone(raw)
	}
	d := decoder{rest: raw, page: charmap.ISO8859_1}
	for d.rest != "" {
		d.next()
	}
	return d.out.String()
}

func needsDecoding(r rune) bool {
	return r == '\'' || r == '\\' || r == '\n' || r == '\r' || r == utf8.RuneError
}

type decoder struct {
	out  strings.Builder
	rest string
	page *charmap.Charmap
}

// pages are the alphabets that \PA\ to \PI\ choose: ISO 8859-1 to 8859-9.
var pages = [...]*charmap.Charmap{charmap.ISO8859_1, charmap.ISO8859_2, charmap.ISO8859_3, charmap.ISO8859_4,
	charmap.ISO8859_5, charmap.ISO8859_6, charmap.ISO8859_7, charmap.ISO8859_8, charmap.ISO8859_9}

// next reads one character or one escape.
func (d *decoder) next() {
	switch c := d.rest[0]; {
	case c == '\'':
		d.out.WriteByte('\'')
		d.rest = strings.TrimPrefix(d.rest[1:], "'")
	case c == '\n' || c == '\r':
		d.rest = d.rest[1:]
	case c == '\\':
		if !d.escape() {
			d.out.WriteByte('\\')
			d.rest = d.rest[1:]
		}
	default:
		r, n := utf8.DecodeRuneInString(d.rest)
		if r == utf8.RuneError && n == 1 {
			r = d.page.DecodeByte(c) // a raw byte of an older file
		}
		d.out.WriteRune(r)
		d.rest = d.rest[n:]
	}
}

// escape reads one control directive; false if none stands here.
func (d *decoder) escape() bool {
	s := d.rest
	switch {
	case strings.HasPrefix(s, `\\`):
		d.out.WriteByte('\\')
		d.rest = s[2:]
		return true
	case strings.HasPrefix(s, `\S\`) && len(s) > 3 && s[3] < 128:
		d.out.WriteRune(d.page.DecodeByte(s[3] + 128))
		d.rest = s[4:]
		return true
	case len(s) > 3 && s[1] == 'P' && s[3] == '\\' && s[2] >= 'A' && s[2] <= 'I':
		d.page = pages[s[2]-'A']
		d.rest = s[4:]
		return true
	case strings.HasPrefix(s, `\X\`) && len(s) >= 5:
		v, ok := hex(s[3:5])
		if ok {
			d.out.WriteRune(rune(v))
			d.rest = s[5:]
		}
		return ok
	case strings.HasPrefix(s, `\X2\`):
		return d.wide(4)
	case strings.HasPrefix(s, `\X4\`):
		return d.wide(8)
	}
	return false
}

// wide reads \X2\…\X0\ or \X4\…\X0\: runs of hexadecimal code units, of `digits` digits each.
func (d *decoder) wide(digits int) bool {
	body, rest, ok := strings.Cut(d.rest[4:], `\X0\`)
	if !ok || len(body)%digits != 0 {
		return false
	}
	units := make([]rune, 0, len(body)/digits)
	for i := 0; i < len(body); i += digits {
		v, ok := hex(body[i : i+digits])
		if !ok || v > utf8.MaxRune {
			return false
		}
		units = append(units, rune(v))
	}
	for i := 0; i < len(units); i++ {
		r := units[i]
		if utf16.IsSurrogate(r) && i+1 < len(units) {
			if both := utf16.DecodeRune(r, units[i+1]); both != utf8.RuneError {
				r = both
				i++
			}
		}
		d.out.WriteRune(r)
	}
	d.rest = rest
	return true
}

func hex(s string) (uint32, bool) {
	var v uint32
	for i := range len(s) {
		c := s[i]
		switch {
		case c >= '0' && c <= '9':
			v = v<<4 | uint32(c-'0')
		case c >= 'A' && c <= 'F':
			v = v<<4 | uint32(c-'A'+10)
		case c >= 'a' && c <= 'f':
			v = v<<4 | uint32(c-'a'+10)
		default:
			return 0, false
		}
	}
	return v, true
}
