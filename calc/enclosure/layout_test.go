package enclosure

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/internal/solver"
)

// faults looks at a layout as a person with a list of the rules would, without the code that made it.
func faults(items []Item, f Frame, l *Layout) []string {
	var list []string
	say := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	rows := map[int][]int{}
	for i, p := range l.Places {
		rows[p.Row] = append(rows[p.Row], i)
		if p.Row < 1 || p.Row > l.Rows || p.Slot < 1 || p.Slot+items[i].Units-1 > f.Units {
			say("%d stands outside at %v", i, p)
		}
		for _, u := range items[i].After {
			if q := l.Places[u]; q.Row > p.Row || q.Row == p.Row && q.Slot >= p.Slot {
				say("%d stands at %v, before its feeder at %v", i, p, q)
			}
		}
	}
	feeds := func(i int) bool {
		return slices.ContainsFunc(items, func(it Item) bool { return slices.Contains(it.After, i) })
	}
	for number, row := range rows {
		slices.SortFunc(row, func(a, b int) int { return l.Places[a].Slot - l.Places[b].Slot })
		kinds := map[Class]bool{}
		for k, i := range row {
			kinds[items[i].Class] = true
			if k == 0 {
				continue
			}
			last := row[k-1]
			between := l.Places[i].Slot - l.Places[last].Slot - items[last].Units
			if between < 0 {
				say("%d and %d overlap", last, i)
			}
			warm := func(i int) bool { return f.Hot > 0 && items[i].Heat >= f.Hot && !feeds(i) }
			if (warm(last) || warm(i)) && between < f.Gap {
				say("no gap beside %d or %d", last, i)
			}
		}
		if kinds[Mains] && kinds[Extra] {
			plate := slices.IndexFunc(l.Partitions, func(p Place) bool { return p.Row == number })
			if plate < 0 || !f.Partitions {
				say("row %d mixes without a partition", number)
				continue
			}
			for _, i := range row {
				left := l.Places[i].Slot+items[i].Units <= l.Partitions[plate].Slot
				if items[i].Class == Extra && l.Places[i].Slot < l.Partitions[plate].Slot || items[i].Class == Mains && !left {
					say("%d stands on the wrong side of the partition", i)
				}
			}
		}
	}
	return list
}

// fewest counts rows by trying every assignment to numbered rows: slow, plain, and of its own making.
func fewest(items []Item, f Frame) int {
	for k := 1; k <= len(items); k++ {
		at := make([]int, len(items))
		var try func(i int) bool
		try = func(i int) bool {
			if i == len(items) {
				return plainlyFits(items, f, at, k)
			}
			for at[i] = 0; at[i] < k; at[i]++ {
				if try(i + 1) {
					return true
				}
			}
			return false
		}
		if try(0) {
			return k
		}
	}
	return 0
}

// fewestBreaks is the least number of times that a group goes on in a further row, over every assignment to some rows.
func fewestBreaks(items []Item, f Frame, rows int) int {
	at, least := make([]int, len(items)), math.MaxInt
	var try func(i int)
	try = func(i int) {
		if i == len(items) {
			if n := plainBreaks(items, at); n < least && plainlyFits(items, f, at, rows) {
				least = n
			}
			return
		}
		for at[i] = 0; at[i] < rows; at[i]++ {
			try(i + 1)
		}
	}
	try(0)
	return least
}

func plainBreaks(items []Item, at []int) int {
	rows := map[string]map[int]bool{}
	for i, it := range items {
		if it.Group == "" {
			continue
		}
		if rows[it.Group] == nil {
			rows[it.Group] = map[int]bool{}
		}
		rows[it.Group][at[i]] = true
	}
	n := 0
	for _, r := range rows {
		n += len(r) - 1
	}
	return n
}

func plainlyFits(items []Item, f Frame, at []int, rows int) bool {
	feeder := make([]bool, len(items))
	for i, it := range items {
		for _, u := range it.After {
			feeder[u] = true
			if at[u] > at[i] {
				return false
			}
		}
	}
	for r := range rows {
		var parts [4][]int
		mains, extra := false, false
		for i, it := range items {
			if at[i] != r {
				continue
			}
			mains, extra = mains || it.Class == Mains, extra || it.Class == Extra
			part := 0
			if it.Class == Extra {
				part = 2
			}
			if f.Hot > 0 && it.Heat >= f.Hot && !feeder[i] {
				part++
			}
			parts[part] = append(parts[part], it.Units)
		}
		if mains && extra && !f.Partitions {
			return false
		}
		length, last := 0, -1
		if mains && extra {
			length += f.Partition
		}
		for part, list := range parts {
			for _, units := range list {
				if last >= 0 && (last%2 == 1 || part%2 == 1) {
					length += f.Gap
				}
				length, last = length+units, part
			}
		}
		if length > f.Units {
			return false
		}
	}
	return true
}

