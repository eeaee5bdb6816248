package allot

import (
	"fmt"
	"math"

	"wirewright/catalogue"
	"wirewright/house"
)

// decide sorts the points that have not landed: to a board, into a room, or to the open list with the reason.
func (j *job) decide() {
	for i := range j.house.Points {
		p := &j.house.Points[i]
		if j.landed(p) {
			continue
		}
		it := item{point: p, channels: max(1, len(p.Keys))}
		wiring, of := j.wiring(p)
		switch {
		case wiring == house.WiringNone:
			j.byRadio(it, of)
		case wiring == house.WiringStar && (p.Kind.Moved() || p.Fitted):
			j.toBoard(it, of)
		default:
			j.decided(p, catalogue.Wired, fmt.Sprintf("%s has a bus cable", of))
			j.gather(it, catalogue.Wired)
		}
	}
}

// landed tells whether a point needs no landing, or no more; a keypad needs one for each key.
func (j *job) landed(p *house.Point) bool {
	if p.Plain {
		return true
	}
	n := len(j.index.LandingsOf(p.ID))
	return n > 0 && n >= len(p.Keys)
}

// wiring is the control wiring that reaches a point, and whose word it is.
func (j *job) wiring(p *house.Point) (house.Wiring, string) {
	if p.Wiring != "" {
		return p.Wiring, "the point"
	}
	if r := j.index.Room(p.Room); r != nil && r.Wiring != "" {
		return r.Wiring, "its room"
	}
	return house.WiringNone, "its room"
}

func (j *job) decided(p *house.Point, m catalogue.Medium, why string) {
	j.result.Decisions = append(j.result.Decisions, Decision{p.ID, m, why})
}

func (j *job) open(p *house.Point, reason, remedy string) {
	j.result.Open = append(j.result.Open, Open{p.ID, reason, remedy})
}

func (j *job) gather(it item, m catalogue.Medium) {
	k := groupKey{it.point.Room, m}
	j.inRooms[k] = append(j.inRooms[k], it)
}

// byRadio takes a point without control wiring: its module is fed from the mains in its box, so a neutral must be there.
func (j *job) byRadio(it item, of string) {
	p := it.point
	switch {
	case p.Box == nil:
		j.open(p, "no control wiring reaches it, and no box is noted", "look into the box: note its depth and whether a neutral is there")
	case !p.Box.Neutral && p.Kind.Moved():
		j.open(p, "no control wiring reaches it, and its box has no neutral", "lay a neutral to the box, or land it on a module in another box by a cable")
	default:
		why := fmt.Sprintf("%s has no control wiring; the box has a neutral", of)
		if !p.Box.Neutral {
			why = fmt.Sprintf("%s has no control wiring; it lands on a module in another box", of)
		}
		j.decided(p, catalogue.WiFi, why)
		j.gather(it, catalogue.WiFi)
	}
}

// toBoard takes a point whose cable runs to a board.
func (j *job) toBoard(it item, of string) {
	p := it.point
	board := j.boardFor(p)
	if board == "" {
		j.open(p, "its cable runs to a board, but the house has none", "add the board")
		return
	}
	j.decided(p, catalogue.Wired, fmt.Sprintf("%s has a cable from every point to board %s", of, board))
	j.atBoard[board] = append(j.atBoard[board], it)
}

// nearestBoard is the board nearest to a point; boards of other storeys count their height; ties go to the first.
func (j *job) nearestBoard(p *house.Point) house.ID {
	best, least := house.ID(""), math.Inf(1)
	for _, b := range j.house.Boards {
		d := 0.0
		if b.At != nil && p.At != nil {
			d = math.Abs(b.At.X-p.At.X) + math.Abs(b.At.Y-p.At.Y) + math.Abs(b.At.Z-p.At.Z)
		}
		if d < least {
			best, least = b.ID, d
		}
	}
	return best
}
