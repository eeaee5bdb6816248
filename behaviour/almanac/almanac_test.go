package almanac

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"wirewright/calc/sun"
	"wirewright/control"
)

const everyDay = 127

// at is a clock time as an anchor.
func at(hour, minute int) control.Anchor {
	return control.Anchor{Minute: int16(hour*60 + minute), NotBefore: -1, NotAfter: -1}
}

// on is a sun anchor with an offset in minutes.
func on(kind control.AnchorKind, offset int) control.Anchor {
	return control.Anchor{Kind: kind, Minute: int16(offset), NotBefore: -1, NotAfter: -1}
}

func moment(a control.Anchor) control.Schedule { return control.Schedule{Days: everyDay, From: a} }

func window(from, to control.Anchor) control.Schedule {
	return control.Schedule{Window: true, Days: everyDay, From: from, To: to}
}

var places = map[string]sun.Place{
	"Europe/Berlin":       {Latitude: 52.52, Longitude: 13.405},
	"Europe/Vienna":       {Latitude: 48.2082, Longitude: 16.3738},
	"Europe/Lisbon":       {Latitude: 38.7223, Longitude: -9.1393},
	"Europe/Dublin":       {Latitude: 53.35, Longitude: -6.26},
	"Europe/Helsinki":     {Latitude: 60.1699, Longitude: 24.9384},
	"Europe/Oslo":         {Latitude: 69.6492, Longitude: 18.9553}, // Tromsø
	"America/New_York":    {Latitude: 40.71, Longitude: -74.0},
	"Australia/Sydney":    {Latitude: -33.8688, Longitude: 151.2093},
	"Australia/Lord_Howe": {Latitude: -31.55, Longitude: 159.08},
	"Africa/Cairo":        {Latitude: 30.04, Longitude: 31.24},
	"Africa/Casablanca":   {Latitude: 33.57, Longitude: -7.59},
	"Pacific/Apia":        {Latitude: -13.83, Longitude: -171.77},
}

