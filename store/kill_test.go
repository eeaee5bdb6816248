package store

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"wirewright/house"
	"wirewright/house/generated"
)

// start starts the test binary on a task.
func start(t *testing.T, task, path string) (*exec.Cmd, *bufio.Reader, *strings.Builder) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childTask+"="+task, childJob+"="+path)
	complaint := &strings.Builder{}
	cmd.Stderr = complaint
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd, bufio.NewReader(out), complaint
}

// pace measures how long a task takes on this machine, as busy as it is now, until it says the first thing done.
func pace(t *testing.T, task, path string) time.Duration {
	t.Helper()
	began := time.Now()
	cmd, out, complaint := start(t, task, path)
	_, err := out.ReadString('\n')
	took := time.Since(began)
	_ = cmd.Process.Kill()
	_ = cmd.Wait() // killed: an error is what is wanted
	if err != nil {
		t.Fatalf("the child said %q, %v", complaint, err)
	}
	return took
}

// killed starts a task, kills it after a time with SIGKILL, and gives the whole lines that it said.
func killed(t *testing.T, task, path string, after time.Duration) []string {
	t.Helper()
	cmd, out, complaint := start(t, task, path)
	timer := time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
	defer timer.Stop()
	text, err := io.ReadAll(out)
	_ = cmd.Wait() // killed: an error is what is wanted
	if err != nil || complaint.Len() > 0 {
		t.Fatalf("the child said %q, %v", complaint.String(), err)
	}
	whole := string(text[:strings.LastIndexByte(string(text), '\n')+1])
	return strings.Fields(whole)
}

// within draws a time up to so many times a pace.
func within(random *rand.Rand, pace time.Duration, times float64) time.Duration {
	return time.Duration(random.Float64() * times * float64(pace))
}

// TestKilledAtAnyMomentNothingAcknowledgedIsLost kills a program that commits edits, a few hundred times.
func TestKilledAtAnyMomentNothingAcknowledgedIsLost(t *testing.T) {
	kills := 300
	if testing.Short() {
		kills = 30
	}
	const workers, perFile = 3, 25
	for w := range workers {
		t.Run(fmt.Sprint(w), func(t *testing.T) {
			t.Parallel()
			random := rand.New(rand.NewPCG(7, uint64(w)))
			acknowledged, silent := 0, 0
			var path string
			first := pace(t, "commit", emptyJob(t))
			for n := range kills / workers {
				if n%perFile == 0 {
					path = emptyJob(t)
				}
				said := killed(t, "commit", path, within(random, first, 2))
				acknowledged += len(said)
				if len(said) == 0 {
					silent++
				}
				holds(t, path, said)
			}
			t.Logf("%d kills, %d edits acknowledged, %d killed before the first", kills/workers, acknowledged, silent)
			if acknowledged == 0 {
				t.Error("no edit was acknowledged in all this time; nothing was tested")
			}
		})
	}
}

