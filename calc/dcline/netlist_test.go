package dcline

import (
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var printed = regexp.MustCompile(`(?m)^v\(n(\d+)\) = (\S+)`)

// simulator gives the path of ngspice, or skips.
func simulator(t testing.TB) string {
	t.Helper()
	path, err := exec.LookPath("ngspice")
	if err != nil {
		t.Skip("ngspice is not installed")
	}
	return path
}

// simulate computes the voltages of a netlist file with ngspice; n nodes must be printed.
func simulate(path, file string, n int) ([]float64, error) {
	out, err := exec.Command(path, "-b", file).CombinedOutput()
	found := printed.FindAllSubmatch(out, -1)
	if len(found) != n {
		return nil, errors.Join(err, errors.New("ngspice printed no voltages:\n"+string(out[:min(len(out), 800)])))
	}
	v := make([]float64, n)
	for _, f := range found {
		k, err := strconv.Atoi(string(f[1]))
		if err != nil || k >= n {
			return nil, errors.New("ngspice printed a node that there is not: " + string(f[1]))
		}
		if v[k], err = strconv.ParseFloat(string(f[2]), 64); err != nil {
			return nil, err
		}
	}
	return v, nil
}

// wide draws a line of up to most nodes as a house has them: pieces of some metres, loads of both kinds, several supplies.
// A chain where star is false.
func wide(t *rapid.T, most int, star bool) []Node {
	count := rapid.IntRange(2, most).Draw(t, "nodes")
	share := 1.2 / float64(count) // A: what all take stays near what a line carries, so that most lines stand
	nodes := []Node{{Parent: -1, Supply: rapid.Float64Range(20, 30).Draw(t, "volts")}}
	for i := 1; i < count; i++ {
		n := Node{Parent: i - 1, Ohm: rapid.Float64Range(.001, 20/float64(count)).Draw(t, "ohm")}
		if star {
			n.Parent = rapid.IntRange(max(0, i-8), i-1).Draw(t, "parent")
		}
		switch rapid.IntRange(0, 3).Draw(t, "load") {
		case 0:
			n.Amps = rapid.Float64Range(0, share).Draw(t, "amps")
		case 1:
			n.Watts = rapid.Float64Range(0, 24*share).Draw(t, "watts")
		case 2:
			n.Amps, n.Watts = share/4, 6*share
		}
		if rapid.IntRange(0, 39).Draw(t, "supply") == 0 {
			n.Supply = nodes[0].Supply + rapid.Float64Range(-.4, .4).Draw(t, "difference")
		}
		nodes = append(nodes, n)
	}
	return nodes
}

// Against ngspice (Debian): random chains and trees of up to 200 nodes, constant current and constant power, one or several
// supplies, to 1e-6 V.
func TestVoltagesAgreeWithSimulator(t *testing.T) {
	path := simulator(t)
	file := filepath.Join(t.TempDir(), "line.cir")
	compared, largest, worst := 0, 0, 0.0
	rapid.Check(t, func(t *rapid.T) {
		nodes := wide(t, 200, rapid.Bool().Draw(t, "star"))
		r, err := Solve(nodes)
		if errors.Is(err, ErrCollapse) {
			return // the simulator has no such answer; the closed forms and the property of the limit hold it
		}
		if err != nil {
			t.Fatal(err)
		}
		text, err := Netlist("random line", nodes)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		v, err := simulate(path, file, len(nodes))
		if err != nil {
			t.Fatal(err)
		}
		for i := range nodes {
			d := math.Abs(v[i] - r.Volts[i])
			if !(d <= 1e-6) {
				t.Fatalf("node %d: %.9f V, ngspice %.9f V", i, r.Volts[i], v[i])
			}
			worst = max(worst, d)
		}
		compared, largest = compared+1, max(largest, len(nodes))
	})
	if compared < 20 {
		t.Errorf("only %d lines stood and were compared", compared)
	}
	t.Logf("%d lines of up to %d nodes, largest difference %.2g V", compared, largest, worst)
}

func TestNetlistRefusesWhatSolveRefuses(t *testing.T) {
	if _, err := Netlist("x", []Node{{Parent: -1}}); err == nil {
		t.Error("a line without a supply was written")
	}
}

// chain200 is the chain that both solvers are timed on.
func chain200() []Node {
	var p, w []float64
	for i := 1; i < 200; i++ {
		p, w = append(p, float64(i)*1.5), append(w, .02)
	}
	return chain(24, .049, p, nil, w)
}

// BenchmarkBesideSimulator solves the same chain of 200 nodes with this package and with ngspice in one run, and reports how
// many times longer ngspice takes: as a whole, and without what it takes for a line of two nodes (its start).
func BenchmarkBesideSimulator(b *testing.B) {
	path, dir, nodes := simulator(b), b.TempDir(), chain200()
	write := func(name string, nodes []Node) string {
		text, err := Netlist(name, nodes)
		if err != nil {
			b.Fatal(err)
		}
		file := filepath.Join(dir, name+".cir")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			b.Fatal(err)
		}
		return file
	}
	whole, small := write("chain", nodes), write("small", nodes[:2])
	timed := func(times int, f func() error) float64 {
		from := time.Now()
		for range times {
			if err := f(); err != nil {
				b.Fatal(err)
			}
		}
		return float64(time.Since(from).Nanoseconds()) / float64(times)
	}
	var ours, theirs, start float64
	for b.Loop() {
		ours += timed(100, func() error { _, err := Solve(nodes); return err })
		theirs += timed(1, func() error { _, err := simulate(path, whole, len(nodes)); return err })
		start += timed(1, func() error { _, err := simulate(path, small, 2); return err })
	}
	b.ReportMetric(ours/float64(b.N), "ours-ns/op")
	b.ReportMetric(theirs/ours, "ratio")
	b.ReportMetric((theirs-start)/ours, "ratio-without-start")
}
