package control

import "math/bits"

// trailing returns the number of the lowest bit that is set.
func trailing(set uint64) int { return bits.TrailingZeros64(set) }

// advance lets time pass. Clocks that run out on the way do so in order of time, and at one moment in the order of the
// state, each in an instant of its own.
func (r *run) advance(elapsed int32) {
	if elapsed == 0 {
		return
	}
	clocks := r.p.Clocks(r.s)
	for left, n := elapsed, 0; left > 0; {
		due := soonest(clocks)
		if due == 0 || due > left {
			pass(clocks, left)
			return
		}
		left -= due
		for i := range clocks {
			switch {
			case clocks[i] == due:
				clocks[i] = expiring
			case clocks[i] > 0:
				clocks[i] -= due
			}
		}
		for i := range clocks {
			if clocks[i] != expiring {
				continue
			}
			if n++; n > MaxExpiries {
				r.fault(FaultTime, -1)
				stall(clocks)
				return
			}
			clocks[i] = 0
			r.expire(i)
			r.settle()
		}
	}
}

// expiring marks a clock that has run out in this moment; one that is stopped or started anew before its turn does not.
const expiring int32 = -1

// pass takes ms from every clock that runs.
func pass(clocks []int32, ms int32) {
	for i, c := range clocks {
		if c > 0 {
			clocks[i] = c - ms
		}
	}
}

// stall gives clocks whose turn did not come 1 ms more, after too many in one Step.
func stall(clocks []int32) {
	for i := range clocks {
		if clocks[i] == expiring {
			clocks[i] = 1
		}
	}
}

// expire does what clock i was for.
func (r *run) expire(i int) {
	l := &r.ix.lay
	switch at := l.clocks + i; {
	case at < l.timer:
		r.steady(at - l.debounce)
	case at < l.phase:
		r.timerExpired(int16(at - l.timer))
	case at < l.motor:
		r.phaseExpired(at - l.phase)
	case at < l.level:
		r.motorExpired(r.ix.motors[at-l.motor])
	case at < l.regulator:
		r.levelArrived(r.ix.levels[at-l.level])
	default:
		r.regulatorExpired((at-l.regulator)/2, (at-l.regulator)%2)
	}
}
