package syntax

import (
	"strings"

	"wirewright/unit"
)

// quantity reads a number with its unit.
func (p *parser) quantity() Quantity {
	t := p.peek()
	sign := ""
	if t.kind == tokMark && (t.text == "-" || t.text == "+") && p.ahead(1).kind == tokNumber {
		p.take()
		if t.text == "-" {
			sign = "-"
		}
	}
	n := p.peek()
	if n.kind != tokNumber {
		p.expected("a number with its unit")
		return Quantity{At: t.pos}
	}
	p.take()
	q, err := quantityOf(sign+n.text, n.unit)
	if err != "" {
		p.fail(t.pos, "", "%s", err)
	}
	q.At = t.pos
	return q
}

// quantityOf reads a number and its unit; the second result says what is wrong with it.
func quantityOf(number, symbol string) (Quantity, string) {
	number = strings.Replace(number, ",", ".", 1)
	text := number + " " + symbol
	var q Quantity
	var err error
	set := func(k QuantityKind, v int64, e error) { q.Kind, q.Value, err = k, v, e }
	switch symbol {
	case "%":
		v, e := unit.ParsePercent(text)
		set(Percent, int64(v), e)
	case "°C":
		v, e := unit.ParseTemperature(text)
		set(Temperature, int64(v), e)
	case "m/s":
		v, e := unit.ParseSpeed(text)
		set(Speed, int64(v), e)
	case "lx", "klx":
		v, e := unit.ParseIlluminance(text)
		set(Illuminance, int64(v), e)
	case "°", "deg":
		v, e := unit.ParseAngle(text)
		set(Angle, int64(v), e)
	case "":
		v, e := unit.ParsePercent(number + " %") // the same steps and bounds
		if e != nil {
			return q, number + " is too large or too fine"
		}
		set(Number, int64(v), nil)
	default:
		return q, "expected a level, found the duration " + text
	}
	if err != nil {
		return q, err.Error()
	}
	return q, ""
}

// share reads a quantity in per cent from 0 to 100.
func (p *parser) share() Quantity {
	at := p.peek().pos
	q := p.quantity()
	if p.failed {
		return q
	}
	if q.Kind != Percent {
		p.fail(at, "", "expected a share from 0 %% to 100 %%, found %s", q)
	} else if q.Value < 0 || q.Value > 100_000_000 {
		p.fail(at, "", "a share lies between 0 %% and 100 %%, found %s", q)
	}
	return q
}

// String prints the quantity with its unit.
func (q Quantity) String() string {
	switch q.Kind {
	case Percent:
		return unit.Percent(q.Value).String()
	case Temperature:
		return unit.Temperature(q.Value).String()
	case Speed:
		return unit.Speed(q.Value).String()
	case Illuminance:
		return unit.Illuminance(q.Value).String()
	case Angle:
		return unit.Angle(q.Value).String()
	}
	return strings.TrimSuffix(unit.Percent(q.Value).String(), " %")
}

// isDuration tells whether the unit is one of time.
func isDuration(symbol string) bool {
	switch symbol {
	case "ms", "s", "min", "h", "d":
		return true
	}
	return false
}

// duration reads a span of time: "3 min", "1 h 30 min".
func (p *parser) duration() unit.Duration {
	t := p.peek()
	if t.kind != tokNumber || !isDuration(t.unit) {
		p.expected("a span of time such as 3 min")
		return 0
	}
	var parts []string
	for n := t; n.kind == tokNumber && isDuration(n.unit); n = p.peek() {
		parts = append(parts, n.text+" "+n.unit)
		p.take()
	}
	d, err := unit.ParseDuration(strings.Join(parts, " "))
	if err != nil {
		p.fail(t.pos, "", "%s", err)
	}
	return d
}

// wait reads a span of time that is longer than nothing.
func (p *parser) wait() *unit.Duration {
	at := p.peek().pos
	d := p.duration()
	if d <= 0 {
		p.fail(at, "", "a span of time must be longer than 0 s")
	}
	return &d
}

// ParseQuantity reads a number with its unit, such as "40 %" or "-2.5 °C".
func ParseQuantity(text string) (Quantity, error) {
	ps := &problems{}
	lex := &lexer{text: text, problems: ps}
	lex.run()
	if len(lex.tokens) == 0 {
		return Quantity{}, &QuantityError{text, "a number with its unit was expected"}
	}
	last := lex.tokens[len(lex.tokens)-1]
	p := &parser{problems: ps, tokens: append(lex.tokens, token{kind: tokEnd, pos: last.end})}
	q := p.quantity()
	if !p.failed && p.peek().kind != tokEnd {
		p.expected("the end of the quantity")
	}
	if len(ps.list) > 0 {
		return Quantity{}, &QuantityError{text, ps.list[0].Text}
	}
	q.At = Pos{}
	return q, nil
}

// QuantityError says why a text is no quantity.
type QuantityError struct {
	Found  string
	Reason string
}

// Error implements the error interface.
func (e *QuantityError) Error() string {
	return quote(clip(e.Found)) + " is no quantity: " + e.Reason
}

// Steps converts the quantity to the whole steps of package control: thousandths, hundredths of a degree, lux, tenths of
// a metre a second, whole units.
func (q Quantity) Steps() int32 {
	step := map[QuantityKind]int64{Percent: 100_000, Temperature: 10_000, Illuminance: 1_000_000, Speed: 100_000, Angle: 100_000, Number: 1_000_000}[q.Kind]
	half := step / 2
	if q.Value < 0 {
		half = -half
	}
	return int32(max(-2_000_000_000, min((q.Value+half)/step, 2_000_000_000)))
}

// Unit is the unit as the text writes it, "" for a plain number.
func (q Quantity) Unit() string {
	return map[QuantityKind]string{Percent: "%", Temperature: "°C", Illuminance: "lx", Speed: "m/s", Angle: "°"}[q.Kind]
}
