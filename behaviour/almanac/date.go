package almanac

import "time"

// date is a calendar date as days since 1970-01-01.
type date int64

// dateOf is the calendar date of an instant in a zone.
func dateOf(t time.Time, zone *time.Location) date {
	y, m, d := t.In(zone).Date()
	return date(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// utc is the date's midnight in UTC: the carrier of calendar arithmetic, not an instant of the house.
func (d date) utc() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// number is the date as yyyymmdd.
func (d date) number() int32 {
	y, m, day := d.utc().Date()
	return int32(y*10000 + int(m)*100 + day)
}

// weekday counts from 0 for Monday.
func (d date) weekday() int { return (int(d.utc().Weekday()) + 6) % 7 }

// instant finds when a wall clock of the zone shows so many minutes after midnight of the date: the first time that it
// does, or the jump over it where it never does.
func (d date) instant(minute int, zone *time.Location) time.Time {
	wall := int64(d)*86400 + int64(minute)*60 // seconds, read as if the zone were UTC
	before, after := offset(wall-86400, zone), offset(wall+86400, zone)
	first := wall - max(before, after) // the larger offset gives the earlier instant
	for _, u := range []int64{first, wall - min(before, after)} {
		if u+offset(u, zone) == wall {
			return time.Unix(u, 0).UTC()
		}
	}
	jump, _ := time.Unix(wall-before, 0).In(zone).ZoneBounds() // counted on the old clock it lies after the jump
	return jump.UTC()
}

// offset is how many seconds the zone is ahead of UTC at an instant.
func offset(unix int64, zone *time.Location) int64 {
	_, o := time.Unix(unix, 0).In(zone).Zone()
	return int64(o)
}

// exists tells whether the zone had the date at all; a change of the date line can skip one.
func (d date) exists(zone *time.Location) bool { return dateOf(d.instant(0, zone), zone) == d }