func emptyJob(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "house.job")
	s, err := Create(t.Context(), path, quick())
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// holds opens the job with the look over the whole file, and checks that every edit that was acknowledged is there and
// that none is there in part.
func holds(t *testing.T, path string, acknowledged []string) {
	t.Helper()
	s, err := Open(t.Context(), path, quick())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	newest, err := s.Newest(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	revs := []Rev{newest}
	for _, text := range acknowledged {
		rev, err := strconv.Atoi(text)
		if err != nil || Rev(rev) > newest {
			t.Fatalf("revision %s was acknowledged; the newest is %d", text, newest)
		}
	}
	if len(acknowledged) > 0 {
		last, _ := strconv.Atoi(acknowledged[len(acknowledged)-1])
		revs = append(revs, Rev(last))
	}
	for _, rev := range revs {
		h, err := s.House(t.Context(), rev)
		if err != nil {
			t.Fatal(err)
		}
		want := threeLamps(rev)
		if rev == 0 {
			want = nil
		}
		if len(h.Points) != len(want) {
			t.Fatalf("revision %d has %d lamps", rev, len(h.Points))
		}
		for i, p := range h.Points {
			if p.Load.Power != want[i].Load.Power {
				t.Fatalf("revision %d has %s at %s", rev, p.ID, p.Load.Power)
			}
		}
	}
}

// bigPoints is the size of a job that takes a while to copy.
const bigPoints = 300

// bigEnough makes a job that takes a while to copy.
func bigEnough(t *testing.T) string {
	t.Helper()
	s := newJob(t)
	must(t, s, 0, house.Diff(&house.House{}, generated.House(bigPoints, 1))...)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return s.Path()
}

// patience is how many times the usual number of rounds is tried on a busy machine until there is something to look at.
const patience = 8

// slower gives a child more time, the more rounds have gone by: the pace that was measured may have been that of a quieter
// moment.
func slower(first time.Duration, round int) time.Duration {
	return first * time.Duration(1+round/rounds())
}

func rounds() int {
	if testing.Short() {
		return 4
	}
	return 15
}

// TestKilledWhileCopying kills backups: a copy that has its name is whole, and the job is unharmed.
func TestKilledWhileCopying(t *testing.T) {
	t.Parallel()
	path := bigEnough(t)
	random := rand.New(rand.NewPCG(8, 0))
	copies, first := 0, pace(t, "backup", bigEnough(t))
	for n := 0; n < rounds() || (copies == 0 && n < patience*rounds()); n++ {
		killed(t, "backup", path, within(random, slower(first, n), 2))
		names, err := filepath.Glob(path + ".*.copy")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range append(names, path) {
			s, err := Open(t.Context(), name, quick())
			if err != nil {
				t.Fatal(err)
			}
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
		}
		copies += len(names)
		for _, name := range names {
			if err := os.Remove(name); err != nil {
				t.Fatal(err)
			}
		}
	}
	if copies == 0 {
		t.Error("no copy was made in all this time; nothing was tested")
	}
}

// TestKilledWhileExporting kills exports: a folder that has its name is complete.
func TestKilledWhileExporting(t *testing.T) {
	t.Parallel()
	path := bigEnough(t)
	s, err := Open(t.Context(), path, quick())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	want, err := s.ExportText(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(9, 0))
	folders, first := 0, pace(t, "export", bigEnough(t))
	for n := 0; n < rounds() || (folders == 0 && n < patience*rounds()); n++ {
		killed(t, "export", path, within(random, slower(first, n), 2))
		names, err := filepath.Glob(path + ".*.text")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			files, err := ReadFolder(name)
			if err != nil {
				t.Fatal(err)
			}
			for file, text := range want {
				if string(files[file]) != string(text) {
					t.Fatalf("%s of %s is not complete", file, name)
				}
			}
			if err := os.RemoveAll(name); err != nil {
				t.Fatal(err)
			}
		}
		folders += len(names)
	}
	if folders == 0 {
		t.Error("no folder was written in all this time; nothing was tested")
	}
}

// TestKilledWhileMigrating kills upgrades of the format: the file is of one format or the other and whole, and once the
// upgrade has begun the copy of the older one is there and whole.
func TestKilledWhileMigrating(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	list, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(10, 0))
	formats := map[int]int{}
	original, err := os.ReadFile(bigEnough(t))
	if err != nil {
		t.Fatal(err)
	}
	first := pace(t, "migrate", bigEnough(t))
	for n := 0; n < (rounds()+1)/2 || (len(formats) < 2 && !testing.Short() && n < patience*rounds()); n++ {
		path := filepath.Join(t.TempDir(), "house.job")
		if err := os.WriteFile(path, original, 0o600); err != nil {
			t.Fatal(err)
		}
		killed(t, "migrate", path, within(random, first, 1.5))
		have := openedAs(t, path, append(list, heavyMigration()))
		formats[have]++
		if _, err := os.Stat(path + ".format1"); err != nil {
			t.Fatalf("format %d without a copy of format 1: %v", have, err)
		}
		s, err := open(ctx, path+".format1", quick(), list)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("formats found after the kill: %v", formats)
	if len(formats) < 2 && !testing.Short() {
		t.Errorf("only format %v was ever found after a kill; the kills do not fall into the upgrade", formats)
	}
}

// openedAs tells the format that a killed upgrade left, then opens the file with the newer program and looks it over.
func openedAs(t *testing.T, path string, list []migration) int {
	t.Helper()
	ctx := context.Background()
	d := newDatabase(path, 1)
	if err := d.fill(ctx, d.reader, connection{}); err != nil {
		t.Fatal(err)
	}
	have, err := d.format(ctx, d.reader)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.close(); err != nil {
		t.Fatal(err)
	}
	s, err := open(ctx, path, quick(), list)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Verify(ctx); err != nil {
		t.Fatal(err)
	}
	if h, err := s.House(ctx, 1); err != nil || len(h.Points) < bigPoints {
		t.Fatalf("after the upgrade the house has %v, %v", h, err)
	}
	return have
}
