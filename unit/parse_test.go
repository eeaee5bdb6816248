package unit

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// readings are the ways in which data sheets, drawings and people write quantities, with the value in millionths of the
// base unit (durations: milliseconds) and the one way in which it is printed. Symbols and spacing after the SI brochure
// (9th edition, 5.4.3 and 5.4.4: a space before the unit, thin spaces between groups of three digits, point or comma as
// the decimal sign).
var readings = []struct {
	family string
	text   string
	want   int64
	print  string
}{
	{"voltage", "230 V", 230_000_000, "230 V"},
	{"voltage", "230V", 230_000_000, "230 V"},
	{"voltage", " 230 V ", 230_000_000, "230 V"},
	{"voltage", "0,4 kV", 400_000_000, "400 V"},
	{"voltage", "500 mV", 500_000, "500 mV"},
	{"current", "16 A", 16_000_000, "16 A"},
	{"current", "30mA", 30_000, "30 mA"},
	{"current", "6 kA", 6_000_000_000, "6000 A"},
	{"current", "5 µA", 5, "5 µA"},
	{"current", "5 \u03bcA", 5, "5 µA"},
	{"current", "5 uA", 5, "5 µA"},
	{"power", "60 W", 60_000_000, "60 W"},
	{"power", "1 000 W", 1_000_000_000, "1000 W"},
	{"power", "1\u2009000 W", 1_000_000_000, "1000 W"},
	{"power", "1\u202f000\u202fW", 1_000_000_000, "1000 W"},
	{"power", "1\u00a0000\u00a0W", 1_000_000_000, "1000 W"},
	{"power", "1'000 W", 1_000_000_000, "1000 W"},
	{"power", "1 234 567.5 W", 1_234_567_500_000, "1234567.5 W"},
	{"power", "0.5 W", 500_000, "500 mW"},
	{"power", ".5 W", 500_000, "500 mW"},
	{"power", "5. W", 5_000_000, "5 W"},
	{"power", "+5 W", 5_000_000, "5 W"},
	{"power", "0012 W", 12_000_000, "12 W"},
	{"power", "1000,5 W", 1_000_500_000, "1000.5 W"},
	{"power", "1000,125 W", 1_000_125_000, "1000.125 W"},
	{"apparent", "350 VA", 350_000_000, "350 VA"},
	{"apparent", "1.5 kVA", 1_500_000_000, "1500 VA"},
	{"resistance", "0,35 Ω", 350_000, "0.35 Ω"},
	{"resistance", "0.35 \u2126", 350_000, "0.35 Ω"},
	{"resistance", "350 mΩ", 350_000, "0.35 Ω"},
	{"resistance", "120 ohm", 120_000_000, "120 Ω"},
	{"section", "1,5 mm²", 1_500_000, "1.5 mm²"},
	{"section", "1.5 mm2", 1_500_000, "1.5 mm²"},
	{"section", "1.5mm^2", 1_500_000, "1.5 mm²"},
	{"length", "12 m", 12_000_000, "12 m"},
	{"length", "90 cm", 900_000, "900 mm"},
	{"length", "12.345 m", 12_345_000, "12.345 m"},
	{"length", "0,125 m", 125_000, "125 mm"},
	{"length", "−3 m", -3_000_000, "-3 m"},
	{"length", "–3 m", -3_000_000, "-3 m"},
	{"temperature", "21.5 °C", 21_500_000, "21.5 °C"},
	{"temperature", "21,5 \u2103", 21_500_000, "21.5 °C"},
	{"temperature", "21.5\u00baC", 21_500_000, "21.5 °C"},
	{"temperature", "-5°C", -5_000_000, "-5 °C"},
	{"level", "-67 dBm", -67_000_000, "-67 dBm"},
	{"level", "−67\u2009dBm", -67_000_000, "-67 dBm"},
	{"gain", "2.14 dBi", 2_140_000, "2.14 dB"},
	{"illuminance", "200 lx", 200_000_000, "200 lx"},
	{"speed", "12 m/s", 12_000_000, "12 m/s"},
	{"percent", "40%", 40_000_000, "40 %"},
	{"angle", "48.2082°", 48_208_200, "48.2082 °"},
	{"angle", "45 deg", 45_000_000, "45 °"},
	{"energy", "5.2 kWh", 5_200_000, "5.2 kWh"},
	{"energy", "800 Wh", 800_000, "0.8 kWh"},
	{"frequency", "2.437 GHz", 2_437_000_000, "2437 MHz"},
	{"frequency", "868 MHz", 868_000_000, "868 MHz"},
	{"duration", "3 min", 180_000, "3 min"},
	{"duration", "1 h 30 min", 5_400_000, "1 h 30 min"},
	{"duration", "1h30min", 5_400_000, "1 h 30 min"},
	{"duration", "1.5 h", 5_400_000, "1 h 30 min"},
	{"duration", "1.5s", 1500, "1.5 s"},
	{"duration", "1,5 s", 1500, "1.5 s"},
	{"duration", "1 500 ms", 1500, "1.5 s"},
	{"duration", "90 s", 90_000, "1 min 30 s"},
	{"duration", "300 ms", 300, "300 ms"},
	{"duration", "1\u00a0min\u202f5\u2009s", 65_000, "1 min 5 s"},
	{"duration", "0 s", 0, "0 s"},
	{"duration", "2 d 1 ms", 172_800_001, "2 d 1 ms"},
}

