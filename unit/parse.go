package unit

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Error says why a text is not the quantity that was expected.
type Error struct {
	Found    string // what was written
	Quantity string // what was expected, e.g. "current"
	Reason   string // what is wrong with it
	Example  string // one right way to write such a quantity
}

// Error implements the error interface: one sentence with an example.
func (e *Error) Error() string {
	article := "a"
	if strings.IndexByte("aeiou", e.Quantity[0]) >= 0 {
		article = "an"
	}
	return fmt.Sprintf("%q is not %s %s: %s; write for example %q", e.Found, article, e.Quantity, e.Reason, e.Example)
}

func (d *dimension) fail(found, reason string, args ...any) error {
	return &Error{Found: clip(found), Quantity: d.name, Reason: fmt.Sprintf(reason, args...), Example: d.example}
}

// clip keeps an error readable when somebody pastes a page into a field.
func clip(s string) string {
	const most = 60
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most]) + "…"
}

// parse reads a number and a unit of this dimension, exactly.
func (d *dimension) parse(text string) (int64, error) {
	s := strings.TrimSpace(text)
	number, rest := splitNumber(s)
	if number == "" {
		return 0, d.fail(text, "it does not begin with a number")
	}
	if ambiguous(number) {
		return 0, d.fail(text, "it is not clear whether the comma is a decimal sign; write a point, or no comma")
	}
	sym := oneSign(rest)
	if sym == "" {
		return 0, d.fail(text, "the unit is missing (%s)", d.expected())
	}
	for _, u := range d.symbols {
		if u.text == sym {
			return d.scale(text, number, u)
		}
	}
	return 0, d.fail(text, "%s (%s)", d.foreign(sym), d.expected())
}

// oneSign brings a unit to one of the ways in which Unicode lets it be written: U+2126 is the old ohm sign, U+03BC the
// Greek letter beside the micro sign U+00B5, U+00BA and U+02DA look like the degree sign.
func oneSign(s string) string {
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf {
			return signs.Replace(s)
		}
	}
	return s
}

var signs = strings.NewReplacer("\u2126", "Ω", "\u03bc", "µ", "\u00ba", "°", "\u02da", "°", "\u2103", "°C")

// foreign says why a symbol is none of this dimension.
func (d *dimension) foreign(sym string) string {
	for _, u := range d.symbols {
		if strings.EqualFold(u.text, sym) {
			return fmt.Sprintf("%q is not a unit of it: capital letters count", clip(sym))
		}
	}
	for _, other := range dimensions {
		for _, u := range other.symbols {
			if u.text == sym {
				return fmt.Sprintf("%q is a unit of %s", sym, other.name)
			}
		}
	}
	return fmt.Sprintf("%q is not a unit of it", clip(sym))
}

func (d *dimension) scale(text, number string, u symbol) (int64, error) {
	v, ok := decimal(number, u.steps)
	if !ok {
		return 0, d.fail(text, "the number is too long or too fine (steps of one millionth)")
	}
	if v < d.min || v > d.max {
		return 0, d.fail(text, "outside %s to %s", d.format(d.min), d.format(d.max))
	}
	return v, nil
}

// splitNumber takes the decimal number off the beginning of s: a sign, digits, and one point or comma. Digits before
// the point may be in groups of three with blanks or apostrophes between them (1 000, 1'000). The rest comes without
// leading blanks.
func splitNumber(s string) (number, rest string) {
	i, negative := sign(s)
	begin, digits, point := i, 0, false
	var grouped []byte // the digits without separators, where there are any
	for i < len(s) {
		c := s[i]
		switch {
		case c >= '0' && c <= '9':
			digits++
		case (c == '.' || c == ',') && !point:
			point = true
		default:
			n := separator(s[i:])
			if n == 0 || point || digits == 0 || digits > 3 && grouped == nil || !threeDigits(s[i+n:]) {
				return finish(s, begin, i, digits, negative, grouped)
			}
			if grouped == nil {
				grouped = append(grouped, s[begin:i]...)
			}
			i += n
			grouped = append(grouped, s[i:i+3]...)
			digits += 3
			i += 3
			continue
		}
		if grouped != nil {
			grouped = append(grouped, c)
		}
		i++
	}
	return finish(s, begin, i, digits, negative, grouped)
}

func finish(s string, begin, end, digits int, negative bool, grouped []byte) (number, rest string) {
	if digits == 0 {
		return "", s
	}
	number = s[begin:end]
	if grouped != nil {
		number = string(grouped)
	}
	if negative {
		number = "-" + number
	}
	return number, strings.TrimSpace(s[end:])
}

// sign is the length in bytes of the sign that s begins with: + or -, the minus sign as it is typeset (U+2212), or the
// dash that is often taken for it (U+2013).
func sign(s string) (length int, negative bool) {
	for _, minus := range []string{"-", "\u2212", "\u2013"} {
		if strings.HasPrefix(s, minus) {
			return len(minus), true
		}
	}
	if strings.HasPrefix(s, "+") {
		return 1, false
	}
	return 0, false
}

// separator is the length in bytes of what may stand between groups of digits, 0 if s does not begin with it: a blank,
// one that does not break (U+00A0), a thin one (U+2009, U+202F), or an apostrophe.
func separator(s string) int {
	for _, blank := range []string{" ", "'", "\u00a0", "\u2009", "\u202f", "\u2019"} {
		if strings.HasPrefix(s, blank) {
			return len(blank)
		}
	}
	return 0
}

// threeDigits tells whether exactly three digits follow.
func threeDigits(s string) bool {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n == 3
}

// ambiguous tells whether a number is one to some readers and a thousand times as much to others: 1,000 or 12,500.
func ambiguous(number string) bool {
	whole, fraction, comma := strings.Cut(strings.TrimPrefix(number, "-"), ",")
	return comma && len(fraction) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0'
}

// decimal multiplies a decimal number by scale, exactly; it refuses what does not come out whole or overflows.
func decimal(number string, scale int64) (int64, bool) {
	digits, negative := strings.CutPrefix(number, "-")
	whole, fraction := digits, ""
	if n := strings.IndexAny(digits, ".,"); n >= 0 {
		whole, fraction = digits[:n], strings.TrimRight(digits[n+1:], "0")
	}
	var v int64
	for i := range len(whole) {
		if !mulAdd(&v, 10, int64(whole[i]-'0')) {
			return 0, false
		}
	}
	if !mulAdd(&v, scale, 0) {
		return 0, false
	}
	for place, c := scale, fraction; c != ""; c = c[1:] {
		if place%10 != 0 {
			return 0, false
		}
		place /= 10
		if !mulAdd(&v, 1, int64(c[0]-'0')*place) {
			return 0, false
		}
	}
	if negative {
		v = -v
	}
	return v, true
}

// mulAdd makes v·factor + add of v, all not negative; it is false where that leaves the range.
func mulAdd(v *int64, factor, add int64) bool {
	if *v != 0 && factor > (1<<62) / *v {
		return false
	}
	*v = *v*factor + add
	return *v >= 0 && *v < 1<<62
}
