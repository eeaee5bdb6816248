package unit

// ParseVoltage reads a text such as "230 V".
func ParseVoltage(s string) (Voltage, error) {
	v, err := dimVoltage.parse(s)
	return Voltage(v), err
}

// String prints the quantity with its unit; ParseVoltage reads it back exactly.
func (q Voltage) String() string { return dimVoltage.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Voltage) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Voltage) UnmarshalText(b []byte) error {
	v, err := ParseVoltage(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseCurrent reads a text such as "16 A".
func ParseCurrent(s string) (Current, error) {
	v, err := dimCurrent.parse(s)
	return Current(v), err
}

// String prints the quantity with its unit; ParseCurrent reads it back exactly.
func (q Current) String() string { return dimCurrent.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Current) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Current) UnmarshalText(b []byte) error {
	v, err := ParseCurrent(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParsePower reads a text such as "60 W".
func ParsePower(s string) (Power, error) {
	v, err := dimPower.parse(s)
	return Power(v), err
}

// String prints the quantity with its unit; ParsePower reads it back exactly.
func (q Power) String() string { return dimPower.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Power) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Power) UnmarshalText(b []byte) error {
	v, err := ParsePower(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseApparent reads a text such as "350 VA".
func ParseApparent(s string) (Apparent, error) {
	v, err := dimApparent.parse(s)
	return Apparent(v), err
}

// String prints the quantity with its unit; ParseApparent reads it back exactly.
func (q Apparent) String() string { return dimApparent.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Apparent) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Apparent) UnmarshalText(b []byte) error {
	v, err := ParseApparent(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseResistance reads a text such as "0.35 Ω".
func ParseResistance(s string) (Resistance, error) {
	v, err := dimResistance.parse(s)
	return Resistance(v), err
}

// String prints the quantity with its unit; ParseResistance reads it back exactly.
func (q Resistance) String() string { return dimResistance.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Resistance) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Resistance) UnmarshalText(b []byte) error {
	v, err := ParseResistance(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseSection reads a text such as "1.5 mm²".
func ParseSection(s string) (Section, error) {
	v, err := dimSection.parse(s)
	return Section(v), err
}

// String prints the quantity with its unit; ParseSection reads it back exactly.
func (q Section) String() string { return dimSection.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Section) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Section) UnmarshalText(b []byte) error {
	v, err := ParseSection(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseLength reads a text such as "12 m".
func ParseLength(s string) (Length, error) {
	v, err := dimLength.parse(s)
	return Length(v), err
}

// String prints the quantity with its unit; ParseLength reads it back exactly.
func (q Length) String() string { return dimLength.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Length) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Length) UnmarshalText(b []byte) error {
	v, err := ParseLength(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseTemperature reads a text such as "21.5 °C".
func ParseTemperature(s string) (Temperature, error) {
	v, err := dimTemperature.parse(s)
	return Temperature(v), err
}

// String prints the quantity with its unit; ParseTemperature reads it back exactly.
func (q Temperature) String() string { return dimTemperature.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Temperature) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Temperature) UnmarshalText(b []byte) error {
	v, err := ParseTemperature(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseLevel reads a text such as "-67 dBm".
func ParseLevel(s string) (Level, error) {
	v, err := dimLevel.parse(s)
	return Level(v), err
}

// String prints the quantity with its unit; ParseLevel reads it back exactly.
func (q Level) String() string { return dimLevel.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Level) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Level) UnmarshalText(b []byte) error {
	v, err := ParseLevel(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseGain reads a text such as "3 dB".
func ParseGain(s string) (Gain, error) {
	v, err := dimGain.parse(s)
	return Gain(v), err
}

// String prints the quantity with its unit; ParseGain reads it back exactly.
func (q Gain) String() string { return dimGain.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Gain) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Gain) UnmarshalText(b []byte) error {
	v, err := ParseGain(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseIlluminance reads a text such as "200 lx".
func ParseIlluminance(s string) (Illuminance, error) {
	v, err := dimIlluminance.parse(s)
	return Illuminance(v), err
}

// String prints the quantity with its unit; ParseIlluminance reads it back exactly.
func (q Illuminance) String() string { return dimIlluminance.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Illuminance) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Illuminance) UnmarshalText(b []byte) error {
	v, err := ParseIlluminance(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseSpeed reads a text such as "12 m/s".
func ParseSpeed(s string) (Speed, error) {
	v, err := dimSpeed.parse(s)
	return Speed(v), err
}

// String prints the quantity with its unit; ParseSpeed reads it back exactly.
func (q Speed) String() string { return dimSpeed.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Speed) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Speed) UnmarshalText(b []byte) error {
	v, err := ParseSpeed(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParsePercent reads a text such as "40 %".
func ParsePercent(s string) (Percent, error) {
	v, err := dimPercent.parse(s)
	return Percent(v), err
}

// String prints the quantity with its unit; ParsePercent reads it back exactly.
func (q Percent) String() string { return dimPercent.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Percent) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Percent) UnmarshalText(b []byte) error {
	v, err := ParsePercent(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseAngle reads a text such as "45 °".
func ParseAngle(s string) (Angle, error) {
	v, err := dimAngle.parse(s)
	return Angle(v), err
}

// String prints the quantity with its unit; ParseAngle reads it back exactly.
func (q Angle) String() string { return dimAngle.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Angle) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Angle) UnmarshalText(b []byte) error {
	v, err := ParseAngle(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseEnergy reads a text such as "5.2 kWh".
func ParseEnergy(s string) (Energy, error) {
	v, err := dimEnergy.parse(s)
	return Energy(v), err
}

// String prints the quantity with its unit; ParseEnergy reads it back exactly.
func (q Energy) String() string { return dimEnergy.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Energy) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Energy) UnmarshalText(b []byte) error {
	v, err := ParseEnergy(string(b))
	if err == nil {
		*q = v
	}
	return err
}

// ParseFrequency reads a text such as "2437 MHz".
func ParseFrequency(s string) (Frequency, error) {
	v, err := dimFrequency.parse(s)
	return Frequency(v), err
}

// String prints the quantity with its unit; ParseFrequency reads it back exactly.
func (q Frequency) String() string { return dimFrequency.format(int64(q)) }

// MarshalText implements encoding.TextMarshaler.
func (q Frequency) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler.
func (q *Frequency) UnmarshalText(b []byte) error {
	v, err := ParseFrequency(string(b))
	if err == nil {
		*q = v
	}
	return err
}
