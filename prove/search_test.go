package prove

import (
	"fmt"
	"strings"
	"testing"
)

// machine is a model given by its actions: each looks at a vector of small integers and changes it, or does not apply.
type machine struct {
	first   []int8
	actions []func(v []int8) bool
}

func (m machine) start() string { return string(bytesOf(m.first)) }

func (m machine) moves(state string, visit func(act, next, note string)) {
	for i, do := range m.actions {
		v := make([]int8, len(state))
		for k := range state {
			v[k] = int8(state[k])
		}
		if do(v) {
			visit(fmt.Sprint(i), string(bytesOf(v)), "")
		}
	}
}

func bytesOf(v []int8) []byte {
	b := make([]byte, len(v))
	for i, x := range v {
		b[i] = byte(x)
	}
	return b
}

func searched(t *testing.T, m machine) *graph {
	t.Helper()
	g := explore(m, 2_000_000)
	if !g.whole {
		t.Fatal("the search did not finish")
	}
	return g
}

// Dining philosophers: the states are the companion Pell numbers (1+√2)^N + (1−√2)^N; transitions counted by hand rule;
// SPIN 6.5.2 stores the same states plus its own start for N = 3, 4, 5.
func TestDiningPhilosophers(t *testing.T) {
	for n, want := range map[int][2]int{2: {6, 8}, 3: {14, 27}, 4: {34, 88}, 5: {82, 265}, 8: {1154, 5968}} {
		m := machine{first: make([]int8, n)}
		for i := range n {
			left, right := (i+n-1)%n, (i+1)%n
			// 0 thinking, 1 holds the left fork, 2 eats. My left fork is my left neighbour's right one, which it holds when it eats.
			m.actions = append(m.actions,
				func(v []int8) bool { ok := v[i] == 0 && v[left] != 2; v[i] = 1; return ok },
				func(v []int8) bool { ok := v[i] == 1 && v[right] == 0; v[i] = 2; return ok },
				func(v []int8) bool { ok := v[i] == 2; v[i] = 0; return ok })
		}
		g := searched(t, m)
		if len(g.states) != want[0] || len(g.edges) != want[1] || g.dead() != 1 || g.depth != n {
			t.Errorf("%d philosophers: %d states, %d moves, %d dead, depth %d; want %d, %d, 1, %d", n, len(g.states), len(g.edges), g.dead(), g.depth, want[0], want[1], n)
		}
	}
}

// Peterson's mutual exclusion for two processes: 20 states, 34 transitions, depth 6, none wrong (SPIN as one process of
// atomic commands stores 20); with flag and turn set in the wrong order 32, 60, 7 and two states in which both are inside.
func TestPeterson(t *testing.T) {
	build := func(swapped bool) machine {
		m := machine{first: []int8{0, 0, 0}}
		for i := range 2 {
			o := 1 - i
			m.actions = append(m.actions,
				func(v []int8) bool {
					ok := v[i] == 0
					v[i] = 1
					if swapped {
						v[2] = int8(o)
					}
					return ok
				},
				func(v []int8) bool {
					ok := v[i] == 1
					v[i] = 2
					if !swapped {
						v[2] = int8(o)
					}
					return ok
				},
				func(v []int8) bool {
					free := v[o] == 0
					if swapped {
						free = v[o] < 2
					}
					ok := v[i] == 2 && (free || v[2] == int8(i))
					v[i] = 3
					return ok
				},
				func(v []int8) bool { ok := v[i] == 3; v[i] = 0; return ok })
		}
		return m
	}
	for swapped, want := range map[bool][4]int{false: {20, 34, 6, 0}, true: {32, 60, 7, 2}} {
		g := searched(t, build(swapped))
		wrong := 0
		for _, s := range g.states {
			if s[0] == 3 && s[1] == 3 {
				wrong++
			}
		}
		if got := [4]int{len(g.states), len(g.edges), g.depth, wrong}; got != want {
			t.Errorf("swapped %v: %v, want %v", swapped, got, want)
		}
	}
}

// Independent counters: the full graph has (k+1)^N states and N·k·(k+1)^(N−1) transitions.
func TestCounters(t *testing.T) {
	m := machine{first: make([]int8, 5)}
	for i := range 5 {
		m.actions = append(m.actions, func(v []int8) bool { v[i]++; return v[i] <= 3 })
	}
	if g := searched(t, m); len(g.states) != 1024 || len(g.edges) != 3840 {
		t.Errorf("%d states, %d moves; want 1024, 3840", len(g.states), len(g.edges))
	}
}

