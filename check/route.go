package check

import (
	"fmt"
	"math"
	"slices"

	"wirewright/calc/route"
	"wirewright/house"
	"wirewright/unit"
)

const sourceZones = "zones of DIN 18015-3 (from memory); shortest way, " + practice

// routeRules hold lengths and neighbours of cables against their ways along the walls, by package route.
var routeRules = []Rule{
	{
		Slug: "circuit/length-short", Severity: Caution, Kind: "circuit",
		Title: "The length of a circuit is missing, or shorter than the way to its farthest load",
		Why: "Voltage drop and disconnection are computed from the length of cable to the farthest load. The shortest way along walls in the customary " +
			"zones, through slabs where walls stand above each other, is no longer than any cable that is laid so; with less, both come out too well. " +
			"Only loads whose place is known count, and only where a way along walls was found. The remedy adds 1 m at the board, 0.3 m at the load and 5 %.",
		Formula: "l ≥ l(way); l(remedy) = 1.05·l(way) + 1.3 m",
		Source:  sourceZones, Caution: cautionMains,
		run: onCircuit(lengthShort), sees: near("point", "module", "board").and("storey", "room", "wall", "opening"),
	},
	{
		Slug: "route/separation", Severity: Caution, Kind: "line",
		Title: "A line runs in one zone with mains cables for long",
		Why: "An extra-low-voltage cable beside mains cables must be insulated for the highest voltage present, or be kept apart by a distance or a " +
			"separate compartment; beside them for more than 35 m it also takes up their disturbances. Counted is what the shortest ways of the line from " +
			"tap to tap and those of the circuits to their loads have in common: the same zone of the same wall. Where each has a zone of its own, one " +
			"below the ceiling and one above the floor, nothing is shared.",
		Formula: "Σ l(shared) ≤ 35 m",
		Source:  "IEC 60364-4-41, 414.4 (protective separation); IEC 60364-4-44, 444.6 (35 m, from memory); " + sourceZones, Caution: cautionMains,
		run: onLine(separation), sees: near("module").and("storey", "room", "wall", "opening", placeOfModule, "point", "circuit", "board"),
	},
}

// routeAspects are the parts of a house that ways follow from.
var routeAspects = []aspect{"storey", "room", "wall", "opening", placeOfBoard, placeOfPoint}

// inherit takes over from an earlier view of a house what it knows of ways, where no place and no wall has changed since.
func (v *view) inherit(before *view, e *edit) {
	if before.routes != nil && !e.everything && !e.anywhere(routeAspects) && !e.aspects[placeOfModule] {
		v.routes = &routing{router: before.routes.router}
	}
}

// routing is what the rules know of ways, computed when first asked for.
type routing struct {
	router *Router
	asked  bool         // for the ways to all loads
	mains  map[int]bool // ways that mains cables take; nil until asked for
}

func (v *view) routing() *routing {
	if v.coming != nil {
		v.routes, v.coming = v.coming(), nil
	}
	if v.routes == nil {
		v.routes = &routing{router: NewRouter(v.house)}
	}
	return v.routes
}

// loads are the points of a circuit that it feeds and whose place is known; what only takes a signal is none.
func (k *circuit) loads() []Spot {
	var list []Spot
	for _, p := range k.points {
		if p.At != nil && p.Kind.Moved() && !dry(p.Load) {
			list = append(list, Spot{"point", p.ID})
		}
	}
	return list
}

// loads asks for the ways from all boards to all loads at once, which is cheaper than circuit by circuit.
func (v *view) loads() *Router {
	r := v.routing()
	if r.asked {
		return r.router
	}
	r.asked = true
	var from []Spot
	var to [][]Spot
	for i := range v.house.Boards {
		b := v.boards[v.house.Boards[i].ID]
		var all []Spot
		for _, k := range b.circuits {
			all = append(all, k.loads()...)
		}
		from, to = append(from, Spot{"board", b.ID}), append(to, all)
	}
	r.router.askAll(from, to)
	return r.router
}

// farthest is the load of a circuit with the longest way along walls; false where none was found.
func (v *view) farthest(k *circuit) (load Spot, way Way, ok bool) {
	b := v.boards[k.Board]
	if b == nil || b.At == nil || len(v.house.Walls) == 0 {
		return load, way, false
	}
	spots := k.loads()
	if len(spots) == 0 {
		return load, way, false
	}
	for i, w := range v.loads().Ways(Spot{"board", k.Board}, spots) {
		longer := w.Length > way.Length || w.Length == way.Length && spots[i].ID < load.ID
		if w.Reached && (!ok || longer) {
			load, way, ok = spots[i], w, true
		}
	}
	return load, way, ok
}

func lengthShort(v *view, k *circuit, say sayer) {
	load, way, ok := v.farthest(k)
	if !ok || k.Length >= way.Length {
		return
	}
	proposed := UsualAllowance().Of(way, Spot{"board", k.Board}, load)
	f := Finding{
		Text:     fmt.Sprintf("Circuit %s is said to be %s long, but its way to %s along the walls is %s.", k.ID, k.Length, load.ID, metresOf(way.Length)),
		Measured: k.Length.String(), Limit: metresOf(way.Length),
		Terms: []Term{{"length that the house states", "l", k.Length.M(), "m"}, {"way to the farthest load", "l(way)", way.Length.M(), "m"}},
	}
	if k.Length <= 0 {
		f.Text = fmt.Sprintf("The length of circuit %s is not known; its way to %s along the walls is %s.", k.ID, load.ID, metresOf(way.Length))
		f.Measured = "not known"
	}
	f.Remedy = v.longer(k, proposed)
	say(f)
}

