package unit

import (
	"encoding"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// family is one quantity, seen through its numbers.
type family struct {
	name      string
	min, max  int64
	parse     func(string) (int64, error)
	print     func(int64) string
	pattern   *regexp.Regexp // of all values
	positive  *regexp.Regexp // of values from zero up
	unmarshal func(string) (int64, error)
	marshal   func(int64) ([]byte, error)
}

type quantity[T any] interface {
	*T
	encoding.TextUnmarshaler
}

type written interface {
	~int64
	fmt.Stringer
	encoding.TextMarshaler
	Pattern(bool) string
}

func of[T written, P quantity[T]](name string, d *dimension, parse func(string) (T, error)) family {
	f := family{
		name:    name,
		max:     int64(durationMax),
		parse:   func(s string) (int64, error) { v, err := parse(s); return int64(v), err },
		print:   func(v int64) string { return T(v).String() },
		pattern: regexp.MustCompile(T(0).Pattern(false)), positive: regexp.MustCompile(T(0).Pattern(true)),
		unmarshal: func(s string) (int64, error) {
			var v T
			err := P(&v).UnmarshalText([]byte(s))
			return int64(v), err
		},
		marshal: func(v int64) ([]byte, error) { return T(v).MarshalText() },
	}
	if d != nil {
		f.min, f.max = d.min, d.max
	}
	return f
}

var families = []family{
	of("voltage", dimVoltage, ParseVoltage), of("current", dimCurrent, ParseCurrent), of("power", dimPower, ParsePower),
	of("apparent", dimApparent, ParseApparent), of("resistance", dimResistance, ParseResistance), of("section", dimSection, ParseSection),
	of("length", dimLength, ParseLength), of("temperature", dimTemperature, ParseTemperature), of("level", dimLevel, ParseLevel),
	of("gain", dimGain, ParseGain), of("illuminance", dimIlluminance, ParseIlluminance), of("speed", dimSpeed, ParseSpeed),
	of("percent", dimPercent, ParsePercent), of("angle", dimAngle, ParseAngle), of("energy", dimEnergy, ParseEnergy),
	of("frequency", dimFrequency, ParseFrequency), of("duration", nil, ParseDuration),
}

func TestParsingThePrintIsTheSame(t *testing.T) {
	for _, f := range families {
		t.Run(f.name, rapid.MakeCheck(func(t *rapid.T) {
			v := rapid.OneOf(rapid.Int64Range(f.min, f.max), rapid.Int64Range(max(f.min, -2_000_000), 2_000_000)).Draw(t, "value")
			text := f.print(v)
			if back, err := f.parse(text); err != nil || back != v {
				t.Fatalf("%d prints as %q, which reads as %d (%v)", v, text, back, err)
			}
			if !f.pattern.MatchString(text) || f.positive.MatchString(text) != (v >= 0) {
				t.Fatalf("%q does not fit its patterns", text)
			}
			marshalled, err := f.marshal(v)
			if back, wrong := f.unmarshal(string(marshalled)); err != nil || wrong != nil || back != v {
				t.Fatalf("%d is marshalled as %q, which reads as %d (%v, %v)", v, marshalled, back, err, wrong)
			}
		}))
	}
}

// TestPrintIsFitToBeRead: any value at all prints, even one that no text could have given.
func TestPrintIsFitToBeRead(t *testing.T) {
	for _, f := range families {
		for _, v := range []int64{-1 << 63, -1<<63 + 1, -1, 0, 1, 1<<63 - 1} {
			if s := f.print(v); s == "" || v < 0 && s[0] != '-' || strings.Count(s, "-") > 1 {
				t.Errorf("%s of %d is printed as %q", f.name, v, s)
			}
		}
	}
}

// TestWritingsOfANumber: a number written in any of the ways in which people write is the same number.
func TestWritingsOfANumber(t *testing.T) {
	f := families[2] // power: nothing bounds its sign or size within the draw
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Int64Range(-1e12, 1e12).Draw(t, "value")
		plain := fixed(v, micro)
		text := strings.Replace(plain, ".", rapid.SampledFrom([]string{".", ","}).Draw(t, "point"), 1)
		text = strings.Replace(text, "-", rapid.SampledFrom([]string{"-", "−", "–"}).Draw(t, "minus"), 1)
		if rapid.Bool().Draw(t, "grouped") {
			text = group(text, rapid.SampledFrom([]string{" ", "\u00a0", "\u2009", "\u202f", "'", "’"}).Draw(t, "separator"))
		}
		text += rapid.SampledFrom([]string{"", " ", "\u00a0", "\u2009", "\u202f"}).Draw(t, "space") + "W"
		got, err := f.parse(text)
		if number, _ := splitNumber(text); ambiguous(number) {
			if err == nil {
				t.Fatalf("%q is read as %d", text, got)
			}
			return
		}
		if err != nil || got != v {
			t.Fatalf("%q is read as %d (%v), want %d", text, got, err, v)
		}
		if !f.pattern.MatchString(text) {
			t.Fatalf("%q does not match the pattern", text)
		}
	})
}

