package allot

import (
	"fmt"
	"math"

	"wirewright/check"
	"wirewright/house"
	"wirewright/unit"
)

// reach measures the cable of lines along the walls, by check.Router, and remembers what had to be measured otherwise.
type reach struct {
	router *check.Router
	along  int // taps whose cable was measured along the axes
	first  house.ID
	why    string
}

// spotOf is where a module will be reached by a cable.
func (j *job) spotOf(id house.ID) check.Spot {
	m := j.moduleFor(id)
	switch {
	case m == nil || m.At != nil:
		return check.Spot{Kind: "module", ID: id}
	case m.Board != "":
		return check.Spot{Kind: "board", ID: m.Board}
	case m.Point != "":
		return check.Spot{Kind: "point", ID: m.Point}
	}
	return check.Spot{Kind: "module", ID: id}
}

// cable is the length of bus cable from one spot to a module, with what is lost at the tap: along the walls where there is
// a way, else along the axes between their places.
func (j *job) cable(from check.Spot, a house.XYZ, id house.ID, b house.XYZ) unit.Length {
	if j.reach.router == nil {
		j.reach.router = check.NewRouter(j.house)
	}
	to := j.spotOf(id)
	w := j.reach.router.Way(from, to)
	metres := w.Length.M()
	if !w.Reached {
		metres = distance(a, b)
		j.reach.along++
		if j.reach.first == "" {
			j.reach.first, j.reach.why = id, w.Note
		}
	}
	return unit.Metres(math.Round((metres+tail)*10) / 10)
}

// tellReach notes which lengths are not those of ways along walls.
func (j *job) tellReach() {
	if n := j.reach.along; n > 0 {
		j.result.Notes = append(j.result.Notes, fmt.Sprintf("the bus cable to %d modules, the first of them %s, is measured along the axes and may be longer: %s",
			n, j.reach.first, j.reach.why))
	}
}