func drawItems(t *rapid.T, most, units int) []Item {
	var items []Item
	for i := range rapid.IntRange(1, most).Draw(t, "items") {
		it := Item{Name: fmt.Sprint("d", i), Units: rapid.IntRange(1, units).Draw(t, "units"), Class: Class(rapid.IntRange(0, 2).Draw(t, "class")),
			Heat: rapid.SampledFrom([]float64{0, 1, 6, 9}).Draw(t, "heat"), Group: rapid.SampledFrom([]string{"", "a", "b", "c"}).Draw(t, "group")}
		for u := range i {
			if (items[u].Class != Extra || it.Class == Extra) && rapid.IntRange(0, 4).Draw(t, "after") == 0 {
				it.After = append(it.After, u)
			}
		}
		items = append(items, it)
	}
	return items
}

func drawFrame(t *rapid.T, units int) Frame {
	return Frame{Units: units, Hot: rapid.SampledFrom([]float64{0, 5}).Draw(t, "hot"), Gap: rapid.IntRange(0, 2).Draw(t, "gap"),
		Partitions: rapid.Bool().Draw(t, "partitions"), Partition: rapid.IntRange(0, 1).Draw(t, "partition")}
}

func TestLayoutsAreLeastAndKeepEveryRule(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFrame(t, 6)
		items := drawItems(t, 6, 5)
		l, err := Lay(items, f)
		if err != nil {
			t.Fatal(err)
		}
		if list := faults(items, f, l); len(list) > 0 {
			t.Fatalf("%s", strings.Join(list, "; "))
		}
		if want := fewest(items, f); l.Rows != want || l.Bound != want || l.Stop != Exact {
			t.Fatalf("%d rows, bound %d, %s; trying everything: %d", l.Rows, l.Bound, l.Stop, want)
		}
		if want := fewestBreaks(items, f, l.Rows); l.Breaks != want || l.BreaksStop != Exact {
			t.Fatalf("%d breaks of groups, %s; trying everything: %d", l.Breaks, l.BreaksStop, want)
		}
		if again, _ := Lay(items, f); fmt.Sprint(again) != fmt.Sprint(l) {
			t.Fatal("two answers to one question")
		}
	})
}

// TestBoundsHoldWhenTheBudgetEnds gives the search next to no steps.
func TestBoundsHoldWhenTheBudgetEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFrame(t, 12)
		items := drawItems(t, 25, 9)
		f.Budget = rapid.IntRange(1, 40).Draw(t, "budget")
		short, err := Lay(items, f)
		if err != nil {
			t.Fatal(err)
		}
		if list := faults(items, f, short); len(list) > 0 {
			t.Fatalf("%s", strings.Join(list, "; "))
		}
		f.Budget = 20_000
		long, _ := Lay(items, f)
		if short.Bound > long.Rows || long.Rows > short.Rows || (short.Stop == Exact) != (short.Bound == short.Rows) || short.Stop == Exact && short.Rows != long.Rows {
			t.Fatalf("short: %d rows, bound %d, %s; long: %d rows", short.Rows, short.Bound, short.Stop, long.Rows)
		}
	})
}

// TestMoreRoomNeverTakesMoreRows also takes an item away, which never takes more rows, unless it was served by a warm device
// that needed no gaps for that.
func TestMoreRoomNeverTakesMoreRows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFrame(t, 8)
		items := drawItems(t, 8, 5)
		l, _ := Lay(items, f)
		wide := f
		wide.Units++
		if w, _ := Lay(items, wide); w.Rows > l.Rows {
			t.Fatalf("%d units in a row: %d rows; %d: %d", f.Units, l.Rows, wide.Units, w.Rows)
		}
		if less, _ := Lay(items[:len(items)-1], f); less.Rows > l.Rows && len(items[len(items)-1].After) == 0 {
			t.Fatalf("%d rows without the last item, %d with it", less.Rows, l.Rows)
		}
	})
}

