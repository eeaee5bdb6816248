package handover

import (
	"fmt"
	"strings"
	"unicode"

	"wirewright/house"
)

// letters are the two-letter classes of IEC 81346-2 by kind of point (from memory).
var letters = map[house.Kind]string{
	house.Lamp: "EA", house.Shutter: "MA", house.Awning: "MA", house.Valve: "MB", house.Socket: "XD", house.Fan: "GQ", house.Gate: "MA",
	house.Contactor: "QA", house.Keypad: "SF", house.Contact: "BG", house.Presence: "BG", house.Thermometer: "BT", house.Light: "BR",
	house.Wind: "BS", house.Rain: "BM", house.Meter: "BE",
}

// Designations gives every point, module and board its reference designation (IEC 81346): the location after a plus
// sign (storey and room number), the product after a minus sign (class letters and a number counted through the room).
func Designations(h *house.House) map[house.ID]string {
	location := map[house.ID]string{}
	for i, s := range h.Storeys {
		n := 0
		for _, r := range h.Rooms {
			if r.Storey != s.ID {
				continue
			}
			n++
			number := plainNumber(r.Number)
			if number == "" {
				number = fmt.Sprintf("%02d", n)
			}
			location[r.ID] = fmt.Sprintf("+S%d.%s", i, strings.ToUpper(number))
		}
	}
	d := counter{h: map[house.ID]string{}, n: map[string]int{}}
	for _, b := range h.Boards {
		d.give(b.ID, location[b.Room], "UC")
	}
	points := map[house.ID]house.ID{}
	for _, p := range h.Points {
		points[p.ID] = p.Room
		class := letters[p.Kind]
		if class == "" {
			class = "K"
		}
		d.give(p.ID, location[p.Room], class)
	}
	for _, m := range h.Modules {
		at := location[m.Room]
		if r, ok := points[m.Point]; ok {
			at = location[r]
		}
		if m.Board != "" {
			at = d.h[m.Board]
		}
		d.give(m.ID, at, "KF")
	}
	return d.h
}

// plainNumber leaves of a room number what a designation may hold: letters, digits and dots, so that its signs keep their
// meaning.
func plainNumber(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '.' {
			return r
		}
		return -1
	}, s)
}

// counter gives designations, counting through each class of each location.
type counter struct {
	h map[house.ID]string
	n map[string]int
}

func (c *counter) give(id house.ID, location, class string) {
	key := location + "-" + class
	c.n[key]++
	c.h[id] = fmt.Sprintf("%s%d", key, c.n[key])
}
