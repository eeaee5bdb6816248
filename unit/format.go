package unit

import (
	"strconv"
	"strings"
)

// format prints v in the largest printing unit that leaves at least one whole unit, else in the smallest.
func (d *dimension) format(v int64) string {
	u := d.print[0]
	for _, p := range d.print[1:] {
		if v != 0 && magnitude(v) < uint64(u.steps) {
			u = p
		}
	}
	return fixed(v, u.steps) + " " + u.text
}

func magnitude(v int64) uint64 {
	if v < 0 {
		return uint64(-v)
	}
	return uint64(v)
}

// fixed prints v/scale as a decimal number without trailing zeros; scale is a power of ten.
func fixed(v, scale int64) string {
	var b strings.Builder
	if v < 0 {
		b.WriteByte('-')
	}
	m := magnitude(v)
	b.WriteString(strconv.FormatUint(m/uint64(scale), 10))
	rest := m % uint64(scale)
	if rest == 0 {
		return b.String()
	}
	digits := strconv.FormatUint(rest+uint64(scale), 10)[1:]
	b.WriteByte('.')
	b.WriteString(strings.TrimRight(digits, "0"))
	return b.String()
}