func TestBoardOfAFlat(t *testing.T) {
	items := []Item{{Name: "Q0", Units: 4}, {Name: "F0", Units: 4, After: []int{0}}, {Name: "F1", Units: 4, After: []int{0}}}
	for i := range 8 {
		items = append(items, Item{Name: fmt.Sprint("c", i), Units: 1, Group: fmt.Sprint("g", i%2), After: []int{1 + i%2}})
	}
	items = append(items, Item{Name: "supply", Units: 4, Class: Border, Heat: 6}, Item{Name: "relays", Units: 8}, Item{Name: "head", Units: 2, Class: Extra},
		Item{Name: "inputs", Units: 4, Class: Extra})
	f := Frame{Units: 12, Hot: 5, Gap: 1}
	l, err := Lay(items, f)
	if err != nil {
		t.Fatal(err)
	}
	if list := faults(items, f, l); len(list) > 0 {
		t.Fatal(list)
	}
	// 38 units need 4 rows of 12: 32 of mains and border, 6 of extra-low voltage that the supply may join with its gap.
	if l.Rows != 4 || l.Bound != 4 || l.Used != 38 || l.Breaks != 0 || l.BreaksStop != Exact || l.Places[0] != (Place{1, 1}) {
		t.Errorf("%+v", l)
	}
	f.HotTop = true
	if warm, _ := Lay(items, f); warm.Places[11].Row != 1 || len(faults(items, f, warm)) > 0 {
		t.Errorf("the supply is not on top: %+v", warm)
	}
	f.Rows = 3
	if l.Fits(f) {
		t.Error("four rows fit into three")
	}
}

func TestWhatCannotBeLaid(t *testing.T) {
	f := Frame{Units: 12}
	for want, c := range map[string]struct {
		items []Item
		frame Frame
	}{
		"a is 13 units wide; a row has 12": {[]Item{{Name: "a", Units: 13}}, f}, "a is 0 units wide": {[]Item{{Name: "a"}}, f},
		"in a circle": {[]Item{{Name: "a", Units: 1, After: []int{1}}, {Name: "b", Units: 1, After: []int{0}}}, f}, "not there": {[]Item{{Name: "a", Units: 1, After: []int{0}}}, f},
		"cannot stand after": {[]Item{{Name: "a", Units: 1, Class: Extra}, {Name: "b", Units: 1, After: []int{0}}}, f},
		"1 unit at least":    {nil, Frame{}}, "more than 64 rows": {slices.Repeat([]Item{{Name: "a", Units: 12}}, 65), f}, "1000 is the most": {make([]Item, 1001), f},
	} {
		if l, err := Lay(c.items, c.frame); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, %v", want, l, err)
		}
	}
	if l, err := Lay(nil, f); err != nil || l.Rows != 0 || l.Stop != Exact {
		t.Errorf("nothing: %+v, %v", l, err)
	}
}

// TestSpare: 47 units with 20 % of the used are 57: 5 rows of 12, 4 of 18, 3 of 24; with 20 % of the total 59. By hand.
func TestSpare(t *testing.T) {
	if a, b := WithSpare(47, .2), WithSpareOfTotal(47, .2); a != 57 || b != 59 {
		t.Errorf("of the used %d, of the total %d", a, b)
	}
	for units, rows := range map[int]int{12: 5, 18: 4, 24: 3} {
		if got := int(math.Ceil(float64(WithSpare(47, .2)) / float64(units))); got != rows {
			t.Errorf("rows of %d: %d", units, got)
		}
	}
}

// hard makes a board of a house from a number: the same one each time.
func hard(seed, n, units int) ([]Item, Frame) {
	state := uint64(seed)*2654435761 + 12345
	next := func(below int) int {
		state = state*6364136223846793005 + 1442695040888963407
		return int(state >> 33 % uint64(below))
	}
	items := []Item{{Name: "Q0", Units: 3}}
	for i := 1; i < n; i++ {
		it := Item{Name: fmt.Sprint("d", i), Units: 1 + next(units/2), Class: Class(next(3)), Heat: float64(next(8)), Group: fmt.Sprint("g", next(n/3+1))}
		if it.Class == Mains {
			it.After = []int{0}
			if i > 4 && next(2) == 0 && items[2].Class == Mains {
				it.After = []int{2}
			}
		}
		items = append(items, it)
	}
	return items, Frame{Units: units, Hot: 6, Gap: 1, Partitions: seed%2 == 0, Partition: 1}
}

// TestSolversAgree asks GLPK's glpsol and COIN-OR's cbc for the fewest rows of exported boards.
func TestSolversAgree(t *testing.T) {
	for _, name := range []string{"glpsol", "cbc"} {
		t.Run(name, func(t *testing.T) { agreesWith(t, name) })
	}
}

func agreesWith(t *testing.T, name string) {
	for seed := range 5 {
		items, f := hard(seed, 9+2*seed, 12)
		l, err := Lay(items, f)
		if err != nil || l.Stop != Exact {
			t.Fatalf("board %d: %+v, %v", seed, l, err)
		}
		text, err := Export(items, f, l.Rows+1)
		if err != nil {
			t.Fatal(err)
		}
		if got := solver.Optimum(t, name, text, 20); math.Abs(got-float64(l.Rows)) > 1e-6 {
			t.Errorf("%s: board %d of %d devices takes %g rows, here %d", name, seed, len(items), got, l.Rows)
		}
	}
}

func BenchmarkLay(b *testing.B) {
	for _, n := range []int{20, 40, 80} {
		items, f := hard(1, n, 24)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := Lay(items, f); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