// group puts a separator between groups of three digits before the point.
func group(s, separator string) string {
	begin := strings.IndexAny(s, "0123456789")
	end := strings.IndexAny(s, ".,")
	if end < 0 {
		end = len(s)
	}
	digits := s[begin:end]
	for at := len(digits) - 3; at > 0; at -= 3 {
		digits = digits[:at] + separator + digits[at:]
	}
	return s[:begin] + digits + s[end:]
}

// fuzz reads any text as one quantity: no panic, an error that tells what was expected, or a value that prints and
// reads back the same, is in range, and matches the pattern of the schema.
func fuzz(f *testing.F, of family) {
	for _, c := range readings {
		f.Add(c.text)
	}
	for _, c := range refusals {
		f.Add(c.text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, err := of.parse(text)
		if err != nil {
			if s := err.Error(); !strings.Contains(s, "write for example") || len(s) > 1000 {
				t.Errorf("%q: %v", text, err)
			}
			return
		}
		if back, err := of.parse(of.print(v)); err != nil || back != v {
			t.Errorf("%q is %d, printed %q, read back %d (%v)", text, v, of.print(v), back, err)
		}
		if v < of.min || v > of.max {
			t.Errorf("%q is %d, out of range", text, v)
		}
		if !of.pattern.MatchString(text) || v >= 0 && !of.positive.MatchString(text) || v < 0 && of.positive.MatchString(text) {
			t.Errorf("%q does not fit its patterns", text)
		}
	})
}

func FuzzVoltage(f *testing.F)     { fuzz(f, families[0]) }
func FuzzCurrent(f *testing.F)     { fuzz(f, families[1]) }
func FuzzPower(f *testing.F)       { fuzz(f, families[2]) }
func FuzzApparent(f *testing.F)    { fuzz(f, families[3]) }
func FuzzResistance(f *testing.F)  { fuzz(f, families[4]) }
func FuzzSection(f *testing.F)     { fuzz(f, families[5]) }
func FuzzLength(f *testing.F)      { fuzz(f, families[6]) }
func FuzzTemperature(f *testing.F) { fuzz(f, families[7]) }
func FuzzLevel(f *testing.F)       { fuzz(f, families[8]) }
func FuzzGain(f *testing.F)        { fuzz(f, families[9]) }
func FuzzIlluminance(f *testing.F) { fuzz(f, families[10]) }
func FuzzSpeed(f *testing.F)       { fuzz(f, families[11]) }
func FuzzPercent(f *testing.F)     { fuzz(f, families[12]) }
func FuzzAngle(f *testing.F)       { fuzz(f, families[13]) }
func FuzzEnergy(f *testing.F)      { fuzz(f, families[14]) }
func FuzzFrequency(f *testing.F)   { fuzz(f, families[15]) }
func FuzzDuration(f *testing.F)    { fuzz(f, families[16]) }

// TestUnitsDoNotMix: what one quantity prints is no other quantity, and the error names what it is.
func TestUnitsDoNotMix(t *testing.T) {
	for _, a := range families {
		for _, b := range families {
			if a.name == b.name {
				continue
			}
			text := b.print(5_000_000)
			v, err := a.parse(text)
			if err == nil {
				t.Errorf("%q, a %s, is read as %s %d", text, b.name, a.name, v)
				continue
			}
			if a.pattern.MatchString(text) {
				t.Errorf("%q, a %s, fits the pattern of %s", text, b.name, a.name)
			}
			if names := a.name != "duration" && b.name != "duration"; names && !strings.Contains(err.Error(), " is a unit of ") {
				t.Errorf("%q as %s: %v", text, a.name, err)
			}
		}
	}
}

// TestDifferentValuesPrintDifferently: printing loses nothing, so that two values never print alike.
func TestDifferentValuesPrintDifferently(t *testing.T) {
	for _, f := range families {
		t.Run(f.name, rapid.MakeCheck(func(t *rapid.T) {
			v := rapid.Int64Range(f.min, f.max-1).Draw(t, "value")
			if a, b := f.print(v), f.print(v+1); a == b {
				t.Fatalf("%d and %d are both printed as %q", v, v+1, a)
			}
		}))
	}
}
