package agent

import (
	"time"

	"wirewright/behaviour/almanac"
	"wirewright/calc/sun"
	"wirewright/control"
	"wirewright/site/wire"
)

// calendar drives the clock slots of a program. Without a place it drives none: a controller that does not know where it
// is does nothing by the sun or the clock, and says so on its card by the fault that it has told.
type calendar struct {
	almanac *almanac.Almanac
	walk    *almanac.Walk
	slots   [][]int16 // by schedule
	start   time.Time
}

// slotValue is what a clock slot becomes.
type slotValue struct {
	slot  int16
	value int32
}

// newCalendar begins at an instant.
func newCalendar(place *wire.Place, p *control.Program, now time.Time) calendar {
	c := calendar{slots: make([][]int16, len(p.Schedules)), start: now}
	for i := range p.Slots {
		if s := &p.Slots[i]; s.Kind == control.SlotClock && s.Schedule >= 0 && int(s.Schedule) < len(c.slots) {
			c.slots[s.Schedule] = append(c.slots[s.Schedule], int16(i))
		}
	}
	if place == nil || len(p.Schedules) == 0 {
		return c
	}
	at := sun.Place{Latitude: float64(place.Latitude) / 1e6, Longitude: float64(place.Longitude) / 1e6}
	a, err := almanac.New(at, place.Zone, p.Schedules)
	if err != nil {
		return c // the commissioning side made both with the same package: a place that it sent is sound
	}
	c.almanac, c.walk = a, a.Walk(now)
	return c
}

// state is what the windows stand at at the beginning.
func (c *calendar) state() []slotValue {
	if c.almanac == nil {
		return nil
	}
	var list []slotValue
	for i, v := range c.almanac.State(c.start) {
		for _, s := range c.slots[i] {
			list = append(list, slotValue{s, v})
		}
	}
	return list
}

// peek is when the calendar next has something; the zero time for never.
func (c *calendar) peek() time.Time {
	if c.walk == nil {
		return time.Time{}
	}
	return c.walk.Peek()
}

// due takes what has come by an instant.
func (c *calendar) due(now time.Time) []slotValue {
	var list []slotValue
	for at := c.peek(); !at.IsZero() && !at.After(now); at = c.peek() {
		_, changes := c.walk.Next()
		for _, ch := range changes {
			for _, s := range c.slots[ch.Schedule] {
				list = append(list, slotValue{s, ch.Value})
			}
		}
	}
	return list
}
