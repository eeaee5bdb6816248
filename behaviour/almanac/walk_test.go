package almanac

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wirewright/calc/sun"
	"wirewright/control"
)

// twin is a second calendar that knows nothing of dates and searches: it looks at every minute of the span and asks what a
// wall clock and the sky show. Clock times only need the wall clock; sun events, the change of the elevation's sign.
type twin struct {
	a    *Almanac
	zone *time.Location
}

// shows tells whether the wall clock passes the minute of the day in the minute that begins at t: it shows it for the first
// time, or jumps over it.
func (w twin) shows(t time.Time, minute int) bool {
	now := t.In(w.zone)
	past := t.Add(-time.Minute).In(w.zone)
	wall := func(x time.Time) int64 {
		_, o := x.Zone()
		return (x.Unix() + int64(o)) / 60
	}
	for m := wall(past) + 1; m <= wall(now); m++ {
		if (m%1440+1440)%1440 == int64(minute) {
			return w.first(t, m)
		}
	}
	return false
}

// first tells whether the wall clock did not show m minutes (since 1970) within the three hours before t.
func (w twin) first(t time.Time, m int64) bool {
	for back := time.Minute; back <= 3*time.Hour; back += time.Minute {
		x := t.Add(-back).In(w.zone)
		_, o := x.Zone()
		if (x.Unix()+int64(o))/60 >= m {
			return false
		}
	}
	return true
}

// TestMomentsEqualTheMinuteTwin runs clock times and sun events side by side with the twin over three days around a change
// of the clocks, or anywhere.
func TestMomentsEqualTheMinuteTwin(t *testing.T) {
	zones := []string{"Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Africa/Cairo", "Europe/Dublin",
		"Australia/Sydney", "Africa/Casablanca", "Europe/Helsinki", "Europe/Oslo"}
	days := []string{"2025-03-29", "2025-10-25", "2025-04-24", "2025-10-04", "2026-03-07", "2026-11-01", "2025-02-22", "2025-06-20", "2025-12-20"}
	rapid.Check(t, func(t *rapid.T) {
		zone := rapid.SampledFrom(zones).Draw(t, "zone")
		begin, _ := time.Parse("2006-01-02", rapid.SampledFrom(days).Draw(t, "day"))
		minute := rapid.OneOf(rapid.IntRange(0, 239), rapid.IntRange(0, 1439)).Draw(t, "minute")
		elevation := rapid.IntRange(-60, 200).Draw(t, "elevation")
		sunny := on(rapid.SampledFrom([]control.AnchorKind{control.AnchorSunAbove, control.AnchorSunBelow}).Draw(t, "kind"), 0)
		sunny.Elevation = int16(elevation)
		a, err := New(places[zone], zone, []control.Schedule{moment(at(0, minute)), moment(sunny)})
		if err != nil {
			t.Fatal(err)
		}
		w := twin{a, a.Zone()}
		walk := a.Walk(begin.Add(-time.Second))
		when, changes := walk.Next()
		before := sun.Position(a.place, begin).Elevation - float64(elevation)/10
		for m := begin; m.Before(begin.AddDate(0, 0, 3)); m = m.Add(time.Minute) {
			var clock, sky bool
			for !when.IsZero() && when.Before(m.Add(time.Minute)) {
				if when.Before(m) {
					t.Fatalf("%s comes before %s", when, m)
				}
				for _, c := range changes {
					clock, sky = clock || c.Schedule == 0, sky || c.Schedule == 1
				}
				last := when
				if when, changes = walk.Next(); !when.IsZero() && !when.After(last) {
					t.Fatalf("%s is not after %s", when, last)
				}
			}
			if want := w.shows(m, minute); clock != want {
				t.Fatalf("%s (%s): clock %v, twin %v", m, m.In(a.Zone()), clock, want)
			}
			after := sun.Position(a.place, m.Add(time.Minute)).Elevation - float64(elevation)/10
			crosses := before < 0 && after >= 0
			if falling(sunny.Kind) {
				crosses = before >= 0 && after < 0
			}
			// Events are rounded to the second: the sun moves less than 0.005° in a second, so nearer ones may differ.
			if sky != crosses && math.Abs(before) > 0.005 && math.Abs(after) > 0.005 {
				t.Fatalf("%s: sky %v, twin %v", m, sky, crosses)
			}
			before = after
		}
	})
}

