package dcline

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Kind is a supply that can be put on a line.
type Kind struct {
	Name  string
	Amps  float64 // what it gives
	Price int64   // in any one unit
}

// Task asks for the smallest set of supplies that mends a line: the fewest, of those sets the cheapest, of those the one
// that leaves most to spare at the module that is worst off.
type Task struct {
	Nodes  []Node
	Volts  float64   // of the new supplies, and of those that the line has
	Least  []float64 // V needed at each node, 0 where nothing is asked
	Limit  []float64 // A that the supply of a node gives, 0 where it has none or no limit is known
	Margin float64   // what a supply must be able to give, as a share of what it gives; 1 or more
	Taps   []int     // nodes where a supply may be put
	Kinds  []Kind
	Most   int // supplies to add, at most
	Solves int // budget: how many times the line may be computed
}

// Site is one supply that is put on a line.
type Site struct {
	Node int
	Kind int
	Amps float64 // what it gives
}

// Why a search ended.
const (
	Optimal    = "no smaller set mends the line"        // proved
	Impossible = "no set of supplies mends the line"    // proved
	TooMany    = "more supplies would be needed"        // proved for Task.Most
	OutOf      = "the budget of the search was used up" // the answer may not be the smallest
)

// Placement is the answer to a Task.
type Placement struct {
	Found  bool
	Sites  []Site // by node, ascending; none where nothing need be added
	Price  int64
	Spare  float64 // V above what is needed, where that is least
	Result Result  // the line as mended
	Bound  int     // no set of fewer supplies mends the line
	Why    string
	Solves int
}

// Place finds the smallest set of supplies that mends a line, by branch and bound with Solve as the judge.
//
// All supplies hold one voltage, so no voltage of the line is above it, and one more supply never lowers a voltage and
// never raises what another supply gives: holding a node at the highest voltage raises it; in a network whose conductance
// matrix has no positive entry beside its diagonal that raises every other node or leaves it; loads of constant current
// stay and those of constant power take less, which raises the voltages once more; and what a supply gives is the sum of
// g·(V0 − V) over its neighbours plus its own load, which falls. So for a set of chosen taps C and one of open taps U, the
// line with supplies at all of C and U is the best that any choice from U can do: if a voltage is too low there, or a
// supply of C or of the line gives too much, no choice mends it; and what the chosen ones cost there is the least that
// they can cost. The open taps shrink as the search goes along the line, so that a tap without which the line cannot be
// mended is found at once. Numbers are tried in turn: 0, 1, 2 and so on.
func Place(t Task) (Placement, error) {
	if err := t.validate(); err != nil {
		return Placement{}, err
	}
	s := &search{Task: t, nodes: slices.Clone(t.Nodes)}
	s.taps = s.usable()
	s.first()
	for k := 0; k <= min(t.Most, len(s.taps)) && s.why == ""; k++ {
		s.bound = k
		if s.choose(nil, 0, k); s.found == nil || len(s.found.Sites) > k {
			continue
		}
		if s.why == "" {
			s.why = Optimal
		}
	}
	switch {
	case s.why != "":
	case len(s.taps) <= t.Most:
		s.why = Impossible // every set was looked at
	default:
		s.why, s.bound = TooMany, t.Most+1
	}
	p := Placement{Bound: s.bound, Why: s.why, Solves: s.solves}
	if s.found != nil && len(s.found.Sites) <= t.Most {
		p = *s.found
		p.Bound, p.Why, p.Solves = s.bound, s.why, s.solves
	}
	return p, nil
}

func (t *Task) validate() error {
	if err := sound(t.Nodes); err != nil {
		return err
	}
	fed := slices.Clone(t.Nodes)
	fed[0].Supply = t.Volts // so that a line without any supply can be asked about, and the voltage is looked at
	if err := validate(fed); err != nil {
		return err
	}
	if len(t.Least) != len(t.Nodes) || len(t.Limit) != len(t.Nodes) {
		return fmt.Errorf("%d least voltages and %d limits for %d nodes: expected as many", len(t.Least), len(t.Limit), len(t.Nodes))
	}
	for i, n := range t.Nodes {
		switch {
		case n.Supply != 0 && n.Supply != t.Volts:
			return fmt.Errorf("node %d has a supply of %v V: expected %v V as the new ones have", i, n.Supply, t.Volts)
		case !(t.Least[i] >= 0 && t.Least[i] <= voltsMost):
			return fmt.Errorf("node %d needs %v V: expected 0 to %g V", i, t.Least[i], voltsMost)
		case !(t.Limit[i] >= 0 && t.Limit[i] <= ampsMost):
			return fmt.Errorf("node %d has a supply of %v A: expected 0 (no limit) to %g A", i, t.Limit[i], ampsMost)
		}
	}
	for k, tap := range t.Taps {
		if tap < 0 || tap >= len(t.Nodes) || slices.Contains(t.Taps[:k], tap) {
			return fmt.Errorf("tap %d is node %d: expected each of 0 to %d at most once", k, tap, len(t.Nodes)-1)
		}
	}
	for k, kind := range t.Kinds {
		if !(kind.Amps > 0 && kind.Amps <= ampsMost) || kind.Price < 0 || kind.Price > 1e12 {
			return fmt.Errorf("kind %d of supply gives %v A for %d: expected more than 0 up to %g A and a price of 0 to 1e12", k, kind.Amps, kind.Price, ampsMost)
		}
	}
	if !(t.Margin >= 1 && t.Margin <= 100) {
		return fmt.Errorf("a margin of %v: expected 1 to 100", t.Margin)
	}
	if t.Most < 0 || t.Solves < 1 {
		return errors.New("a search for no supply or without budget: expected 0 or more supplies and a budget of at least 1")
	}
	return nil
}