func build(t *testing.T, zone string, s ...control.Schedule) *Almanac {
	t.Helper()
	a, err := New(places[zone], zone, s)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// events lists everything from an instant (excluded) to another (included), in the house's local time with its offset.
func events(t *testing.T, a *Almanac, from, to string) string {
	t.Helper()
	begin, err := time.ParseInLocation("2006-01-02 15:04", from, time.UTC)
	end, err2 := time.ParseInLocation("2006-01-02 15:04", to, time.UTC)
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	var lines []string
	w := a.Walk(begin.Add(-time.Second))
	for range 1000 {
		when, changes := w.Next()
		if when.IsZero() || when.After(end) {
			return strings.Join(lines, "\n")
		}
		for _, c := range changes {
			lines = append(lines, fmt.Sprintf("%s %d=%d", when.In(a.Zone()).Format("01-02 15:04 -0700"), c.Schedule, c.Value))
		}
	}
	t.Fatal("too many events")
	return ""
}

// Times around the changes of the clocks. The offsets and jumps are those of the IANA time zone database, release 2025b.
func TestClocksThatJump(t *testing.T) {
	for _, c := range []struct {
		name, zone string
		schedules  []control.Schedule
		from, to   string // UTC
		want       string
	}{
		{"forward: 02:30 does not exist and happens at the jump, once", "Europe/Berlin",
			[]control.Schedule{moment(at(2, 30)), moment(at(3, 30))}, "2025-03-29 23:00", "2025-03-30 22:00",
			"03-30 03:00 +0200 0=1\n03-30 03:30 +0200 1=1"},
		{"back: 02:30 exists twice and happens at the first", "Europe/Berlin",
			[]control.Schedule{moment(at(2, 30))}, "2025-10-25 22:00", "2025-10-26 23:00", "10-26 02:30 +0200 0=1"},
		{"Lisbon back", "Europe/Lisbon",
			[]control.Schedule{moment(at(1, 30))}, "2025-10-25 23:00", "2025-10-26 23:59", "10-26 01:30 +0100 0=1"},
		{"west of Greenwich, forward", "America/New_York",
			[]control.Schedule{moment(at(2, 10))}, "2026-03-08 05:00", "2026-03-09 04:00", "03-08 03:00 -0400 0=1"},
		{"west of Greenwich, back", "America/New_York",
			[]control.Schedule{moment(at(1, 10))}, "2026-11-01 04:00", "2026-11-02 05:00", "11-01 01:10 -0400 0=1"},
		{"southern summer begins in October", "Australia/Sydney",
			[]control.Schedule{moment(at(2, 15))}, "2025-10-04 14:00", "2025-10-05 13:00", "10-05 03:00 +1100 0=1"},
		{"southern summer ends in April", "Australia/Sydney",
			[]control.Schedule{moment(at(2, 15))}, "2026-04-04 13:00", "2026-04-05 14:00", "04-05 02:15 +1100 0=1"},
		{"Lord Howe moves by half an hour, forward", "Australia/Lord_Howe",
			[]control.Schedule{moment(at(2, 10)), moment(at(2, 30))}, "2025-10-04 13:30", "2025-10-05 13:00",
			"10-05 02:30 +1100 0=1\n10-05 02:30 +1100 1=1"},
		{"Lord Howe back: 01:45 twice", "Australia/Lord_Howe",
			[]control.Schedule{moment(at(1, 45))}, "2026-04-04 13:00", "2026-04-05 13:30", "04-05 01:45 +1100 0=1"},
		{"Cairo has no midnight: the day begins at 01:00", "Africa/Cairo",
			[]control.Schedule{moment(at(0, 0)), moment(at(0, 30)), moment(at(1, 0))}, "2025-04-24 21:00", "2025-04-25 20:00",
			"04-25 01:00 +0300 0=1\n04-25 01:00 +0300 1=1\n04-25 01:00 +0300 2=1"},
		{"Dublin flags its winter as daylight saving; offsets decide", "Europe/Dublin",
			[]control.Schedule{moment(at(1, 30))}, "2025-03-30 00:00", "2025-03-30 22:00", "03-30 02:00 +0100 0=1"},
		{"Dublin back", "Europe/Dublin",
			[]control.Schedule{moment(at(1, 30))}, "2025-10-25 23:00", "2025-10-26 23:00", "10-26 01:30 +0100 0=1"},
		{"Casablanca goes back for Ramadan", "Africa/Casablanca",
			[]control.Schedule{moment(at(2, 30))}, "2025-02-22 23:00", "2025-02-23 23:59", "02-23 02:30 +0100 0=1"},
		{"a date that the zone skipped has no events", "Pacific/Apia",
			[]control.Schedule{moment(at(12, 0))}, "2011-12-29 12:00", "2011-12-31 12:00",
			"12-29 12:00 -1000 0=1\n12-31 12:00 +1400 0=1"},
		{"a window over the long night lasts its wall-clock span", "Europe/Berlin",
			[]control.Schedule{window(at(22, 0), at(6, 0))}, "2025-10-25 12:00", "2025-10-26 12:00",
			"10-25 22:00 +0200 0=1\n10-26 06:00 +0100 0=0"},
		{"a window inside the hour that is left out is empty", "Europe/Berlin",
			[]control.Schedule{window(at(2, 10), at(2, 50))}, "2025-03-29 23:00", "2025-03-30 22:00", ""},
		{"a window inside the hour that comes twice opens once", "Europe/Berlin",
			[]control.Schedule{window(at(2, 10), at(2, 50))}, "2025-10-25 22:00", "2025-10-26 22:00",
			"10-26 02:10 +0200 0=1\n10-26 02:50 +0200 0=0"},
		{"every eight hours on a day of 23 hours", "Europe/Berlin",
			[]control.Schedule{{Days: everyDay, Every: 480}}, "2025-03-29 23:00", "2025-03-30 22:00",
			"03-30 00:00 +0100 0=1\n03-30 09:00 +0200 0=1\n03-30 17:00 +0200 0=1\n03-31 00:00 +0200 0=1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := events(t, build(t, c.zone, c.schedules...), c.from, c.to); got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
		})
	}
}

