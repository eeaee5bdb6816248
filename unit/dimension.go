package unit

import (
	"math"
	"strings"
)

// symbol is one way to write a unit: the text, and how many steps one of it is.
type symbol struct {
	text  string
	steps int64
}

// dimension is what parsing and printing need to know about one quantity. The first symbol is the base unit; printing
// uses the symbols in `print`, largest first, and takes the first that leaves at least one whole unit.
type dimension struct {
	name     string
	symbols  []symbol
	print    []symbol
	min, max int64
	example  string
}

func base(name, sym string, min, max float64, example string, more ...symbol) *dimension {
	b := symbol{sym, micro}
	return &dimension{
		name: name, symbols: append([]symbol{b}, more...), print: []symbol{b},
		min: steps(min), max: steps(max), example: example,
	}
}

func (d *dimension) printing(s ...symbol) *dimension {
	d.print = s
	return d
}

var (
	dimVoltage = base("voltage", "V", -1e6, 1e6, "230 V", symbol{"mV", 1000}, symbol{"kV", 1000 * micro}).
			printing(symbol{"V", micro}, symbol{"mV", 1000})
	dimCurrent = base("current", "A", -1e6, 1e6, "16 A", symbol{"mA", 1000}, symbol{"µA", 1}, symbol{"uA", 1},
		symbol{"kA", 1000 * micro}).printing(symbol{"A", micro}, symbol{"mA", 1000}, symbol{"µA", 1})
	dimPower = base("power", "W", -1e9, 1e9, "60 W", symbol{"mW", 1000}, symbol{"kW", 1000 * micro}).
			printing(symbol{"W", micro}, symbol{"mW", 1000})
	dimApparent   = base("apparent power", "VA", -1e9, 1e9, "350 VA", symbol{"kVA", 1000 * micro})
	dimResistance = base("resistance", "Ω", -1e9, 1e9, "0.35 Ω", symbol{"ohm", micro},
		symbol{"mΩ", 1000}, symbol{"kΩ", 1000 * micro})
	dimSection = base("cross-section", "mm²", 0, 1e4, "1.5 mm²", symbol{"mm2", micro}, symbol{"mm^2", micro})
	dimLength  = base("length", "m", -1e6, 1e6, "12 m", symbol{"mm", 1000}, symbol{"cm", 10_000}, symbol{"km", 1000 * micro}).
			printing(symbol{"m", micro}, symbol{"mm", 1000})
	dimTemperature = base("temperature", "°C", -273.15, 5000, "21.5 °C", symbol{"degC", micro})
	dimLevel       = base("level", "dBm", -300, 300, "-67 dBm")
	dimGain        = base("ratio", "dB", -1000, 1000, "3 dB", symbol{"dBi", micro})
	dimIlluminance = base("illuminance", "lx", 0, 1e6, "200 lx", symbol{"klx", 1000 * micro})
	dimSpeed       = base("speed", "m/s", 0, 1000, "12 m/s")
	dimPercent     = base("share", "%", -1e6, 1e6, "40 %")
	dimAngle       = base("angle", "°", -3600, 3600, "45 °", symbol{"deg", micro})
	dimEnergy      = base("energy", "kWh", -1e9, 1e9, "5.2 kWh", symbol{"Wh", 1000})
	dimFrequency   = base("frequency", "MHz", 0, 1e6, "2437 MHz", symbol{"GHz", 1000 * micro}, symbol{"kHz", 1000})
)

// dimensions lists all of them, to say what a unit out of place belongs to.
var dimensions = []*dimension{dimVoltage, dimCurrent, dimPower, dimApparent, dimResistance, dimSection, dimLength, dimTemperature,
	dimLevel, dimGain, dimIlluminance, dimSpeed, dimPercent, dimAngle, dimEnergy, dimFrequency}

// steps rounds a number of base units to whole steps, ties away from zero; it saturates at the int64 range, and what is
// not a number is 0, on every machine.
func steps(v float64) int64 {
	r := math.Round(v * micro)
	switch {
	case math.IsNaN(r):
		return 0
	case r >= math.MaxInt64:
		return math.MaxInt64
	case r <= math.MinInt64:
		return math.MinInt64
	}
	return int64(r)
}

// expected lists the symbols that a person may write, for an error.
func (d *dimension) expected() string {
	texts := make([]string, 0, len(d.symbols))
	for _, s := range d.symbols {
		texts = append(texts, s.text)
	}
	return strings.Join(texts, ", ")
}
