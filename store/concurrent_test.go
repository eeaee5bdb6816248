package store

import (
	"errors"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"

	"wirewright/house"
)

// TestOfSeveralWritersExactlyOneWins lets stores on one file, and goroutines on each, edit the same revisions while
// others read.
func TestOfSeveralWritersExactlyOneWins(t *testing.T) {
	first := newJob(t)
	second, err := Open(t.Context(), first.Path(), quick())
	if err != nil {
		t.Fatal(err)
	}
	defer second.Close()
	const rounds = 20
	for base := Rev(0); base < rounds; base++ {
		var wait sync.WaitGroup
		results := make([]error, 6)
		for i := range results {
			s := []*Store{first, second}[i%2]
			wait.Go(func() {
				id := house.ID([]string{"a", "b", "c", "d", "e", "f"}[i]) + house.ID(strings.Repeat("x", int(base)))
				_, results[i] = s.Commit(t.Context(), base, []house.Change{add(lamp(id, 1))}, Meta{Who: "w"})
			})
			wait.Go(func() {
				if _, err := s.House(t.Context(), base); err != nil {
					t.Error(err)
				}
			})
		}
		wait.Wait()
		won := 0
		for _, err := range results {
			var conflict *ConflictError
			switch {
			case err == nil:
				won++
			case !errors.As(err, &conflict) || len(conflict.Overlap) != 0:
				t.Errorf("refused with %v", err)
			}
		}
		if won != 1 {
			t.Fatalf("%d of six edits of revision %d won", won, base)
		}
	}
	if err := first.Verify(t.Context()); err != nil {
		t.Error(err)
	}
}

// TestTwoProgramsWriteOneJob lets two programs edit the same lamps until both are killed: every acknowledged edit was
// acknowledged by one of them only.
func TestTwoProgramsWriteOneJob(t *testing.T) {
	path := emptyJob(t)
	first := pace(t, "contend", emptyJob(t))
	said := make([][]string, 2)
	var wait sync.WaitGroup
	for i := range said {
		wait.Go(func() { said[i] = killed(t, "contend", path, 8*first) })
	}
	wait.Wait()
	seen := map[string]bool{}
	for _, revs := range said {
		for _, rev := range revs {
			if seen[rev] {
				t.Errorf("revision %s was acknowledged twice", rev)
			}
			seen[rev] = true
		}
	}
	t.Logf("%d and %d edits were acknowledged", len(said[0]), len(said[1]))
	holds(t, path, append(said[0], said[1]...))
}

// TestSQLiteItselfFindsTheFileWhole asks the reference program, where it is installed.
func TestSQLiteItselfFindsTheFileWhole(t *testing.T) {
	program, err := exec.LookPath("sqlite3")
	if err != nil {
		t.Skip("the program sqlite3 is not installed")
	}
	path := closedJob(t)
	out, err := exec.Command(program, path, "PRAGMA integrity_check; PRAGMA foreign_key_check; SELECT count(*) FROM revision;").CombinedOutput()
	if err != nil || string(out) != "ok\n1\n" {
		t.Errorf("sqlite3 says %q, %v", out, err)
	}
	if _, err := os.Stat(path); err != nil {
		t.Error(err)
	}
}
