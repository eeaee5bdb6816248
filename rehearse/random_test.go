package rehearse

import (
	"math/bits"
	"testing"

	"pgregory.net/rapid"
)

// The first numbers for two seeds, as the published reference code of splitmix64 gives them (values from memory, they
// stand in many test suites of general-purpose libraries).
func TestRandomAgainstPublishedNumbers(t *testing.T) {
	for _, c := range []struct {
		seed uint64
		want []uint64
	}{
		{1234567, []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821}},
		{0, []uint64{0xe220a8397b1dcdaf, 0x6e789e6aa1b965f4, 0x06c45d188009454f}},
	} {
		r := random{c.seed}
		for i, want := range c.want {
			if got := r.next(); got != want {
				t.Errorf("seed %d, number %d: %d, want %d", c.seed, i, got, want)
			}
		}
	}
}

// Draws stay in their range, and every value of a small range comes about equally often.
func TestRandomRanges(t *testing.T) {
	r := random{7}
	var count [10]int
	for range 100_000 {
		count[r.below(10)]++
	}
	for v, n := range count {
		if n < 9500 || n > 10500 { // five standard deviations
			t.Errorf("%d came %d times of 100000", v, n)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		r := random{rapid.Uint64().Draw(t, "seed")}
		a := rapid.Int64Range(-1000, 1000).Draw(t, "a")
		b := a + rapid.Int64Range(0, 5000).Draw(t, "span")
		if v := r.between(a, b); v < a || v > b {
			t.Fatalf("%d is not from %d to %d", v, a, b)
		}
		if r.below(0) != 0 || r.below(-5) != 0 {
			t.Fatal("an empty range gives 0")
		}
	})
	before := r
	if r.chance(0) || !r.chance(1000) || r != before {
		t.Error("a certain answer draws nothing")
	}
}

// Branches of one seed have nothing to do with each other: half of the bits differ.
func TestBranchesDiffer(t *testing.T) {
	a, b := branch(1, forNetwork), branch(1, forPeople)
	differ := 0
	for range 1000 {
		differ += bits.OnesCount64(a.next() ^ b.next())
	}
	if differ < 31_000 || differ > 33_000 {
		t.Errorf("%d of 64000 bits differ", differ)
	}
}

// The queue gives what was put in, by time and then in the order in which it was put in.
func TestQueueOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		times := rapid.SliceOfN(rapid.Int64Range(0, 20), 1, 200).Draw(t, "times")
		var q queue
		for i, at := range times {
			q.push(happening{at: at, value: int32(i), kind: kind(at % 3)})
		}
		want := len(times)
		if rapid.Bool().Draw(t, "drop") {
			q.drop(1)
			for _, at := range times {
				if at%3 == 1 {
					want--
				}
			}
		}
		last := happening{at: -1}
		for n := 0; ; n++ {
			h, ok := q.pop(20)
			if !ok {
				if n != want {
					t.Fatalf("%d came out, not %d", n, want)
				}
				return
			}
			if h.at < last.at || h.at == last.at && h.value < last.value {
				t.Fatalf("%d at %d after %d at %d", h.value, h.at, last.value, last.at)
			}
			last = h
		}
	})
	var q queue
	q.push(happening{at: 5})
	if _, ok := q.pop(4); ok {
		t.Error("what comes later must wait")
	}
}
