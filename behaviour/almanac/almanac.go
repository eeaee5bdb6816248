package almanac

import (
	"fmt"
	"time"
	_ "time/tzdata" // zones for machines that have none

	"wirewright/calc/sun"
	"wirewright/control"
	"wirewright/internal/problem"
)

// Almanac is the calendar of one house. It is immutable and safe for concurrent use.
type Almanac struct {
	place     sun.Place
	zone      *time.Location
	schedules []control.Schedule
}

// Change is what happens to one schedule at an instant: 1 for a moment or the opening of a window, 0 for its end.
type Change struct {
	Schedule int // index into the schedules given to New
	Value    int32
}

// New makes the almanac of a place, a zone of the IANA database such as "Europe/Vienna", and schedules. An unknown zone or
// an impossible schedule is an error; all are reported at once, the schedule by its index from 0.
func New(place sun.Place, zone string, schedules []control.Schedule) (*Almanac, error) {
	var list problem.List
	add := func(format string, args ...any) {
		list = append(list, problem.Problem{Text: fmt.Sprintf(format, args...)})
	}
	if !(place.Latitude >= -90 && place.Latitude <= 90 && place.Longitude >= -180 && place.Longitude <= 180) {
		add("place: latitude from -90° to 90° and longitude from -180° to 180° are expected, not %g° and %g°", place.Latitude, place.Longitude)
	}
	loc, err := time.LoadLocation(zone)
	if err != nil || zone == "" || zone == "Local" {
		add("zone: %q is not a zone of the IANA time zone database; write one such as \"Europe/Vienna\"", zone)
	}
	for i := range schedules {
		if text := wrong(&schedules[i]); text != "" {
			add("schedule %d: %s", i, text)
		}
	}
	if len(list) > 0 {
		return nil, list
	}
	return &Almanac{place, loc, append([]control.Schedule(nil), schedules...)}, nil
}

// Zone is the zone of the house.
func (a *Almanac) Zone() *time.Location { return a.zone }

// State is what every schedule stands at at an instant: 1 inside a window that includes it (the opening is inside, the end
// is not), else 0; moments are always 0.
func (a *Almanac) State(at time.Time) []int32 {
	state := make([]int32, len(a.schedules))
	f := finder{Almanac: a}
	for i := range a.schedules {
		if !a.schedules[i].Window {
			continue
		}
		today := dateOf(at, a.zone)
		for d := today - reachBack; d <= today+reachAhead; d++ {
			if s, ok := f.window(i, d); ok && !at.Before(s.from) && at.Before(s.to) {
				state[i] = 1
			}
		}
	}
	return state
}

// Next is the first instant strictly after another at which something happens, with all that happens then in the order of
// the schedules. The zero time means that nothing comes any more (within the search bounds of horizonDates).
func (a *Almanac) Next(after time.Time) (time.Time, []Change) { return a.Walk(after).Next() }

// wrong says what is impossible about a schedule; empty if nothing is.
func wrong(s *control.Schedule) string {
	switch {
	case s.Days == 0 || s.Days > 127:
		return "no day of the week is set"
	case s.Every != 0 && s.Window:
		return "a period and a window exclude each other"
	case s.Every < 0 || s.Every > 1440:
		return fmt.Sprintf("a period of 1 to 1440 minutes is expected, not %d", s.Every)
	case !validDate(s.First) || !validDate(s.Last):
		return fmt.Sprintf("dates as yyyymmdd are expected, not %d and %d", s.First, s.Last)
	case s.First != 0 && s.Last != 0 && (s.First < 10000) != (s.Last < 10000):
		return "either both dates have a year or none has"
	case s.First >= 10000 && s.Last != 0 && s.Last < s.First:
		return fmt.Sprintf("the last date %d comes before the first date %d", s.Last, s.First)
	case s.Every != 0:
		return ""
	}
	if text := wrongAnchor(&s.From); text != "" || !s.Window {
		return text
	}
	return wrongAnchor(&s.To)
}

// validDate accepts 0 for none, and dates with or without a year; 29 February stands without a year too.
func validDate(n int32) bool {
	year, month, day := int(n/10000), time.Month(n/100%100), int(n%100)
	if year == 0 {
		year = 2000
	}
	t := time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	return n == 0 || n > 0 && t.Month() == month && t.Day() == day
}

// wrongAnchor says what is impossible about an anchor; empty if nothing is.
func wrongAnchor(n *control.Anchor) string {
	switch {
	case n.Kind > control.AnchorSunBelow:
		return fmt.Sprintf("unknown anchor %d", n.Kind)
	case n.Kind == control.AnchorTime && (n.Minute < 0 || n.Minute > 1440):
		return fmt.Sprintf("a time of 0 to 1440 minutes after midnight is expected, not %d", n.Minute)
	case n.Minute < -720 || n.Minute > 1440 || n.Kind != control.AnchorTime && n.Minute > 720:
		return fmt.Sprintf("an offset of at most 12 hours is expected, not %d minutes", n.Minute)
	case n.Elevation < -900 || n.Elevation > 900:
		return fmt.Sprintf("an elevation of -90° to 90° is expected, not %g°", float64(n.Elevation)/10)
	case n.NotBefore < -1 || n.NotBefore > 1440 || n.NotAfter < -1 || n.NotAfter > 1440:
		return "bounds of 0 to 1440 minutes after midnight are expected, or -1 for none"
	case n.NotBefore >= 0 && n.NotAfter >= 0 && int(n.NotBefore) > latest(n):
		return fmt.Sprintf("it is bound to come neither before %s nor after %s", clock(n.NotBefore), clock(n.NotAfter))
	}
	return ""
}

// latest is NotAfter in minutes after midnight of the anchor's date: an evening event that is bound before noon is bound
// on the next morning.
func latest(n *control.Anchor) int {
	if falling(n.Kind) && n.NotAfter < 720 {
		return int(n.NotAfter) + 1440
	}
	return int(n.NotAfter)
}

// clock prints minutes after midnight as hh:mm.
func clock(minute int16) string { return fmt.Sprintf("%02d:%02d", minute/60, minute%60) }
