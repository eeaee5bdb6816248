// Package solver lets tests ask a general-purpose optimiser the question that a search of ours has answered: GLPK's glpsol
// or COIN-OR's cbc, on a model in the LP text form. The test is skipped where the program is not installed.
package solver

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
)

// Optimum answers a model whose objective is called cost, within some seconds; a model without an optimum fails the test.
func Optimum(t testing.TB, name string, model []byte, seconds int) float64 {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skipf("%s is not installed", name)
	}
	dir, limit := t.TempDir(), strconv.Itoa(seconds)
	lp, out := filepath.Join(dir, "model.lp"), filepath.Join(dir, "answer.txt")
	if err := os.WriteFile(lp, model, 0o600); err != nil {
		t.Fatal(err)
	}
	args, pattern := []string{"--lp", lp, "--tmlim", limit, "-o", out}, `Objective:\s+cost = ([0-9.e+-]+)`
	if name == "cbc" {
		args, pattern = []string{lp, "sec", limit, "ratio", "0", "allow", "0", "branch", "solution", out}, `(?:Optimal - objective value) ([0-9.e+-]+)`
	}
	if msg, err := exec.Command(name, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", name, err, msg)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(pattern).FindSubmatch(text)
	if m == nil {
		t.Fatalf("%s found no optimum:\n%.400s", name, text)
	}
	v, err := strconv.ParseFloat(string(m[1]), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