func TestReadsWhatPeopleWrite(t *testing.T) {
	for _, c := range readings {
		f := familyOf(t, c.family)
		got, err := f.parse(c.text)
		if err != nil || got != c.want {
			t.Errorf("%q is read as %d (%v), want %d", c.text, got, err, c.want)
		}
		if p := f.print(got); p != c.print {
			t.Errorf("%q is printed as %q, want %q", c.text, p, c.print)
		}
	}
}

func familyOf(t *testing.T, name string) family {
	t.Helper()
	for _, f := range families {
		if f.name == name {
			return f
		}
	}
	t.Fatal("no family ", name)
	return family{}
}

// refusals are texts that are no such quantity, with the whole error: it says what was expected.
var refusals = []struct{ family, text, want string }{
	{"voltage", "230", `"230" is not a voltage: the unit is missing (V, mV, kV); write for example "230 V"`},
	{"voltage", "16 A", `"16 A" is not a voltage: "A" is a unit of current (V, mV, kV); write for example "230 V"`},
	{"voltage", "230 v", `"230 v" is not a voltage: "v" is not a unit of it: capital letters count (V, mV, kV); write for example "230 V"`},
	{"voltage", "230 Volt", `"230 Volt" is not a voltage: "Volt" is not a unit of it (V, mV, kV); write for example "230 V"`},
	{"voltage", "", `"" is not a voltage: it does not begin with a number; write for example "230 V"`},
	{"voltage", "V", `"V" is not a voltage: it does not begin with a number; write for example "230 V"`},
	{"voltage", "about 230 V", `"about 230 V" is not a voltage: it does not begin with a number; write for example "230 V"`},
	{"voltage", "230 V AC", `"230 V AC" is not a voltage: "V AC" is not a unit of it (V, mV, kV); write for example "230 V"`},
	{"voltage", "1e3 V", `"1e3 V" is not a voltage: "e3 V" is not a unit of it (V, mV, kV); write for example "230 V"`},
	{"voltage", "2 MV", `"2 MV" is not a voltage: "MV" is not a unit of it: capital letters count (V, mV, kV); write for example "230 V"`},
	{"voltage", "2000 kV", `"2000 kV" is not a voltage: outside -1000000 V to 1000000 V; write for example "230 V"`},
	{"current", "0.0000001 A", `"0.0000001 A" is not a current: the number is too long or too fine (steps of one millionth); write for example "16 A"`},
	{"current", "99999999999999999999 A", `"99999999999999999999 A" is not a current: the number is too long or too fine (steps of one millionth); write for example "16 A"`},
	{"power", "1,000 W", `"1,000 W" is not a power: it is not clear whether the comma is a decimal sign; write a point, or no comma; write for example "60 W"`},
	{"power", "1.000,5 W", `"1.000,5 W" is not a power: ",5 W" is not a unit of it (W, mW, kW); write for example "60 W"`},
	{"power", "1 00 W", `"1 00 W" is not a power: "00 W" is not a unit of it (W, mW, kW); write for example "60 W"`},
	{"power", "--5 W", `"--5 W" is not a power: it does not begin with a number; write for example "60 W"`},
	{"power", "350 VA", `"350 VA" is not a power: "VA" is a unit of apparent power (W, mW, kW); write for example "60 W"`},
	{"apparent", "60 W", `"60 W" is not an apparent power: "W" is a unit of power (VA, kVA); write for example "350 VA"`},
	{"section", "-1.5 mm²", `"-1.5 mm²" is not a cross-section: outside 0 mm² to 10000 mm²; write for example "1.5 mm²"`},
	{"section", "1.5", `"1.5" is not a cross-section: the unit is missing (mm², mm2, mm^2); write for example "1.5 mm²"`},
	{"temperature", "-300 °C", `"-300 °C" is not a temperature: outside -273.15 °C to 5000 °C; write for example "21.5 °C"`},
	{"temperature", "70 °F", `"70 °F" is not a temperature: "°F" is not a unit of it (°C, degC); write for example "21.5 °C"`},
	{"level", "-67 dB", `"-67 dB" is not a level: "dB" is a unit of ratio (dBm); write for example "-67 dBm"`},
	{"angle", "90", `"90" is not an angle: the unit is missing (°, deg); write for example "45 °"`},
	{"duration", "5", `"5" is not a duration: a unit (d, h, min, s, ms), larger before smaller, is expected after "5"; write for example "1 h 30 min"`},
	{"duration", "", `"" is not a duration: a number that is not negative is expected where it says ""; write for example "1 h 30 min"`},
	{"duration", "-5 s", `"-5 s" is not a duration: a number that is not negative is expected where it says "-5 s"; write for example "1 h 30 min"`},
	{"duration", "30 min 1 h", `"30 min 1 h" is not a duration: a unit (d, h, min, s, ms), larger before smaller, is expected after "1"; write for example "1 h 30 min"`},
	{"duration", "1 h 1 h", `"1 h 1 h" is not a duration: a unit (d, h, min, s, ms), larger before smaller, is expected after "1"; write for example "1 h 30 min"`},
	{"duration", "1.5 h 2 min", `"1.5 h 2 min" is not a duration: only the last part may have a fraction; write for example "1 h 30 min"`},
	{"duration", "0.5 ms", `"0.5 ms" is not a duration: it must be whole milliseconds and less than a hundred years; write for example "1 h 30 min"`},
	{"duration", "1,000 s", `"1,000 s" is not a duration: it is not clear whether the comma is a decimal sign; write a point, or no comma; write for example "1 h 30 min"`},
	{"duration", "99999 d", `"99999 d" is not a duration: it must be whole milliseconds and less than a hundred years; write for example "1 h 30 min"`},
	{"duration", "1:30", `"1:30" is not a duration: a unit (d, h, min, s, ms), larger before smaller, is expected after "1"; write for example "1 h 30 min"`},
	{"duration", "5 minutes", `"5 minutes" is not a duration: a unit (d, h, min, s, ms), larger before smaller, is expected after "5"; write for example "1 h 30 min"`},
}

