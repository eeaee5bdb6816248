package plan

import (
	"math"

	"wirewright/handover/scene"
)

// What stands on a sheet, by how much a name should keep clear of it.
const (
	onSymbol = 60.0 // a name over a symbol spoils both
	onText   = 50.0
	onWall   = 25.0 // grey letters on a grey wall
	onTie    = 12.0 // the line of a symbol that was moved aside
	onLine   = 6.0  // door swings, cables
)

// ink is something that stands on the sheet.
type ink struct {
	box    box
	weight float64
	owner  int // whose it is: a name may touch what is its own; -1 for nobody's
	query  int // the last query that counted it
}

// field finds what stands near a place of the sheet: a grid of buckets, so that a storey with thousands of points is
// drawn as fast as it is large.
type field struct {
	inks    []ink
	buckets map[[2]int][]int
	query   int
	sheet   box // what lies outside counts for nothing
}

const bucket = 8.0 // mm

func newField() *field {
	return &field{buckets: map[[2]int][]int{}, sheet: box{-widest, -widest, 2 * widest, 2 * widest}}
}

// cells calls do for every bucket that a box touches on the sheet.
func (f *field) cells(b box, do func([2]int)) {
	at := func(v float64) int { return int(math.Floor(v / bucket)) }
	x1, y1 := at(math.Min(b.x1, f.sheet.x1)), at(math.Min(b.y1, f.sheet.y1))
	for x := at(math.Max(b.x0, f.sheet.x0)); x <= x1; x++ {
		for y := at(math.Max(b.y0, f.sheet.y0)); y <= y1; y++ {
			do([2]int{x, y})
		}
	}
}

// put enters something and returns its number.
func (f *field) put(b box, weight float64, owner int) int {
	n := len(f.inks)
	f.inks = append(f.inks, ink{b, weight, owner, 0})
	f.cells(b, func(c [2]int) { f.buckets[c] = append(f.buckets[c], n) })
	return n
}

// take removes what put entered.
func (f *field) take(n int) {
	f.cells(f.inks[n].box, func(c [2]int) {
		for i, m := range f.buckets[c] {
			if m == n {
				f.buckets[c] = append(f.buckets[c][:i], f.buckets[c][i+1:]...)
				return
			}
		}
	})
}

// cost is how much is covered by a box of an owner: for everything that it touches the weight, more the more it covers.
func (f *field) cost(b box, owner int) float64 {
	f.query++
	sum, size := 0.0, math.Max((b.x1-b.x0)*(b.y1-b.y0), 1e-6)
	f.cells(b, func(c [2]int) {
		for _, n := range f.buckets[c] {
			k := &f.inks[n]
			if k.query == f.query || (owner >= 0 && k.owner == owner) || !k.box.overlaps(b) {
				continue
			}
			k.query = f.query
			common := (math.Min(b.x1, k.box.x1) - math.Max(b.x0, k.box.x0)) * (math.Min(b.y1, k.box.y1) - math.Max(b.y0, k.box.y0))
			sum += k.weight * (0.75 + 0.25*math.Min(1, common/size))
		}
	})
	return sum
}

// free tells whether no symbol stands within a distance of a place.
func (f *field) free(p scene.Point, distance float64) bool {
	f.query++
	ok := true
	b := box{p.X - distance, p.Y - distance, p.X + distance, p.Y + distance}
	f.cells(b, func(c [2]int) {
		for _, n := range f.buckets[c] {
			k := &f.inks[n]
			if k.weight == onSymbol && math.Hypot((k.box.x0+k.box.x1)/2-p.X, (k.box.y0+k.box.y1)/2-p.Y) < distance {
				ok = false
			}
		}
	})
	return ok
}

// line enters a thin line as a chain of small boxes.
func (f *field) line(ps []scene.Point, weight float64) {
	for i := 0; i+1 < len(ps); i++ {
		for _, b := range along([]scene.Point{ps[i], ps[i+1], ps[i+1], ps[i]}) {
			f.put(b.padded(0.1), weight, -1)
		}
	}
}

// along covers a strip of four corners with small boxes, so that names can keep clear of slanting walls too.
func along(ps []scene.Point) []box {
	length := math.Hypot(ps[1].X-ps[0].X, ps[1].Y-ps[0].Y)
	n := int(math.Min(length/4, 2*widest)) + 1
	list := make([]box, 0, n)
	for i := range n {
		b := nothing()
		for _, k := range []float64{float64(i) / float64(n), float64(i+1) / float64(n)} {
			b.grow(ps[0].X+(ps[1].X-ps[0].X)*k, ps[0].Y+(ps[1].Y-ps[0].Y)*k)
			b.grow(ps[3].X+(ps[2].X-ps[3].X)*k, ps[3].Y+(ps[2].Y-ps[3].Y)*k)
		}
		list = append(list, b)
	}
	return list
}
