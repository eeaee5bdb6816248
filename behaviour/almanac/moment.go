package almanac

import (
	"time"

	"wirewright/calc/sun"
	"wirewright/control"
)

// The bounds of every search, in dates.
const (
	reachBack    = 3    // a window that is open now opened at most so many dates ago
	reachAhead   = 1    // an event of tomorrow's date can come today: sunrise less twelve hours
	horizonDates = 400  // dates looked at on which a schedule might happen before it counts as never happening
	horizonAll   = 3300 // dates looked at in all: nine years hold a leap day even around a turn of a century
)

// span is one occurrence: a moment at from, or a window up to to.
type span struct{ from, to time.Time }

// finder looks up occurrences and remembers the sun's days that it has worked out.
type finder struct {
	*Almanac
	days map[dayKey]sun.Day
}

type dayKey struct {
	date      date
	elevation float64
}

// daysKept bounds what a finder remembers.
const daysKept = 256

// day is the sun's day of a date at an elevation.
func (f *finder) day(d date, elevation float64) sun.Day {
	key := dayKey{d, elevation}
	if day, ok := f.days[key]; ok {
		return day
	}
	if f.days == nil || len(f.days) >= daysKept {
		f.days = make(map[dayKey]sun.Day)
	}
	day := sun.At(f.place, d.instant(0, f.zone), elevation)
	f.days[key] = day
	return day
}

// applies tells whether a schedule may happen on a date, by weekday and date range.
func (a *Almanac) applies(s *control.Schedule, d date) bool {
	return s.Days>>d.weekday()&1 == 1 && inRange(s, d.number()) && d.exists(a.zone)
}

// inRange tells whether a date as yyyymmdd lies in the date range of a schedule.
func inRange(s *control.Schedule, n int32) bool {
	first, last := s.First, s.Last
	if (first == 0 || first < 10000) && last < 10000 && (first != 0 || last != 0) {
		n %= 10000 // every year
		if first != 0 && last != 0 && last < first {
			return n >= first || n <= last
		}
	}
	return (first == 0 || n >= first) && (last == 0 || n <= last)
}

// moment is when a schedule that is not a window happens on a date; false if it does not.
func (f *finder) moment(i int, d date) (time.Time, bool) {
	s := &f.schedules[i]
	if !f.applies(s, d) {
		return time.Time{}, false
	}
	t, fate := f.anchor(&s.From, d)
	return t, fate == happens
}

// window is when a window opens and closes on a date; false if it does not open.
func (f *finder) window(i int, d date) (span, bool) {
	s := &f.schedules[i]
	if !f.applies(s, d) {
		return span{}, false
	}
	from, fate := f.anchor(&s.From, d)
	if fate == never {
		return span{}, false
	}
	if overMidnight(&s.From, &s.To) {
		d++
	}
	to, _ := f.anchor(&s.To, d)
	return span{from, to}, from.Before(to)
}

// fate is how an anchor lies to its date.
type fate uint8

const (
	happens fate = iota // at the instant given
	been                // the sun was past it all day; a window holds from the culmination before
	never               // the sun does not get there; a window that ends with it ends at the culmination after
)

// anchor is when an anchor comes on a date.
func (f *finder) anchor(n *control.Anchor, d date) (time.Time, fate) {
	if n.Kind == control.AnchorTime {
		return d.instant(int(n.Minute), f.zone), happens
	}
	t, fate := crossing(f.day(d, elevation(n)), falling(n.Kind))
	if fate == happens {
		t = t.Add(time.Duration(n.Minute) * time.Minute)
	}
	if n.NotBefore >= 0 {
		t, fate = bound(t, fate, been, d.instant(int(n.NotBefore), f.zone))
	}
	if n.NotAfter >= 0 {
		t, fate = bound(t, fate, never, d.instant(latest(n), f.zone))
	}
	return t, fate
}

// bound keeps an anchor on one side of a limit: from below where the fate that it mends is been, from above where it is
// never. That fate becomes happens, at the limit.
func bound(t time.Time, f, mends fate, limit time.Time) (time.Time, fate) {
	beyond := t.Before(limit)
	if mends == never {
		beyond = limit.Before(t)
	}
	switch {
	case f == mends:
		return limit, happens
	case beyond:
		return limit, f
	}
	return t, f
}

// crossing picks the rise or set of a day, or what stands for it.
func crossing(day sun.Day, falls bool) (time.Time, fate) {
	switch {
	case falls && !day.Set.IsZero():
		return day.Set, happens
	case !falls && !day.Rise.IsZero():
		return day.Rise, happens
	case falls && day.Course == sun.AlwaysLow:
		return day.Noon, been
	case falls:
		return day.After, never
	case day.Course == sun.AlwaysLow:
		return day.Noon, never
	}
	return day.Before, been
}

// elevation is the elevation of a sun anchor in degrees.
func elevation(n *control.Anchor) float64 {
	if n.Kind == control.AnchorSunrise || n.Kind == control.AnchorSunset {
		return sun.Horizon
	}
	return float64(n.Elevation) / 10
}

// falling tells the evening anchors from the morning ones.
func falling(k control.AnchorKind) bool {
	return k == control.AnchorSunset || k == control.AnchorSunBelow
}

// overMidnight tells whether a window ends on the date after the one on which it opens: a clock time that is not later, a
// morning sun after an evening sun or after a time from noon on, a morning time after an evening sun, or a time before
// three after a morning sun. An evening sun always ends a window of the same date, which is empty on dates when that sun
// comes too early.
func overMidnight(from, to *control.Anchor) bool {
	fromTime, toTime := from.Kind == control.AnchorTime, to.Kind == control.AnchorTime
	switch {
	case fromTime && toTime:
		return to.Minute <= from.Minute
	case falling(to.Kind):
		return false
	case fromTime:
		return from.Minute >= 720
	case falling(from.Kind):
		return !toTime || to.Minute < 720
	}
	return toTime && to.Minute < 180
}