// Fischer's protocol in ticks with deadline 1 and wait 2: 132, 1242 and 11144 states for two to four processes (SPIN 6.5.2
// stores one more for 3 and 4), and never two inside; with wait 2 and deadline 2 it is unsafe.
func TestFischerInTicks(t *testing.T) {
	build := func(n int, deadline, wait int8) machine {
		m := machine{first: make([]int8, 2*n+1)} // id, then place and clock of each
		clock := func(v []int8, i int) *int8 { return &v[2+2*i] }
		for i := range n {
			at := 1 + 2*i
			me := int8(i + 1)
			m.actions = append(m.actions,
				func(v []int8) bool { ok := v[at] == 0 && v[0] == 0; v[at] = 1; *clock(v, i) = 0; return ok },
				func(v []int8) bool { ok := v[at] == 1; v[at], v[0] = 2, me; *clock(v, i) = 0; return ok },
				func(v []int8) bool { ok := v[at] == 2 && *clock(v, i) >= wait && v[0] == me; v[at] = 3; return ok },
				func(v []int8) bool {
					ok := v[at] == 2 && *clock(v, i) >= wait && v[0] != me
					v[at] = 0
					*clock(v, i) = 0
					return ok
				},
				func(v []int8) bool { ok := v[at] == 3; v[at], v[0] = 0, 0; *clock(v, i) = 0; return ok })
		}
		m.actions = append(m.actions, func(v []int8) bool {
			for i := range n {
				if v[1+2*i] == 1 && *clock(v, i) >= deadline {
					return false
				}
				*clock(v, i) = min(*clock(v, i)+1, wait+1)
			}
			return true
		})
		return m
	}
	for _, c := range []struct {
		n              int
		deadline, wait int8
		states, wrong  int
	}{{2, 1, 2, 132, 0}, {3, 1, 2, 1242, 0}, {4, 1, 2, 11144, 0}, {2, 2, 2, 207, 4}, {3, 2, 2, 2785, 129}} {
		g := searched(t, build(c.n, c.deadline, c.wait))
		wrong := 0
		for _, s := range g.states {
			inside := 0
			for i := range c.n {
				if s[1+2*i] == 3 {
					inside++
				}
			}
			if inside > 1 {
				wrong++
			}
		}
		if len(g.states) != c.states || wrong != c.wrong {
			t.Errorf("%+v: %d states, %d wrong", c, len(g.states), wrong)
		}
	}
}

// A lamp over a lossy link, with counts computed from the rules by hand: mirror, lamp, a command slot and a report slot.
func TestLampOverALossyLink(t *testing.T) {
	const empty = 2
	press := func(v []int8) bool { ok := v[2] == empty; v[2] = 1 - v[0]; return ok }
	deliver := func(v []int8) bool {
		ok := v[2] != empty && v[3] == empty
		v[1], v[3], v[2] = v[2], v[2], empty
		return ok
	}
	report := func(v []int8) bool { ok := v[3] != empty; v[0], v[3] = v[3], empty; return ok }
	loseC := func(v []int8) bool { ok := v[2] != empty; v[2] = empty; return ok }
	loseR := func(v []int8) bool { ok := v[3] != empty; v[3] = empty; return ok }
	repeat := func(v []int8) bool { ok := v[2] != empty && v[3] == empty; v[1], v[3] = v[2], v[2]; return ok }
	for _, c := range []struct {
		name                        string
		actions                     []func([]int8) bool
		states, moves, depth, stuck int
	}{
		{"no loss", []func([]int8) bool{press, deliver, report}, 14, 18, 9, 0},
		{"loss", []func([]int8) bool{press, deliver, report, loseC, loseR}, 18, 40, 9, 2},
		{"loss and repeat", []func([]int8) bool{press, deliver, report, loseC, loseR, repeat}, 20, 52, 8, 2},
	} {
		g := searched(t, machine{[]int8{0, 0, empty, empty}, c.actions})
		stuck := 0
		for _, s := range g.states {
			if s[2] == empty && s[3] == empty && s[0] != s[1] {
				stuck++
			}
		}
		if len(g.states) != c.states || len(g.edges) != c.moves || g.depth != c.depth || stuck != c.stuck {
			t.Errorf("%s: %d states, %d moves, depth %d, %d stuck; want %+v", c.name, len(g.states), len(g.edges), g.depth, stuck, c)
		}
	}
}

func TestStranded(t *testing.T) {
	// 0 → 1 → 2, and 2 has no way back; 0 ↔ 1.
	m := machine{first: []int8{0}, actions: []func([]int8) bool{
		func(v []int8) bool { ok := v[0] < 2; v[0]++; return ok },
		func(v []int8) bool { ok := v[0] == 1; v[0] = 0; return ok },
	}}
	g := searched(t, m)
	all := func(string) bool { return true }
	bad := g.stranded(func(s string) bool { return s[0] > 0 }, func(s string) bool { return s[0] == 0 }, all)
	if bad < 0 || g.states[bad][0] != 2 || strings.Join(g.path(bad), " ") != "0 0" {
		t.Errorf("got %d with path %v", bad, g.path(max(bad, 0)))
	}
}

// dead counts the states without a move.
func (g *graph) dead() int {
	out := make([]bool, len(g.states))
	for _, e := range g.edges {
		out[e.from] = true
	}
	n := 0
	for _, has := range out {
		if !has {
			n++
		}
	}
	return n
}
