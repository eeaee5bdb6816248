package catalogue

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestPriceReadsAsPeopleWrite(t *testing.T) {
	for _, c := range []struct {
		text  string
		want  Price
		print string
	}{
		{"48.50", 48_500_000, "48.50"},
		{"48,5", 48_500_000, "48.50"},
		{" 7 ", 7_000_000, "7.00"},
		{"0", 0, "0.00"},
		{"0.000001", 1, "0.000001"},
		{"1000000", 1_000_000_000_000, "1000000.00"},
	} {
		var p Price
		if err := p.UnmarshalText([]byte(c.text)); err != nil || p != c.want || p.String() != c.print {
			t.Errorf("%q: %d %q %v, want %d %q", c.text, p, p, err, c.want, c.print)
		}
	}
}

func TestPriceRefusals(t *testing.T) {
	for text, part := range map[string]string{
		"":           "a decimal number",
		"-1":         "negative",
		"1.50 EUR":   "without a currency",
		"1.0000001":  "six decimals",
		"1000000.01": "a million",
		"99999999":   "a million",
		"1.2.3":      "a decimal number",
		".5":         "a decimal number",
		"NaN":        "a decimal number",
	} {
		p := Price(5)
		err := p.UnmarshalText([]byte(text))
		if err == nil || !strings.Contains(err.Error(), part) || p != 5 {
			t.Errorf("%q: %v, %d; want an error with %q and no change", text, err, p, part)
		}
	}
}

func TestPricePrintsWhatItReads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Price(rapid.Int64Range(0, priceMost*priceStep).Draw(t, "price"))
		text, _ := p.MarshalText()
		var back Price
		if err := back.UnmarshalText(text); err != nil || back != p {
			t.Fatalf("%d printed %s read %d, %v", p, text, back, err)
		}
	})
}