func TestRefusesAndSaysWhatWasExpected(t *testing.T) {
	for _, c := range refusals {
		v, err := familyOf(t, c.family).parse(c.text)
		if err == nil || err.Error() != c.want {
			t.Errorf("%q as %s is %d,\n%v, want\n%s", c.text, c.family, v, err, c.want)
		}
		var e *Error
		if !errors.As(err, &e) || e.Found != c.text || e.Example == "" {
			t.Errorf("%q: the error holds %+v", c.text, e)
		}
	}
}

func TestErrorsStayShort(t *testing.T) {
	_, err := ParseVoltage(strings.Repeat("9", 1_000_000) + " Ω")
	if err == nil || len(err.Error()) > 400 {
		t.Errorf("%d characters", len(err.Error()))
	}
}

func TestRefusedTextLeavesTheValue(t *testing.T) {
	v := Volts(230)
	if err := v.UnmarshalText([]byte("x")); err == nil || v != Volts(230) {
		t.Errorf("got %v, %v", v, err)
	}
}

// TestExactness: what was written is kept exactly, and sums are exact (0.1 + 0.2 is 0.3, which it is not in floating
// point).
func TestExactness(t *testing.T) {
	a, _ := ParseLength("0.1 m")
	b, _ := ParseLength("0.2 m")
	c, _ := ParseLength("0.3 m")
	if a+b != c {
		t.Errorf("%v + %v = %v", a, b, a+b)
	}
}

func TestMakingQuantitiesOfFloats(t *testing.T) {
	for _, c := range []struct{ got, want any }{
		{Volts(230), Voltage(230_000_000)}, {Amperes(0.03), Current(30_000)}, {Watts(0.0000005), Power(1)}, {VoltAmperes(350), Apparent(350_000_000)},
		{Metres(-1.25), Length(-1_250_000)}, {SquareMillimetres(2.5), Section(2_500_000)}, {Seconds(1.5), Duration(1500)}, {Seconds(0.0004), Duration(0)},
		{Volts(math.Inf(1)), Voltage(math.MaxInt64)}, {Volts(math.Inf(-1)), Voltage(math.MinInt64)}, {Volts(math.NaN()), Voltage(0)}, {Volts(1e300), Voltage(math.MaxInt64)},
	} {
		if c.got != c.want {
			t.Errorf("got %v, want %v", c.got, c.want)
		}
	}
}

func TestFloatAccessors(t *testing.T) {
	for _, c := range []struct{ got, want float64 }{
		{Volts(230).V(), 230}, {Amperes(0.5).A(), 0.5}, {Watts(60).W(), 60}, {VoltAmperes(350).VA(), 350}, {Resistance(350_000).Ohm(), 0.35},
		{SquareMillimetres(1.5).MM2(), 1.5}, {Metres(2).M(), 2}, {Temperature(21_500_000).C(), 21.5}, {Level(-67_000_000).DBm(), -67}, {Gain(2_140_000).DB(), 2.14},
		{Illuminance(200_000_000).Lx(), 200}, {Speed(12_000_000).MS(), 12}, {Percent(40_000_000).Pct(), 40}, {Angle(45_000_000).Deg(), 45},
		{Energy(5_200_000).KWh(), 5.2}, {Frequency(2_437_000_000).MHz(), 2437}, {Duration(1500).S(), 1.5}, {float64(Duration(1500).MS()), 1500},
	} {
		if c.got != c.want {
			t.Errorf("got %g, want %g", c.got, c.want)
		}
	}
}
