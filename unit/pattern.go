package unit

import (
	"regexp"
	"strings"
)

// The parts of the patterns, in the syntax that ECMA-262 and RE2 share.
const (
	patternBlank  = `[\s\v\p{Z}\x85]*`
	patternDigits = `(\d{1,3}([\p{Zs}'’]\d{3})+|\d+)`
	patternNumber = `(` + patternDigits + `([.,]\d*)?|[.,]\d+)`
	patternMinus  = `[-−–]`
)

// pattern is a regular expression of how the quantity is written. It leaves out what an expression cannot say: range,
// fineness, and the comma before three digits.
func (d *dimension) pattern(notNegative bool) string {
	number := `[-+−–]?` + patternNumber
	if notNegative || d.min >= 0 {
		number = `(\+?` + patternNumber + `|` + patternMinus + `0*[.,]?0*)`
	}
	texts := make([]string, 0, len(d.symbols))
	for _, s := range d.symbols {
		t := regexp.QuoteMeta(s.text)
		t = strings.NewReplacer("Ω", "[Ω\u2126]", "µ", "[µ\u03bc]", "°", "[°\u00ba\u02da]").Replace(t)
		if s.text == "°C" {
			t = `(` + t + "|\u2103)"
		}
		texts = append(texts, t)
	}
	return `^` + patternBlank + number + patternBlank + `(` + strings.Join(texts, "|") + `)` + patternBlank + `$`
}

// Pattern returns a regular expression (ECMA-262) of how a voltage is written, for schemas; so do its sisters.
func (q Voltage) Pattern(notNegative bool) string { return dimVoltage.pattern(notNegative) }

// Pattern returns a regular expression of how a current is written.
func (q Current) Pattern(notNegative bool) string { return dimCurrent.pattern(notNegative) }

// Pattern returns a regular expression of how a power is written.
func (q Power) Pattern(notNegative bool) string { return dimPower.pattern(notNegative) }

// Pattern returns a regular expression of how an apparent power is written.
func (q Apparent) Pattern(notNegative bool) string { return dimApparent.pattern(notNegative) }

// Pattern returns a regular expression of how a resistance is written.
func (q Resistance) Pattern(notNegative bool) string { return dimResistance.pattern(notNegative) }

// Pattern returns a regular expression of how a cross-section is written.
func (q Section) Pattern(notNegative bool) string { return dimSection.pattern(notNegative) }

// Pattern returns a regular expression of how a length is written.
func (q Length) Pattern(notNegative bool) string { return dimLength.pattern(notNegative) }

// Pattern returns a regular expression of how a temperature is written.
func (q Temperature) Pattern(notNegative bool) string { return dimTemperature.pattern(notNegative) }

// Pattern returns a regular expression of how a level is written.
func (q Level) Pattern(notNegative bool) string { return dimLevel.pattern(notNegative) }

// Pattern returns a regular expression of how a gain is written.
func (q Gain) Pattern(notNegative bool) string { return dimGain.pattern(notNegative) }

// Pattern returns a regular expression of how an illuminance is written.
func (q Illuminance) Pattern(notNegative bool) string { return dimIlluminance.pattern(notNegative) }

// Pattern returns a regular expression of how a speed is written.
func (q Speed) Pattern(notNegative bool) string { return dimSpeed.pattern(notNegative) }

// Pattern returns a regular expression of how a share is written.
func (q Percent) Pattern(notNegative bool) string { return dimPercent.pattern(notNegative) }

// Pattern returns a regular expression of how an angle is written.
func (q Angle) Pattern(notNegative bool) string { return dimAngle.pattern(notNegative) }

// Pattern returns a regular expression of how an energy is written.
func (q Energy) Pattern(notNegative bool) string { return dimEnergy.pattern(notNegative) }

// Pattern returns a regular expression of how a frequency is written.
func (q Frequency) Pattern(notNegative bool) string { return dimFrequency.pattern(notNegative) }

// Pattern returns a regular expression of how a duration is written; it is never negative.
func (q Duration) Pattern(bool) string {
	return `^` + patternBlank + `(\+?` + patternNumber + patternBlank + `(d|h|min|s|ms)` + patternBlank + `)+$`
}
