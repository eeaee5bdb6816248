package catalogue

import (
	"fmt"
	"strconv"
	"strings"
)

// priceMost bounds a price, in whole units of the currency, against typing errors.
const priceMost = 1_000_000

// priceStep is the number of stored steps in one unit of the currency.
const priceStep = 1_000_000

// String prints the price with at least two decimals, without the currency.
func (p Price) String() string {
	sign, v := "", int64(p)
	if v < 0 {
		sign, v = "-", -v
	}
	fraction := strings.TrimRight(fmt.Sprintf("%06d", v%priceStep), "0")
	for len(fraction) < 2 {
		fraction += "0"
	}
	return sign + strconv.FormatInt(v/priceStep, 10) + "." + fraction
}

// Units returns the price in units of the currency.
func (p Price) Units() float64 { return float64(p) / priceStep }

// MarshalText implements encoding.TextMarshaler.
func (p Price) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler: a decimal number such as 48.50, a point or a comma before the
// decimals, at most six of them, from 0 to a million.
func (p *Price) UnmarshalText(b []byte) error {
	fail := func(reason string) error {
		return fmt.Errorf("%q is not a price: %s; write for example 48.50", clip(string(b)), reason)
	}
	text := strings.Replace(strings.TrimSpace(string(b)), ",", ".", 1)
	whole, fraction, _ := strings.Cut(text, ".")
	switch {
	case strings.HasPrefix(text, "-"):
		return fail("it must not be negative")
	case !digits(whole) || whole == "" || !digits(fraction):
		return fail("a decimal number without a currency is expected")
	case len(fraction) > 6:
		return fail("it has more than six decimals")
	case len(strings.TrimLeft(whole, "0")) > 7:
		return fail("it is more than a million")
	}
	v, _ := strconv.ParseInt(whole+fraction+strings.Repeat("0", 6-len(fraction)), 10, 64)
	if v > priceMost*priceStep {
		return fail("it is more than a million")
	}
	*p = Price(v)
	return nil
}

func digits(s string) bool {
	return strings.Trim(s, "0123456789") == ""
}

// clip keeps an error readable when somebody pastes a page into a field.
func clip(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
