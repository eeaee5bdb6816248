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
	return fmt.Sprintf("%q is not a %s: %s; write for example %q", e.Found, e.Quantity, e.Reason, e.Example)
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
	n := numberLength(s)
	if n == 0 {
		return 0, d.fail(text, "it does not begin with a number")
	}
	sym := strings.TrimSpace(s[n:])
	if sym == "" {
		return 0, d.fail(text, "the unit is missing (%s)", d.expected())
	}
	for _, u := range d.symbols {
		if u.text == sym {
			return d.scale(text, s[:n], u)
		}
	}
	return 0, d.fail(text, "%q is not a unit of it (%s)", clip(sym), d.expected())
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

// numberLength is the length in bytes of the decimal number that s begins with: sign, digits, one point or comma.
func numberLength(s string) int {
	i, digits, point := 0, 0, false
	if strings.HasPrefix(s, "−") { // U+2212, as typeset
		i = len("−")
	} else if i < len(s) && (s[i] == '-' || s[i] == '+') {
		i++
	}
	for ; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			digits++
		case (c == '.' || c == ',') && !point:
			point = true
		default:
			return orZero(i, digits)
		}
	}
	return orZero(i, digits)
}

func orZero(i, digits int) int {
	if digits == 0 {
		return 0
	}
	return i
}

// decimal multiplies a decimal number by scale, exactly; it refuses what does not come out whole or overflows.
func decimal(number string, scale int64) (int64, bool) {
	negative := strings.HasPrefix(number, "-") || strings.HasPrefix(number, "−")
	digits := strings.TrimLeft(number, "+-−")
	whole, fraction, _ := strings.Cut(strings.Replace(digits, ",", ".", 1), ".")
	fraction = strings.TrimRight(fraction, "0")
	var v int64
	for _, c := range whole {
		if !mulAdd(&v, 10, int64(c-'0')) {
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

func mulAdd(v *int64, factor, add int64) bool {
	if *v != 0 && factor > (1<<62) / *v {
		return false
	}
	*v = *v*factor + add
	return *v >= 0 && *v < 1<<62
}
