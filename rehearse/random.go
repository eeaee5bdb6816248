package rehearse

import "math/bits"

// random is the generator splitmix64: a counter that is mixed. Constants and mixing after Steele, Lea and Flood, "Fast
// splittable pseudorandom number generators" (2014), in the variant published by Vigna in the public domain. It is for
// drawing delays, not for secrets.
type random struct{ state uint64 }

// next draws 64 bits.
func (r *random) next() uint64 {
	r.state += 0x9e3779b97f4a7c15
	z := r.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below draws a number from 0 up to n-1; 0 where n is not above 0. The bias of the multiplication is below n/2^64.
func (r *random) below(n int64) int64 {
	if n <= 0 {
		return 0
	}
	hi, _ := bits.Mul64(r.next(), uint64(n))
	return int64(hi)
}

// between draws from a to b, both included.
func (r *random) between(a, b int64) int64 { return a + r.below(b-a+1) }

// chance is true in so many of a thousand draws; it draws nothing where the answer is certain.
func (r *random) chance(permille int) bool {
	return permille > 0 && (permille >= 1000 || r.below(1000) < int64(permille))
}

// branch makes a generator of its own for one purpose, so that drawing more for one does not disturb another.
func branch(seed, purpose uint64) random {
	r := random{seed ^ purpose*0xd1342543de82ef95}
	return random{r.next()}
}

// The purposes of branches.
const (
	forNetwork = 1 + iota
	forPhysics
	forPeople
	forWeather
	forTrouble
)
