package prove

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"wirewright/behaviour"
	"wirewright/house"
)

// Options bound a proof.
type Options struct {
	States   int                          // most states of one slice; 0 for StatesUsual
	Progress func(done, of int, a Answer) // after each point, one at a time; may be nil
}

// StatesUsual is the usual bound on the states of one slice.
const StatesUsual = 12_000

// House asks the built-in questions about every point that the system moves, in the order of the house; several
// points at once, with answers that do not depend on how many.
func House(ctx context.Context, c *behaviour.Compiled, opt Options) ([]Answer, error) {
	if opt.States <= 0 {
		opt.States = StatesUsual
	}
	var moved []house.Point
	for _, p := range c.House.Points {
		if p.Kind.Moved() {
			moved = append(moved, p)
		}
	}
	byPoint := make([][]Answer, len(moved))
	var next, done atomic.Int64
	var tell sync.Mutex
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(moved)) {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(moved) && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				byPoint[i] = Point(c, moved[i], opt.States)
				if n := len(byPoint[i]); opt.Progress != nil && n > 0 {
					tell.Lock()
					opt.Progress(int(done.Add(1)), len(moved), byPoint[i][n-1])
					tell.Unlock()
				}
			}
		})
	}
	all.Wait()
	return slices.Concat(byPoint...), ctx.Err()
}

// Point asks the built-in questions about one point, storing at most so many states.
func Point(c *behaviour.Compiled, p house.Point, states int) []Answer {
	s, ok := cut(c, string(p.ID))
	if !ok {
		return nil
	}
	w := newWorld(s)
	g := explore(w, states)
	list := []Answer{never(w, g)}
	if p.Kind != house.Valve && !p.Kind.Motorised() && p.Kind != house.Gate && s.hand {
		list = append(list, offByHand(w, g))
	}
	for i := range list {
		list[i].Point, list[i].States, list[i].Moves = string(p.ID), len(g.states), len(g.edges)
	}
	return list
}

// assumptions is what every proof here takes for granted.
func (w *world) assumptions() string {
	text := "keys moved one at a time, sensors and clocks at any time, times in any order, commands delayed or lost; every component in order"
	if w.crowded {
		text += fmt.Sprintf("; at most %d commands under way on one channel", perChannel)
	}
	if w.s.reads {
		text += "; motors half way are not told apart"
	}
	return text
}

// open says why a search that found nothing proves nothing; empty where it does prove it.
func (w *world) open(g *graph) string {
	if !g.whole {
		return fmt.Sprintf("nothing found in %d states, and there are more; a larger bound may decide it", len(g.states))
	}
	return ""
}

// never asks whether anything happens that must never happen around a point: two rules that fight over it, effects
// without end, both directions of a motor, a hold that is not kept.
func never(w *world, g *graph) Answer {
	a := Answer{Question: w.s.point + ": no rules fight, no endless effects, every hold kept, never both directions"}
	for _, n := range g.notes {
		path := append(g.path(n.from), n.act)
		if told, ok := w.replay(path); ok {
			a.Verdict, a.Reason, a.Story = Refuted, n.text, append(told, n.text)
			return a
		}
		a.Verdict, a.Reason = Undecided, n.text+"; but only if times run out in an order that a replay with true times did not show"
	}
	return w.settle(a, g)
}

// settle fills in the verdict of a question that nothing refutes.
func (w *world) settle(a Answer, g *graph) Answer {
	if a.Verdict != "" {
		return a
	}
	if why := w.open(g); why != "" {
		a.Verdict, a.Reason = Undecided, why
		return a
	}
	a.Verdict, a.Reason = Proved, w.assumptions()
	return a
}

// offByHand asks whether the point can be put off by keys from every state in which it is on.
func offByHand(w *world, g *graph) Answer {
	a := Answer{Question: w.s.point + ": can always be put off by hand"}
	is := make(map[string]bool, len(g.states))
	for _, s := range g.states {
		is[s] = w.value(s) > 0
	}
	bad := g.stranded(func(s string) bool { return is[s] }, func(s string) bool { return !is[s] }, w.byHand)
	switch {
	case bad < 0:
		return w.settle(a, g)
	case w.open(g) != "":
		a.Verdict, a.Reason = Undecided, w.open(g)
		return a
	}
	a.Verdict, a.Reason = Refuted, "it is on, and no key puts it off"
	for _, act := range g.path(bad) {
		a.Story = append(a.Story, w.words(act))
	}
	a.Story = append(a.Story, w.s.point+" is on, and no key puts it off")
	return a
}