// The sun's moments are those of calc/sun, which is checked against two astronomy libraries; here it is which date they
// belong to and what happens when there are none.
func TestSunMoments(t *testing.T) {
	bounded := on(control.AnchorSunrise, 0)
	bounded.NotBefore, bounded.NotAfter = 7*60, 9*60
	late := on(control.AnchorSunset, 0)
	late.NotAfter = 22 * 60
	dusk := on(control.AnchorSunBelow, 0)
	dusk.Elevation = -60
	for _, c := range []struct {
		name, zone string
		s          control.Schedule
		from, to   string
		want       string
	}{
		{"sunset less half an hour", "Europe/Vienna", moment(on(control.AnchorSunset, -30)), "2025-06-20 22:00", "2025-06-21 22:00",
			"06-21 20:28 +0200 0=1"},
		{"dusk of Saturday comes on Sunday's date", "Europe/Helsinki",
			control.Schedule{Days: 1 << 5, From: dusk}, "2025-06-20 00:00", "2025-06-23 20:00", "06-22 00:42 +0300 0=1"},
		{"sunrise between bounds, winter", "Europe/Vienna", moment(bounded), "2025-12-20 23:00", "2025-12-21 23:00", "12-21 07:42 +0100 0=1"},
		{"sunrise between bounds, summer", "Europe/Vienna", moment(bounded), "2025-06-20 22:00", "2025-06-21 22:00", "06-21 07:00 +0200 0=1"},
		{"no sunset on a polar day", "Europe/Oslo", moment(on(control.AnchorSunset, 0)), "2025-06-10 00:00", "2025-07-10 00:00", ""},
		{"no sunset in a polar night", "Europe/Oslo", moment(on(control.AnchorSunset, 0)), "2025-12-10 00:00", "2025-12-30 00:00", ""},
		{"not after 22:00 holds on a polar day", "Europe/Oslo", moment(late), "2025-06-21 00:00", "2025-06-21 22:00", "06-21 22:00 +0200 0=1"},
		{"bounds hold when the sun never rises", "Europe/Oslo", moment(bounded), "2025-12-21 00:00", "2025-12-21 23:00", "12-21 09:00 +0100 0=1"},
		{"bounds hold when the sun never sets", "Europe/Oslo", moment(bounded), "2025-06-21 00:00", "2025-06-21 22:00", "06-21 07:00 +0200 0=1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := events(t, build(t, c.zone, c.s), c.from, c.to); got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
		})
	}
}

func TestWindows(t *testing.T) {
	sunset, sunrise := on(control.AnchorSunset, 0), on(control.AnchorSunrise, 0)
	weekend := window(at(22, 0), at(8, 0))
	weekend.Days = 1<<4 | 1<<5 // opens on Friday and Saturday evening
	for _, c := range []struct {
		name, zone string
		s          control.Schedule
		from, to   string
		want       string
	}{
		{"night in Vienna", "Europe/Vienna", window(sunset, sunrise), "2025-06-21 12:00", "2025-06-22 12:00",
			"06-21 20:58 +0200 0=1\n06-22 04:54 +0200 0=0"},
		{"sunset to 22:00", "Europe/Vienna", window(sunset, at(22, 0)), "2025-12-21 00:00", "2025-12-22 00:00",
			"12-21 16:02 +0100 0=1\n12-21 22:00 +0100 0=0"},
		{"sunset to 20:00 is empty when the sun sets later", "Europe/Vienna", window(sunset, at(20, 0)), "2025-06-20 22:00", "2025-06-22 22:00", ""},
		{"06:00 to sunrise is empty when the sun is up", "Europe/Vienna", window(at(6, 0), sunrise), "2025-06-20 22:00", "2025-06-22 22:00", ""},
		{"22:00 to sunrise runs over midnight", "Europe/Vienna", window(at(22, 0), sunrise), "2025-12-20 12:00", "2025-12-21 12:00",
			"12-20 22:00 +0100 0=1\n12-21 07:42 +0100 0=0"},
		{"polar night: set all day, no edges", "Europe/Oslo", window(sunset, sunrise), "2025-12-05 00:00", "2025-12-30 00:00", ""},
		{"polar day: never set", "Europe/Oslo", window(sunset, sunrise), "2025-06-05 00:00", "2025-06-30 00:00", ""},
		{"sunset to 23:00 on a polar day", "Europe/Oslo", window(sunset, at(23, 0)), "2025-06-05 00:00", "2025-06-30 00:00", ""},
		{"sunset to 23:00 in a polar night begins at noon", "Europe/Oslo", window(sunset, at(23, 0)), "2025-12-20 23:00", "2025-12-21 23:00",
			"12-21 11:42 +0100 0=1\n12-21 23:00 +0100 0=0"},
		{"days are those of the opening", "Europe/Berlin", weekend, "2025-06-19 00:00", "2025-06-26 00:00", // 20 June 2025 is a Friday
			"06-20 22:00 +0200 0=1\n06-21 08:00 +0200 0=0\n06-21 22:00 +0200 0=1\n06-22 08:00 +0200 0=0"},
		{"windows that touch are one", "Europe/Berlin",
			control.Schedule{Window: true, Days: 1<<5 | 1<<6, From: at(0, 0), To: at(24, 0)}, "2025-06-19 00:00", "2025-06-26 00:00",
			"06-21 00:00 +0200 0=1\n06-23 00:00 +0200 0=0"},
		{"all day every day has no edge", "Europe/Berlin", window(at(8, 0), at(8, 0)), "2025-06-19 00:00", "2025-06-26 00:00", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := events(t, build(t, c.zone, c.s), c.from, c.to); got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
		})
	}
}

