package rehearse

import (
	"math"

	"wirewright/calc/room"
	"wirewright/calc/sun"
	"wirewright/control"
)

// weatherStep is how often weather and rooms move on, ms.
const weatherStep = 10 * 60 * 1000

// liveRoom is one room with what warms and lights it.
type liveRoom struct {
	id       string
	air      float64 // °C
	shape    room.FirstOrder
	valves   []place
	shutters []place
	lamps    []place
	windows  []place // contacts
}

// furnish makes the rooms of the house that hold something the programs move or read. Loss and time constant are those of
// a usual room (common practice, no source).
func (r *Rehearsal) furnish() {
	rooms := map[string]*liveRoom{}
	for _, name := range r.names {
		point := r.points[name]
		if point == nil || point.Room == "" {
			continue
		}
		id := string(point.Room)
		if rooms[id] == nil {
			rooms[id] = &liveRoom{id: id, air: 20, shape: room.FirstOrder{Loss: 25, Constant: 40}}
			r.live.rooms = append(r.live.rooms, rooms[id])
		}
		rm, p := rooms[id], r.owner[name]
		switch point.Kind {
		case "valve":
			rm.valves = append(rm.valves, p)
		case "shutter":
			rm.shutters = append(rm.shutters, p)
		case "lamp":
			rm.lamps = append(rm.lamps, p)
		case "contact":
			rm.windows = append(rm.windows, p)
		}
	}
}

// weatherMoves lets clouds, wind, light and rooms go on, and the sensors read them.
func (r *Rehearsal) weatherMoves() {
	l := r.live
	l.cloud = clamp(l.cloud+l.weather.between(-120, 120), 0, 1000)
	l.wind = clamp(l.wind+l.weather.between(-15, 15), 0, 250)
	now := r.Now().In(r.calendar.Zone())
	day, hour := float64(now.YearDay()), float64(now.Hour())+float64(now.Minute())/60
	l.outside = 10 - 10*math.Cos(2*math.Pi*(day-20)/365) + 5*math.Sin(2*math.Pi*(hour-9)/24) - float64(l.cloud)/500
	for _, rm := range l.rooms {
		r.roomMoves(rm)
	}
	daylight := r.daylight()
	for _, p := range l.sensors {
		if !r.controllers[p.who].slots[p.slot].pinned {
			r.setInput(p, r.reading(p, daylight))
		}
	}
}

// roomMoves lets one room go on for a step.
func (r *Rehearsal) roomMoves(rm *liveRoom) {
	heat := 150.0 // people and devices, W
	for _, p := range rm.valves {
		w := &r.controllers[p.who].slots[p.slot]
		share := float64(w.actuator.value) / 1000
		if r.controllers[p.who].program.Slots[p.slot].Kind == control.SlotSwitch {
			share = float64(w.actuator.value)
		}
		heat += 900 * share
	}
	shape := rm.shape
	for _, p := range rm.windows {
		if r.controllers[p.who].slots[p.slot].raw == 1 {
			shape.Loss *= 3
			shape.Constant /= 3
			break
		}
	}
	air := shape.Step(rm.air, r.live.outside, heat, float64(weatherStep)/3_600_000)
	rm.air = math.Round(air*1000) / 1000 // so that the last bits of a float decide nothing
}

// daylight is the illuminance outdoors in lux: a plain curve of elevation and cloud (own, for rehearsal only).
func (r *Rehearsal) daylight() float64 {
	place := sun.Place{}
	if h := r.options.House; h != nil {
		place = sun.Place{Latitude: h.Site.Latitude.Deg(), Longitude: h.Site.Longitude.Deg()}
	}
	e := sun.Position(place, r.Now()).Elevation
	switch {
	case e <= sun.Civil:
		return 0
	case e <= 0:
		return 400 * (e - sun.Civil) / -sun.Civil
	}
	clear := 1 - 0.75*float64(r.live.cloud)/1000
	return 400 + 100_000*math.Pow(math.Sin(e*math.Pi/180), 1.2)*clear
}

// reading is what a sensor reads now, in the steps of package control.
func (r *Rehearsal) reading(p place, daylight float64) int32 {
	l := r.live
	s := &r.controllers[p.who].program.Slots[p.slot]
	rm := r.roomOf(s.Name)
	switch {
	case l.rain[p]:
		if l.cloud > 900 {
			return 1
		}
		return 0
	case s.Quantity == control.QuantityWind:
		return int32(l.wind)
	case s.Quantity == control.QuantityTemperature && rm != nil:
		return int32(math.Round(rm.air*10)) * 10
	case s.Quantity == control.QuantityTemperature:
		return int32(math.Round(l.outside*10)) * 10
	case s.Quantity == control.QuantityLight && rm != nil:
		return int32(math.Round(daylight*0.02*r.openness(rm))) + 150*r.lit(rm)
	case s.Quantity == control.QuantityLight:
		return int32(math.Round(daylight))
	}
	return r.controllers[p.who].slots[p.slot].raw // counters stay as they are
}

// roomOf finds the room of a point.
func (r *Rehearsal) roomOf(name string) *liveRoom {
	point := r.points[name]
	if point == nil {
		return nil
	}
	for _, rm := range r.live.rooms {
		if rm.id == string(point.Room) {
			return rm
		}
	}
	return nil
}

// openness is how much of the daylight the shutters of a room let in, 0 to 1.
func (r *Rehearsal) openness(rm *liveRoom) float64 {
	if len(rm.shutters) == 0 {
		return 1
	}
	sum := 0.0
	for _, p := range rm.shutters {
		a := &r.controllers[p.who].slots[p.slot].actuator
		a.travel(r.now)
		sum += 1 - float64(a.position)/full
	}
	return sum / float64(len(rm.shutters))
}

// lit counts the lamps of a room that are on.
func (r *Rehearsal) lit(rm *liveRoom) int32 {
	n := int32(0)
	for _, p := range rm.lamps {
		if r.controllers[p.who].slots[p.slot].actuator.value != 0 {
			n++
		}
	}
	return n
}

func clamp(v, least, most int64) int64 { return max(least, min(most, v)) }
