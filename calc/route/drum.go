package route

import (
	"cmp"
	"slices"

	"wirewright/unit"
)

// Cutting says how pieces are cut from drums.
type Cutting struct {
	Drums [][]int     // the pieces of each drum, by their number
	Long  []int       // pieces longer than a drum, to be ordered by their length
	Waste unit.Length // what is left over on all drums together
	Least int         // no way of cutting needs fewer drums
}

// Cut cuts pieces from drums of one length: the longest first, each from the first drum that has enough left. That needs
// at most 11/9 of the fewest drums and 6/9 more (Dósa, 2007). Least is a bound for these very pieces: all their length
// must be on drums, and no two pieces of more than half a drum share one.
func Cut(pieces []unit.Length, drum unit.Length) Cutting {
	var c Cutting
	order := make([]int, 0, len(pieces))
	var sum unit.Length
	halves := 0
	for i, p := range pieces {
		switch {
		case p <= 0:
			continue
		case p > drum:
			c.Long = append(c.Long, i)
			continue
		case p > drum/2:
			halves++
		}
		order = append(order, i)
		sum += p
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(pieces[b], pieces[a]) })
	var left []unit.Length
	for _, i := range order {
		k := slices.IndexFunc(left, func(l unit.Length) bool { return l >= pieces[i] })
		if k < 0 {
			k = len(left)
			left, c.Drums = append(left, drum), append(c.Drums, nil)
		}
		left[k] -= pieces[i]
		c.Drums[k] = append(c.Drums[k], i)
	}
	for _, l := range left {
		c.Waste += l
	}
	if drum > 0 {
		c.Least = max(int((sum+drum-1)/drum), halves)
	}
	return c
}