// longer is the remedy that gives a circuit another length, and a thicker cable where that length asks for it.
func (v *view) longer(k *circuit, l unit.Length) *Remedy {
	text := fmt.Sprintf("Take %s until it is measured: the way, 5 %% for bends, and tails.", l)
	before := v.foundOf(k, *k.Circuit)
	after := *k.Circuit
	after.Length = l
	for _, mm2 := range append([]float64{0}, usualSections...) {
		if s := unit.SquareMillimetres(mm2); s > k.Section && k.Section > 0 {
			after.Section = s
		} else if mm2 > 0 {
			continue
		}
		if !moreSlugs(v.foundOf(k, after), before) {
			if after.Section != k.Section {
				text += fmt.Sprintf(" It then takes %s of copper.", after.Section)
			}
			return &Remedy{Text: text, Changes: []house.Change{{Kind: "circuit", ID: k.ID, Before: *k.Circuit, After: after}}}
		}
	}
	return &Remedy{Text: text + " No usual cable will do at that length: divide the circuit, or feed it from a board that is nearer."}
}

// usualSections are the sections of cables in houses, in mm² (IEC 60228).
var usualSections = []float64{1.5, 2.5, 4, 6, 10, 16}

// foundOf lists what the rules about circuits find of one that stands in the place of another for a moment.
func (v *view) foundOf(k *circuit, c house.Circuit) map[string]bool {
	other := *k
	other.Circuit = &c
	kept := v.circuits[k.ID]
	v.circuits[k.ID] = &other
	defer func() { v.circuits[k.ID] = kept }()
	i := slices.IndexFunc(v.house.Circuits, func(x house.Circuit) bool { return x.ID == k.ID })
	found := map[string]bool{}
	for _, r := range slices.Concat(circuitRules, protectionRules) {
		if r.Kind == "circuit" {
			r.run(v, i, func(Finding) { found[r.Slug] = true })
		}
	}
	return found
}

// moreSlugs tells whether anything is found that was not found before.
func moreSlugs(list, before map[string]bool) bool {
	for slug := range list {
		if !before[slug] {
			return true
		}
	}
	return false
}

// metresOf prints a length in decimetres.
func metresOf(l unit.Length) string { return fmt.Sprintf("%.1f m", l.M()) }

// sharedMost is how far a line may run beside mains cables, in metres (IEC 60364-4-44, 444.6, from memory).
const sharedMost = 35.0

func separation(v *view, l *line, say sayer) {
	if len(v.house.Walls) == 0 || l.inOneBoard() {
		return
	}
	r := v.routing()
	var ways []int
	length := 0.0
	for i := 0; i+1 < len(l.Taps); i++ {
		from, to := Spot{"module", l.Taps[i].Module}, Spot{"module", l.Taps[i+1].Module}
		piece := r.router.pieces(from, to)
		for _, n := range piece {
			_, m := r.router.graph.Way(n)
			length += m.M()
		}
		ways = append(ways, piece...)
	}
	if length <= sharedMost {
		return
	}
	shared := 0.0
	mains := v.mains()
	for _, n := range ways {
		if kind, m := r.router.graph.Way(n); mains[n] && (kind == route.Along || kind == route.Upright) {
			shared += m.M()
		}
	}
	if shared = math.Round(shared*10) / 10; shared <= sharedMost {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("Line %s runs for %.1f m in the zones that mains cables take, too.", l.ID, shared),
		Measured: fmt.Sprintf("%.1f m", shared), Limit: "35.0 m",
		Terms: []Term{{"shared length", "Σ l(shared)", shared, "m"}, {"length of the line's ways", "l", math.Round(length*10) / 10, "m"}},
		Remedy: &Remedy{Text: "Give each a zone of its own: mains below the ceiling and the line above the floor, or the other way round; or lay them in " +
			"separate compartments. Wherever they meet, take a bus cable insulated for the mains voltage, cross at right angles, and never let them share a box without a partition."},
	})
}

// inOneBoard tells whether a line never leaves a board.
func (l *line) inOneBoard() bool {
	for _, m := range l.taps {
		if m == nil || m.Board == "" || m.Board != l.taps[0].Board || m.At != nil {
			return false
		}
	}
	return true
}

// mains are the ways that the cables of all circuits take to their loads.
func (v *view) mains() map[int]bool {
	r := v.routing()
	if r.mains != nil {
		return r.mains
	}
	r.mains = map[int]bool{}
	for i := range v.house.Boards {
		b := v.boards[v.house.Boards[i].ID]
		var all []int
		for _, k := range b.circuits {
			for _, s := range k.loads() {
				if t, ok := r.router.spots[s]; ok {
					all = append(all, t)
				}
			}
		}
		if from, ok := r.router.spots[Spot{"board", b.ID}]; ok && len(all) > 0 {
			r.router.search.From(from, all)
			for _, t := range all {
				for _, n := range r.router.search.Ways(t) {
					r.mains[n] = true
				}
			}
		}
	}
	return r.mains
}

// pieces are the numbers of the ways between two spots.
func (r *Router) pieces(from, to Spot) []int {
	a, ok := r.spots[from]
	b, there := r.spots[to]
	if !ok || !there || a == b {
		return nil
	}
	r.search.From(a, []int{b})
	return r.search.Ways(b)
}
