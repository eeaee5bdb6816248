package route

import (
	"bufio"
	"bytes"
	_ "embed"
	"fmt"
	"math/rand/v2"
	"os/exec"
	"testing"

	"wirewright/unit"
)

// witness is a short program for Python that reads an exported graph and questions, and answers with costs.
//
//go:embed testdata/witness.py
var witness string

// python finds one that has the library networkx.
func python(t *testing.T) string {
	t.Helper()
	for _, p := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(p, "-c", "import networkx").Run() == nil {
			return p
		}
	}
	t.Skip("no Python with networkx here (Debian: python3-networkx)")
	return ""
}

// town is a building of many rooms with doors, three storeys high.
func town(seed uint64, terminals int) *Building {
	r := rand.New(rand.NewPCG(seed, 1))
	b := &Building{}
	for storey := range 3 {
		base := 3 * float64(storey)
		b.Storeys = append(b.Storeys, base)
		for x := range 6 {
			for y := range 5 {
				p := XY{4 * float64(x), 3.5 * float64(y)}
				for _, q := range []XY{{p.X + 4, p.Y}, {p.X, p.Y + 3.5}} {
					if r.IntN(8) == 0 {
						continue // rooms that are one
					}
					w := Wall{Storey: storey, From: p, To: q, Base: base, Height: 2.6, Thickness: 0.12, Worktop: r.IntN(5) == 0}
					if r.IntN(2) == 0 {
						from := 0.3 + r.Float64()*2
						w.Openings = []Opening{{from, from + 0.9, base, base + 2.05}}
					}
					b.Walls = append(b.Walls, w)
				}
			}
		}
	}
	for range terminals {
		b.Terminals = append(b.Terminals, Terminal{XYZ{r.Float64() * 24, r.Float64() * 17.5, r.Float64() * 9}, -1})
	}
	return b
}

// TestAgainstNetworkX has the ways in exported graphs found by networkx, a general library for graphs, and compares the
// costs to the micrometre.
func TestAgainstNetworkX(t *testing.T) {
	program := python(t)
	for seed := range uint64(3) {
		b := town(seed, 60)
		g := New(b, Customary())
		var in bytes.Buffer
		if err := g.Write(&in); err != nil {
			t.Fatal(err)
		}
		for i := 0; i < len(b.Terminals); i += 5 {
			fmt.Fprintf(&in, "from %d\n", i)
		}
		cmd := exec.Command(program, "-c", witness)
		cmd.Stdin = &in
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		answers := map[[2]int]unit.Length{}
		for lines := bufio.NewScanner(bytes.NewReader(out)); lines.Scan(); {
			var i, k int
			var c int64
			if _, err := fmt.Sscan(lines.Text(), &i, &k, &c); err != nil {
				t.Fatalf("%q: %v", lines.Text(), err)
			}
			answers[[2]int{i, k}] = unit.Length(c)
		}
		s, compared := g.NewSearch(), 0
		for i := 0; i < len(b.Terminals); i += 5 {
			s.From(i, allOf(b))
			for k := range b.Terminals {
				c, ok := s.Cost(k)
				want, found := answers[[2]int{i, k}]
				if i != k && (ok != found || c != want) {
					t.Errorf("town %d, from %d to %d: %d µm (%v), networkx has %d µm (%v)", seed, i, k, c, ok, want, found)
				}
				if found && i != k {
					compared++
				}
			}
		}
		if compared < 500 {
			t.Errorf("only %d ways were compared", compared)
		}
		nodes, links := g.Size()
		t.Logf("town %d: %d places, %d links, %d ways alike", seed, nodes, links, compared)
	}
}