// search is one run of Place.
type search struct {
	Task
	nodes  []Node // with the supplies of the set looked at
	taps   []int
	solves int
	found  *Placement
	bound  int
	why    string
}

// try computes the line with supplies at two sets of taps. False where it does not stand, or the budget is used up.
func (s *search) try(a, b []int) (Result, bool) {
	if s.solves >= s.Solves {
		s.why = OutOf
		return Result{}, false
	}
	copy(s.nodes, s.Task.Nodes)
	for _, set := range [2][]int{a, b} {
		for _, tap := range set {
			s.nodes[tap].Supply = s.Volts
		}
	}
	if !slices.ContainsFunc(s.nodes, func(n Node) bool { return n.Supply > 0 }) {
		return Result{}, false
	}
	s.solves++
	r, err := Solve(s.nodes)
	return r, err == nil
}

// spare is what the module that is worst off has above its need, in V; negative where that is not enough or a supply that
// the line has gives too much.
func (s *search) spare(r *Result) float64 {
	spare := math.Inf(1)
	for i, v := range r.Volts {
		if s.Least[i] > 0 {
			spare = min(spare, v-s.Least[i])
		}
		if s.Task.Nodes[i].Supply > 0 && s.Limit[i] > 0 && r.Supplied[i]*s.Margin > s.Limit[i]*(1+1e-9) {
			return math.Inf(-1)
		}
	}
	return spare
}

// rounding is by how much, in V, a voltage may miss its need by rounding.
const rounding = 1e-9

// kindFor is the cheapest kind that gives a current with its margin, the smaller and then the earlier of two; -1 for none.
func (s *search) kindFor(amps float64) int {
	best := -1
	for k, kind := range s.Kinds {
		if amps*s.Margin > kind.Amps*(1+1e-9) {
			continue
		}
		if best < 0 || kind.Price < s.Kinds[best].Price || kind.Price == s.Kinds[best].Price && kind.Amps < s.Kinds[best].Amps {
			best = k
		}
	}
	return best
}

// price is what supplies at some taps cost for the currents that they give; false where no kind gives so much.
func (s *search) price(r *Result, set []int) (int64, bool) {
	var sum int64
	for _, tap := range set {
		k := s.kindFor(r.Supplied[tap])
		if k < 0 {
			return 0, false
		}
		sum += s.Kinds[k].Price
	}
	return sum, true
}

// usable are the taps, in order, that can hold a supply in any answer: not fed already, and not asked for more than the
// largest kind gives even with supplies at all others.
func (s *search) usable() []int {
	var open []int
	for _, tap := range s.Taps {
		if s.Task.Nodes[tap].Supply == 0 {
			open = append(open, tap)
		}
	}
	slices.Sort(open)
	r, ok := s.try(open, nil)
	if s.why != "" {
		return open
	}
	if !ok || s.spare(&r) < -rounding {
		s.why = Impossible
		return open
	}
	return slices.DeleteFunc(open, func(tap int) bool { return s.kindFor(r.Supplied[tap]) < 0 })
}

// first finds some set that mends the line, to have an answer should the budget end: from all taps it takes away one after
// the other, as long as the rest is enough.
func (s *search) first() {
	if s.why != "" {
		return
	}
	set := slices.Clone(s.taps)
	s.consider(set)
	for _, tap := range s.taps {
		rest := slices.DeleteFunc(slices.Clone(set), func(x int) bool { return x == tap })
		if s.consider(rest) {
			set = rest
		}
	}
}

// consider computes a whole set, and keeps it where it is better than what was found. False where it does not mend.
func (s *search) consider(set []int) bool {
	r, ok := s.try(set, nil)
	if !ok {
		return false
	}
	spare := s.spare(&r)
	price, ok := s.price(&r, set)
	if !ok || spare < -rounding {
		return false
	}
	if f := s.found; f != nil && !better(len(set), price, spare, f) {
		return true
	}
	s.found = &Placement{Found: true, Price: price, Spare: spare, Result: r}
	for _, tap := range set {
		s.found.Sites = append(s.found.Sites, Site{Node: tap, Kind: s.kindFor(r.Supplied[tap]), Amps: r.Supplied[tap]})
	}
	return true
}

func better(number int, price int64, spare float64, than *Placement) bool {
	switch {
	case number != len(than.Sites):
		return number < len(than.Sites)
	case price != than.Price:
		return price < than.Price
	}
	return spare > than.Spare+rounding
}

// choose looks at every set of the chosen taps and more of those from an index on that could still be the best.
func (s *search) choose(chosen []int, from, more int) {
	if more == 0 {
		s.consider(chosen)
		return
	}
	for i := from; i+more <= len(s.taps) && s.why == ""; i++ {
		r, ok := s.try(chosen, s.taps[i:])
		if !ok || s.spare(&r) < -rounding {
			return // nor with fewer open taps
		}
		next := append(slices.Clip(chosen), s.taps[i])
		price, ok := s.price(&r, next)
		if !ok {
			continue
		}
		price += int64(more-1) * s.cheapest()
		if f := s.found; f != nil && !better(len(next)+more-1, price, s.spare(&r), f) {
			continue
		}
		s.choose(next, i+1, more-1)
	}
}

func (s *search) cheapest() int64 {
	least := int64(math.MaxInt64)
	for _, k := range s.Kinds {
		least = min(least, k.Price)
	}
	return least
}
