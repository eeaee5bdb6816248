package allot

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
)

// solve answers an exported part with a general-purpose solver (GLPK's glpsol or COIN-OR's cbc) and returns its optimum.
func solve(t *testing.T, solver string, model []byte) float64 {
	t.Helper()
	if _, err := exec.LookPath(solver); err != nil {
		t.Skipf("%s is not installed", solver)
	}
	dir := t.TempDir()
	lp, out := filepath.Join(dir, "model.lp"), filepath.Join(dir, "answer.txt")
	if err := os.WriteFile(lp, model, 0o600); err != nil {
		t.Fatal(err)
	}
	args, pattern := []string{"--lp", lp, "--tmlim", "60", "-o", out}, `Objective:\s+cost = ([0-9.e+-]+)`
	if solver == "cbc" {
		args, pattern = []string{lp, "sec", "60", "ratio", "0", "allow", "0", "branch", "solution", out}, `(?:Optimal - objective value) ([0-9.e+-]+)`
	}
	if msg, err := exec.Command(solver, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", solver, err, msg)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(pattern).FindSubmatch(text)
	if m == nil {
		t.Fatalf("%s found no optimum:\n%.400s", solver, text)
	}
	v, err := strconv.ParseFloat(string(m[1]), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
