package rehearse

import (
	"time"

	"wirewright/catalogue"
	"wirewright/control"
	"wirewright/house"
	"wirewright/unit"
)

// Options is what a rehearsal is made of. Programs are required and must have been checked; everything else may be left
// out.
type Options struct {
	House     *house.House         // place, zone, lines, travel times; nil for none
	Catalogue *catalogue.Catalogue // tells wired modules from Wi-Fi; nil: heads of lines have a cable, others radio
	Programs  []*control.Program   // one a controller
	Seed      uint64
	Network   *Network  // nil for UsualNetwork
	Physics   Physics   //
	Start     time.Time // wall clock at the start; the zero time stands for 2026-03-02 12:00 in the house's zone, a Monday
	Trace     int       // most entries that the trace keeps, the newest; 0 for TraceUsual
}

// TraceUsual is how many entries a trace keeps.
const TraceUsual = 200_000

// Link is one leg of the data network, between a controller and the broker. The latency is drawn between Least and twice
// Typical less Least, evenly; TailShare of a thousand are drawn up to Tail instead. Messages of one controller do not
// overtake each other in one direction, save for those that Overtake draws.
type Link struct {
	Least, Typical, Tail unit.Duration
	TailShare            int // of a thousand
	Loss                 int // of a thousand: the message is gone for good (a client that drops its buffer)
	Double               int // of a thousand: the message comes twice
	Overtake             int // of a thousand: the message does not keep the order
}

// Network is how fast and how faultily the house carries signals.
type Network struct {
	WiFi  Link
	Cable Link          // controllers with a cable: heads of lines
	Cycle unit.Duration // bus cycle of a wired line: inputs and outputs take up to this
	Watch unit.Duration // after which a bus module stops its motors without a head
	Keep  unit.Duration // after which a lost connection is noticed
	Will  unit.Duration // after which, beyond Keep, the others are told
	Retry unit.Duration // longest wait before a controller connects again; at least half of it passes
}

// UsualNetwork is a house network on a usual day: no loss, for TCP repeats what the radio loses, and that is the tail
// (common practice, no source).
func UsualNetwork() *Network {
	return &Network{
		WiFi:  Link{Least: 2, Typical: 8, Tail: 250, TailShare: 10},
		Cable: Link{Least: 1, Typical: 1, Tail: 5, TailShare: 1},
		Cycle: 10, Watch: 1000, Keep: 15_000, Will: 5_000, Retry: 4_000,
	}
}

// Physics is how far the things that are moved differ from their data; zero for not at all.
type Physics struct {
	Spread int           // of a thousand: how far true travel times may lie from those in the house
	Lag    unit.Duration // longest time from a motor relay closing to the curtain moving
}
