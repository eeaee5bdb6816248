package unit

import (
	"fmt"
	"strconv"
	"strings"
)

const durationExample = "1 h 30 min"

// durationMax bounds a duration at about a hundred years, against typing errors.
const durationMax = Duration(100 * 366 * 24 * 3600 * 1000)

var durationSymbols = []symbol{{"d", 86_400_000}, {"h", 3_600_000}, {"min", 60_000}, {"s", 1000}, {"ms", 1}}

// ParseDuration reads texts such as "300 ms", "1.5 s", "3 min" or "1 h 30 min": parts with units, largest first, each
// unit once. Only the last part may have a fraction, and it must be whole milliseconds.
func ParseDuration(text string) (Duration, error) {
	fail := func(reason string, args ...any) (Duration, error) {
		return 0, &Error{clip(text), "duration", fmt.Sprintf(reason, args...), durationExample}
	}
	s := strings.TrimSpace(text)
	var total int64
	next := 0
	for first := true; first || s != ""; first = false {
		number, rest := splitNumber(s)
		if number == "" || number[0] == '-' {
			return fail("a number that is not negative is expected where it says %q", clip(s))
		}
		if ambiguous(number) {
			return fail("it is not clear whether the comma is a decimal sign; write a point, or no comma")
		}
		k := symbolAt(rest, next)
		if k < 0 {
			return fail("a unit (d, h, min, s, ms), larger before smaller, is expected after %q", number)
		}
		v, ok := decimal(number, durationSymbols[k].steps)
		total += v
		if !ok || total > int64(durationMax) {
			return fail("it must be whole milliseconds and less than a hundred years")
		}
		s = strings.TrimSpace(rest[len(durationSymbols[k].text):])
		if s != "" && strings.ContainsAny(number, ".,") {
			return fail("only the last part may have a fraction")
		}
		next = k + 1
	}
	return Duration(total), nil
}

// symbolAt finds the duration unit that s begins with, at or after index from; -1 if there is none.
func symbolAt(s string, from int) int {
	end := strings.IndexFunc(s, func(r rune) bool { return r < 'a' || r > 'z' })
	if end < 0 {
		end = len(s)
	}
	for k := from; k < len(durationSymbols); k++ {
		if durationSymbols[k].text == s[:end] {
			return k
		}
	}
	return -1
}

// String prints the duration in whole parts, largest first, e.g. "1 h 30 min"; ParseDuration reads it back unless it is
// negative, which only a difference of durations is.
func (q Duration) String() string {
	if q == 0 {
		return "0 s"
	}
	v := magnitude(int64(q))
	var parts []string
	if v < 60_000 && v >= 1000 {
		parts = append(parts, fixed(int64(v), 1000)+" s")
		v = 0
	}
	for _, u := range durationSymbols {
		if n := v / uint64(u.steps); n > 0 {
			parts = append(parts, strconv.FormatUint(n, 10)+" "+u.text)
			v %= uint64(u.steps)
		}
	}
	if q < 0 {
		parts[0] = "-" + parts[0]
	}
	return strings.Join(parts, " ")
}

// MarshalText implements encoding.TextMarshaler.
func (q Duration) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Duration) UnmarshalText(b []byte) error {
	v, err := ParseDuration(string(b))
	if err == nil {
		*q = v
	}
	return err
}
