package syntax

import (
	"slices"

	"wirewright/unit"
)

// window reads: between moment and moment [ on days ] [ from date to date ].
func (p *parser) window() *Window {
	w := &Window{At: p.peek().pos}
	p.need("between")
	w.From = *p.moment()
	p.need("and")
	w.To = *p.moment()
	w.Days = p.days()
	w.Dates = p.dates()
	return w
}

// moment reads a time of day, or a moment of the sun with its offset and limits.
func (p *parser) moment() *Moment {
	t := p.peek()
	m := &Moment{At: t.pos, NotBefore: -1, NotAfter: -1}
	switch {
	case t.kind == tokTime:
		m.Minute = p.clock()
		return m
	case p.accept("sunrise"):
		m.Anchor = AnchorSunrise
	case p.accept("sunset"):
		m.Anchor = AnchorSunset
	case p.accept("sun"):
		p.sun(m)
	default:
		if hint := stuck(t.text); hint != "" {
			p.fail(t.pos, hint, "expected a time of day, sunrise or sunset, found %s", t.describe())
		}
		p.expected("a time of day such as 06:30, sunrise or sunset", "sunrise", "sunset", "sun")
	}
	m.Offset = p.offset()
	p.limits(m)
	return m
}

// stuck is the hint for an offset that is written without spaces: sunset-15.
func stuck(word string) string {
	for _, s := range []string{"sunset-", "sunrise-"} {
		if len(word) > len(s) && word[:len(s)] == s {
			return "put spaces round the minus sign"
		}
	}
	return ""
}

// sun reads: ( above | below ) angle.
func (p *parser) sun(m *Moment) {
	if m.Anchor = AnchorSunAbove; !p.accept("above") {
		m.Anchor = AnchorSunBelow
		if !p.accept("below") {
			p.expected("above or below", "above", "below")
		}
	}
	at := p.peek().pos
	m.Elevation = p.quantity()
	if !p.failed && (m.Elevation.Kind != Angle || m.Elevation.Value < -90_000_000 || m.Elevation.Value > 90_000_000) {
		p.fail(at, "", "expected the height of the sun, between -90 ° and 90 °, found %s", m.Elevation)
	}
}

// offset reads: [ ( "+" | "-" ) duration ], whole minutes below a day.
func (p *parser) offset() unit.Duration {
	sign := unit.Duration(1)
	at := p.peek().pos
	if p.accept("-") {
		sign = -1
	} else if !p.accept("+") {
		return 0
	}
	d := p.duration()
	if d%60_000 != 0 || d >= 24*3600_000 {
		p.fail(at, "", "an offset is whole minutes and shorter than a day, found %s", d)
	}
	return sign * d
}

// limits reads: [ but not before time [ and not after time ] | but not after time ].
func (p *parser) limits(m *Moment) {
	if !p.accept("but") {
		return
	}
	p.need("not")
	if p.accept("before") {
		m.NotBefore = p.clock()
		if !p.acceptAll("and", "not", "after") {
			return
		}
		at := p.peek().pos
		m.NotAfter = p.clock()
		if m.NotAfter < m.NotBefore {
			p.fail(at, "", "not before %s and not after %s leaves no time", clockText(m.NotBefore), clockText(m.NotAfter))
		}
		return
	}
	if p.accept("after") {
		m.NotAfter = p.clock()
		return
	}
	p.expected("before or after", "before", "after")
}

// clock reads a time of day, in minutes after midnight.
func (p *parser) clock() int32 {
	t := p.peek()
	if t.kind != tokTime {
		p.expected("a time of day such as 06:30")
		return 0
	}
	if hint := "hours go to 24:00, minutes to 59"; t.value > 24*60 || t.text[len(t.text)-2] > '5' {
		p.fail(t.pos, hint, "%s is no time of day", t.text)
	}
	p.take()
	return t.value
}

// days reads: [ on dayspan { ( "," | "and" ) dayspan } ]; nothing where a date follows.
func (p *parser) days() Days {
	if !p.is("on") || p.ahead(1).kind == tokNumber {
		return 0
	}
	p.take()
	days := p.daySpan()
	for (p.is(",") || p.is("and")) && isDay(p.ahead(1)) {
		p.take()
		days |= p.daySpan()
	}
	if days == 127 {
		return 0
	}
	return days
}

func isDay(t token) bool { return t.kind == tokWord && slices.Contains(dayWords, t.text) }

// daySpan reads: day [ to day ]; the span may pass the end of the week.
func (p *parser) daySpan() Days {
	first := p.day()
	last := first
	if p.accept("to") {
		last = p.day()
	}
	days := Days(0)
	for d := first; ; d = (d + 1) % 7 {
		days |= 1 << d
		if d == last {
			return days
		}
	}
}

func (p *parser) day() int {
	return max(0, slices.Index(dayWords, p.choice("a day of the week", dayWords)))
}

// dates reads: [ from date to date | on date ].
func (p *parser) dates() *Dates {
	d := &Dates{At: p.peek().pos}
	if p.is("on") && p.ahead(1).kind == tokNumber {
		p.take()
		d.First = p.date()
		d.Last = d.First
		return d
	}
	if !p.accept("from") {
		return nil
	}
	d.First = p.date()
	p.need("to")
	d.Last = p.date()
	return d
}

// date reads a day and a month: 24 December.
func (p *parser) date() Date {
	t := p.peek()
	if t.kind != tokNumber || t.unit != "" || len(t.text) > 2 {
		p.expected("a date such as 24 December")
		return Date{1, 1}
	}
	p.take()
	day := int8(0)
	for _, c := range t.text {
		day = day*10 + int8(c-'0')
	}
	month := int8(slices.Index(monthWords, p.choice("a month", monthWords)))
	if month < 0 {
		return Date{1, 1}
	}
	if day < 1 || day > monthDays[month] {
		p.fail(t.pos, "", "there is no %s %s", t.text, capital(monthWords[month]))
	}
	return Date{month + 1, day}
}
