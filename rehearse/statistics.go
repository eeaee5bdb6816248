package rehearse

import "slices"

// Statistics counts what a rehearsal did.
type Statistics struct {
	Happenings int `json:"happenings"` // entries of the queue carried out
	Steps      int `json:"steps"`      // steps of control programs
	Presses    int `json:"presses"`
	States     int `json:"states"`   // values published while connected
	Commands   int `json:"commands"` // commands from controller to controller
	Legs       int `json:"legs"`     // messages over one leg, to or from the broker
	Lost       int `json:"lost"`
	Doubled    int `json:"doubled"`
	Expired    int `json:"expired"` // commands that came too late
	Dropped    int `json:"dropped"` // commands for which there was no room
	Notices    int `json:"notices"`

	Answers   int    `json:"answers"`   // outputs that answered a key
	Worst     int64  `json:"worst"`     // slowest answer, ms from the key moving to the output
	WorstName string `json:"worstName"` // which output
	Median    int64  `json:"median"`    // ms
	Slow      int    `json:"slow"`      // answers above 200 ms, which people notice

	latencies []int32
}

// slowAnswer is from when people notice a delay, ms (common practice, no source).
const slowAnswer = 200

// latenciesMost bounds what the median is taken of.
const latenciesMost = 200_000

// countLatency notes that an output answered a key.
func (r *Rehearsal) countLatency(edge int64, name string) {
	if edge < 0 {
		return
	}
	s := &r.stats
	late := r.now - edge
	s.Answers++
	if late > s.Worst || s.WorstName == "" {
		s.Worst, s.WorstName = late, name
	}
	if late > slowAnswer {
		s.Slow++
	}
	if len(s.latencies) < latenciesMost {
		s.latencies = append(s.latencies, int32(late))
	}
}

// Statistics are the counts so far.
func (r *Rehearsal) Statistics() Statistics {
	s := r.stats
	if list := slices.Clone(s.latencies); len(list) > 0 {
		slices.Sort(list)
		s.Median = int64(list[len(list)/2])
	}
	s.latencies = nil
	return s
}
