// Package furnish gives the rooms of a house their points, from room data sheets: the trade's lists of what each kind of room
// gets. So a building model that was just brought in becomes a house with lamps, keys, shutters and valves in one call.
//
// Sheets flow in as data: a built-in set (sheets.yaml), and sheets of the user's own, which replace those of the same use.
// The house flows in with rooms, openings and walls; Furnish looks up the sheet of each room's use, finds the places that the
// sheet speaks of (the ceiling, the latch side of each door, each window, under the largest window), and makes points there
// with loads, boxes, travel times and circuits. It never changes the house that it is given: it returns a new one, the
// changes that lead to it, and remarks on all that was assumed or left out.
//
// What is there already is kept: a room that has a lamp gets no second one, a window with a shutter no second shutter, a door
// with keys near it no second keys. Points that have neither box nor circuit get them, as an assumption.
//
// Heights and distances of the built-in sheets (keys 1.05 m above the floor and 0.15 m beside the door, on its latch side) are
// common practice, no source; so are loads, travel times and cables. Every assumption is written into a note, because it is
// the person on site who knows.
package furnish