func TestState(t *testing.T) {
	night := window(on(control.AnchorSunset, 0), on(control.AnchorSunrise, 0))
	day := window(on(control.AnchorSunrise, 0), on(control.AnchorSunset, 0))
	for _, c := range []struct {
		at         string
		night, day int32
	}{
		{"2025-12-21 03:00", 1, 0}, {"2025-12-21 10:42", 1, 0}, {"2025-12-21 20:00", 1, 0}, // polar night
		{"2025-06-21 03:00", 0, 1}, {"2025-06-21 23:30", 0, 1}, // polar day
		{"2025-03-20 12:00", 0, 1}, {"2025-03-20 23:00", 1, 0},
	} {
		when, _ := time.Parse("2006-01-02 15:04", c.at)
		got := build(t, "Europe/Oslo", night, moment(at(12, 0)), day).State(when)
		if got[0] != c.night || got[1] != 0 || got[2] != c.day {
			t.Errorf("%s: %v", c.at, got)
		}
	}
}

func TestDateRanges(t *testing.T) {
	winter := moment(at(12, 0))
	winter.First, winter.Last = 1201, 103 // every year, over New Year
	once := moment(at(12, 0))
	once.First, once.Last = 20260101, 20260102
	leap := moment(at(12, 0))
	leap.First, leap.Last = 229, 229
	a := build(t, "Europe/Berlin", winter, once, leap)
	if got, want := events(t, a, "2025-11-28 00:00", "2025-12-02 00:00"), "12-01 12:00 +0100 0=1"; got != want {
		t.Errorf("got %s", got)
	}
	if got, want := events(t, a, "2026-01-01 00:00", "2026-06-01 00:00"),
		"01-01 12:00 +0100 0=1\n01-01 12:00 +0100 1=1\n01-02 12:00 +0100 0=1\n01-02 12:00 +0100 1=1\n01-03 12:00 +0100 0=1"; got != want {
		t.Errorf("got\n%s", got)
	}
	when, _ := build(t, "Europe/Berlin", leap).Next(time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC))
	if when.Format("2006-01-02") != "2028-02-29" {
		t.Errorf("leap day: %s", when)
	}
	if when, changes := build(t, "Europe/Berlin", once).Next(time.Date(2026, 2, 1, 0, 0, 0, 0, time.UTC)); !when.IsZero() || changes != nil {
		t.Errorf("after the last date: %s %v", when, changes)
	}
	if when, _ := build(t, "Europe/Berlin", once).Next(time.Date(1990, 2, 1, 0, 0, 0, 0, time.UTC)); when.Year() != 2026 {
		t.Errorf("a first date far ahead: %s", when)
	}
}

func TestNewSaysWhatIsWrong(t *testing.T) {
	contradiction := on(control.AnchorSunset, 0)
	contradiction.NotBefore, contradiction.NotAfter = 22*60, 20*60
	for _, c := range []struct {
		s    control.Schedule
		want string
	}{
		{control.Schedule{}, "no day of the week"},
		{control.Schedule{Days: 127, Every: 5, Window: true}, "exclude each other"},
		{control.Schedule{Days: 127, Every: 1441}, "1 to 1440 minutes"},
		{control.Schedule{Days: 127, From: at(0, 0), First: 20250230}, "yyyymmdd"},
		{control.Schedule{Days: 127, From: at(0, 0), First: 20250201, Last: 301}, "either both"},
		{control.Schedule{Days: 127, From: at(0, 0), First: 20250201, Last: 20250101}, "before the first"},
		{control.Schedule{Days: 127, From: at(25, 0)}, "minutes after midnight"},
		{control.Schedule{Days: 127, From: on(control.AnchorSunset, 800)}, "12 hours"},
		{control.Schedule{Days: 127, From: contradiction}, "neither before 22:00 nor after 20:00"},
		{control.Schedule{Days: 127, Window: true, From: at(1, 0), To: control.Anchor{Kind: 9}}, "unknown anchor"},
	} {
		_, err := New(sun.Place{}, "Europe/Berlin", []control.Schedule{moment(at(1, 0)), c.s})
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "schedule 1") {
			t.Errorf("%+v: %v, want %q", c.s, err, c.want)
		}
	}
	for _, zone := range []string{"", "Local", "Europe/Nowhere", "CEST"} {
		if _, err := New(sun.Place{}, zone, nil); err == nil || !strings.Contains(err.Error(), "IANA") {
			t.Errorf("zone %q: %v", zone, err)
		}
	}
	_, err := New(sun.Place{Latitude: 99}, "nowhere", []control.Schedule{{}})
	if err == nil || strings.Count(err.Error(), "\n") != 2 {
		t.Errorf("three mistakes, all at once: %v", err)
	}
}
