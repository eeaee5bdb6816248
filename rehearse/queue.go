package rehearse

import (
	"cmp"
	"slices"
)

// kind is what happens.
type kind uint8

const (
	happensDue     kind = iota // a timer of a controller runs out
	happensInput               // an input reaches its controller
	happensOutput              // an output or motor command reaches its channel
	happensUp                  // a message reaches the broker
	happensDown                // a message reaches a controller
	happensNotice              // a controller notices that its connection is gone
	happensWill                // the broker tells the others that a controller is gone
	happensConnect             // a controller connects
	happensWatch               // a bus module has not heard its head for too long
	happensClock               // the calendar
	happensKey                 // a person lets go of, or presses, a key
	happensAct                 // a person does something next
	happensBack                // a door closes, a person leaves
	happensWeather             // weather and rooms move on
	happensTrouble             // something breaks
	happensRepair              // it works again
)

// happening is one entry of the queue.
type happening struct {
	at    int64 // ms since the rehearsal began
	seq   uint64
	kind  kind
	slot  int16
	who   int32 // controller, module or component
	value int32
	time  int32
	gen   uint32 // happenings that were overtaken by events carry an old generation
	msg   message
}

// queue is a binary heap by time, then by number.
type queue struct {
	heap []happening
	seq  uint64
}

func (q *queue) before(i, j int) bool {
	a, b := &q.heap[i], &q.heap[j]
	return a.at < b.at || a.at == b.at && a.seq < b.seq
}

// push adds a happening behind all of the same time.
func (q *queue) push(h happening) {
	q.seq++
	h.seq = q.seq
	q.heap = append(q.heap, h)
	for i := len(q.heap) - 1; i > 0; {
		up := (i - 1) / 2
		if !q.before(i, up) {
			return
		}
		q.heap[i], q.heap[up] = q.heap[up], q.heap[i]
		i = up
	}
}

// pop takes the first happening that comes at or before a time.
func (q *queue) pop(until int64) (happening, bool) {
	if len(q.heap) == 0 || q.heap[0].at > until {
		return happening{}, false
	}
	first := q.heap[0]
	last := len(q.heap) - 1
	q.heap[0] = q.heap[last]
	q.heap = q.heap[:last]
	for i := 0; ; {
		least := i
		for c := 2*i + 1; c <= 2*i+2 && c < last; c++ {
			if q.before(c, least) {
				least = c
			}
		}
		if least == i {
			return first, true
		}
		q.heap[i], q.heap[least] = q.heap[least], q.heap[i]
		i = least
	}
}

// clear empties the queue; numbers go on.
func (q *queue) clear() { q.heap = q.heap[:0] }

// drop takes out everything of some kinds; the rest keeps its order.
func (q *queue) drop(kinds ...kind) {
	old := append([]happening(nil), q.heap...)
	q.heap = q.heap[:0]
	slices.SortFunc(old, func(a, b happening) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.seq, b.seq)) })
	for _, h := range old {
		if !slices.Contains(kinds, h.kind) {
			q.heap = append(q.heap, h) // sorted, so it is a heap
		}
	}
}