// drawSchedule draws any schedule that New accepts.
func drawSchedule(t *rapid.T) control.Schedule {
	anchor := func(name string) control.Anchor {
		kind := control.AnchorKind(rapid.IntRange(0, 4).Draw(t, name))
		a := control.Anchor{Kind: kind, NotBefore: -1, NotAfter: -1}
		if kind == control.AnchorTime {
			a.Minute = int16(rapid.IntRange(0, 1440).Draw(t, "minute"))
			return a
		}
		a.Minute = int16(rapid.IntRange(-120, 120).Draw(t, "offset"))
		a.Elevation = int16(rapid.IntRange(-100, 300).Draw(t, "elevation"))
		switch rapid.IntRange(0, 3).Draw(t, "bound") {
		case 1:
			a.NotBefore = int16(rapid.IntRange(0, 1440).Draw(t, "not before"))
		case 2:
			a.NotAfter = int16(rapid.IntRange(0, 1440).Draw(t, "not after"))
		}
		return a
	}
	s := control.Schedule{Days: uint8(rapid.IntRange(1, 127).Draw(t, "days")), From: anchor("from")}
	switch rapid.IntRange(0, 3).Draw(t, "form") {
	case 0:
		s.Every = int32(rapid.IntRange(1, 1440).Draw(t, "every"))
	case 1, 2:
		s.Window, s.To = true, anchor("to")
	}
	return s
}

// TestStateEqualsTheEdges: walking the edges from any instant keeps the state that State says, for any schedules; Next is
// strictly increasing and the same as the walk.
func TestStateEqualsTheEdges(t *testing.T) {
	zones := []string{"Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Africa/Cairo", "Europe/Oslo", "Europe/Helsinki"}
	rapid.Check(t, func(t *rapid.T) {
		zone := rapid.SampledFrom(zones).Draw(t, "zone")
		schedules := rapid.SliceOfN(rapid.Custom(drawSchedule), 1, 2).Draw(t, "schedules")
		a, err := New(places[zone], zone, schedules)
		if err != nil {
			t.Fatal(err)
		}
		begin := time.Unix(rapid.Int64Range(1735689600, 1798761600).Draw(t, "begin"), 0).UTC() // 2025 and 2026
		state := a.State(begin)
		walk, last := a.Walk(begin), begin
		for range 5 {
			when, changes := walk.Next()
			if when.IsZero() {
				break
			}
			if next, _ := a.Next(last); !next.Equal(when) || !when.After(last) {
				t.Fatalf("walk %s, next after %s is %s", when, last, next)
			}
			if before := a.State(when.Add(-time.Second)); !equal(before, state) {
				t.Fatalf("%s: state before %v, edges say %v", when, before, state)
			}
			for _, c := range changes {
				if schedules[c.Schedule].Window {
					if state[c.Schedule] == c.Value {
						t.Fatalf("%s: an edge of schedule %d to %d, where it is", when, c.Schedule, c.Value)
					}
					state[c.Schedule] = c.Value
				}
			}
			if now := a.State(when); !equal(now, state) {
				t.Fatalf("%s: state %v, edges say %v", when, now, state)
			}
			last = when
		}
	})
}

func equal(a, b []int32) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return len(a) == len(b)
}

// FuzzSchedule: any schedule is refused or walks on in strictly increasing time, within the bounds.
func FuzzSchedule(f *testing.F) {
	f.Add(true, uint8(127), uint8(2), int16(0), int16(-60), int16(-1), int16(-1), uint8(1), int16(30), int32(0), int32(0), int32(0))
	f.Add(false, uint8(1), uint8(0), int16(150), int16(0), int16(-1), int16(1320), uint8(0), int16(0), int32(229), int32(229), int32(0))
	f.Add(false, uint8(64), uint8(0), int16(0), int16(0), int16(-1), int16(-1), uint8(0), int16(0), int32(20250101), int32(0), int32(15))
	f.Fuzz(func(t *testing.T, win bool, days, kind uint8, minute, elevation, notBefore, notAfter int16, toKind uint8, toMinute int16, first, last, every int32) {
		s := control.Schedule{Window: win, Days: days, First: first, Last: last, Every: every,
			From: control.Anchor{Kind: control.AnchorKind(kind), Minute: minute, Elevation: elevation, NotBefore: notBefore, NotAfter: notAfter},
			To:   control.Anchor{Kind: control.AnchorKind(toKind), Minute: toMinute, NotBefore: -1, NotAfter: -1}}
		a, err := New(places["Europe/Oslo"], "Europe/Oslo", []control.Schedule{s})
		if err != nil {
			return
		}
		at := time.Date(2025, 3, 28, 0, 0, 0, 0, time.UTC)
		walk := a.Walk(at)
		for range 10 {
			next, _ := walk.Next()
			if next.IsZero() {
				return
			}
			if !next.After(at) {
				t.Fatalf("%s after %s", next, at)
			}
			at = next
		}
	})
}

func BenchmarkWalkYear(b *testing.B) {
	s := []control.Schedule{moment(at(6, 30)), window(on(control.AnchorSunset, 0), on(control.AnchorSunrise, 0)), moment(on(control.AnchorSunset, 30))}
	a, err := New(places["Europe/Vienna"], "Europe/Vienna", s)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		w := a.Walk(time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC))
		for range 4 * 365 {
			w.Next()
		}
	}
}
