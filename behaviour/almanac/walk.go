package almanac

import "time"

// Walk goes through the events of an almanac in order. It remembers what it has worked out, which makes it the cheap way
// to run a calendar; it is for one goroutine.
type Walk struct {
	finder finder
	next   []edge // of each schedule
}

// edge is the next thing that happens to one schedule; a zero time for nothing.
type edge struct {
	at    time.Time
	value int32
}

// Walk begins after an instant.
func (a *Almanac) Walk(after time.Time) *Walk {
	w := &Walk{finder: finder{Almanac: a}, next: make([]edge, len(a.schedules))}
	for i := range w.next {
		w.next[i] = w.finder.after(i, after)
	}
	return w
}

// Peek is when the next event comes; the zero time if none does.
func (w *Walk) Peek() time.Time {
	var first time.Time
	for _, e := range w.next {
		if !e.at.IsZero() && (first.IsZero() || e.at.Before(first)) {
			first = e.at
		}
	}
	return first
}

// Next is the next event, after which the walk stands behind it; the zero time if none comes any more.
func (w *Walk) Next() (time.Time, []Change) {
	at := w.Peek()
	if at.IsZero() {
		return at, nil
	}
	var changes []Change
	for i, e := range w.next {
		if e.at.Equal(at) {
			changes = append(changes, Change{i, e.value})
			w.next[i] = w.finder.after(i, at)
		}
	}
	return at, changes
}

// after finds what happens next to a schedule.
func (f *finder) after(i int, t time.Time) edge {
	s := &f.schedules[i]
	d := dateOf(t, f.zone) - reachBack
	if s.First >= 10000 {
		first := time.Date(int(s.First/10000), time.Month(s.First/100%100), int(s.First%100), 0, 0, 0, 0, time.UTC)
		d = max(d, date(first.Unix()/86400))
	}
	switch {
	case s.Every > 0:
		return f.afterPeriod(i, d, t)
	case s.Window:
		return f.afterWindow(i, d, t)
	}
	return f.afterMoment(i, d, t)
}

// dates calls visit for the dates from d on which a schedule may happen, until it returns false or the bounds are met.
func (f *finder) dates(i int, d date, visit func(date) bool) {
	met := 0
	for end := d + horizonAll; d < end && met < horizonDates; d++ {
		if last := f.schedules[i].Last; last >= 10000 && d.number() > last {
			return
		}
		if !f.applies(&f.schedules[i], d) {
			continue
		}
		if met++; !visit(d) {
			return
		}
	}
}

// afterMoment finds the next moment.
func (f *finder) afterMoment(i int, d date, t time.Time) (next edge) {
	f.dates(i, d, func(d date) bool {
		if at, ok := f.moment(i, d); ok && at.After(t) {
			next = edge{at, 1}
			return false
		}
		return true
	})
	return next
}

// afterPeriod finds the next multiple of the period, counted from the first instant of its date.
func (f *finder) afterPeriod(i int, d date, t time.Time) (next edge) {
	every := time.Duration(f.schedules[i].Every) * time.Minute
	f.dates(i, d, func(d date) bool {
		at, end := d.instant(0, f.zone), (d+1).instant(0, f.zone)
		if !at.After(t) {
			at = at.Add((t.Sub(at)/every + 1) * every)
		}
		if at.Before(end) {
			next = edge{at, 1}
			return false
		}
		return true
	})
	return next
}

// afterWindow finds the next edge of the windows, those that touch taken as one.
func (f *finder) afterWindow(i int, d date, t time.Time) (next edge) {
	var open span // the window that holds t or opens after it, as far as it is known
	f.dates(i, d, func(d date) bool {
		s, ok := f.window(i, d)
		switch {
		case !ok || !s.to.After(t):
			return true
		case !open.to.IsZero() && s.from.After(open.to):
			next = edge{open.to, 0}
			return false
		}
		if open.to.IsZero() {
			open = s
		}
		if s.to.After(open.to) {
			open.to = s.to
		}
		if open.from.After(t) {
			next = edge{open.from, 1}
			return false
		}
		return true
	})
	if next.at.IsZero() && f.ends(i, open) {
		next = edge{open.to, 0}
	}
	return next
}

// ends tells whether a window that was open at the end of the search ends where the search found its end: it does if the
// schedule no longer applies on the days after.
func (f *finder) ends(i int, open span) bool {
	if open.to.IsZero() {
		return false
	}
	last := dateOf(open.to, f.zone)
	for d := last; d <= last+reachAhead; d++ {
		if s, ok := f.window(i, d); ok && !s.from.After(open.to) && s.to.After(open.to) {
			return false
		}
	}
	return true
}
