package store

import (
	"bytes"
	"context"
	"database/sql"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wirewright/house"
	"wirewright/house/generated"
)

// closedJob makes a job with a small house, evidence, a record and an attachment, and closes it.
func closedJob(t testing.TB) string {
	t.Helper()
	s := newJob(t)
	ctx := t.Context()
	must(t, s, 0, house.Diff(&house.House{}, generated.House(6, 1))...)
	if _, err := s.AddEvidence(ctx, Evidence{Rev: 1, Source: Measured, What: "seen"}, []byte("proof")); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Append(ctx, Record{What: "load"}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Attach(ctx, Attachment{Name: "plan.png", Media: "image/png", Data: bytes.Repeat([]byte("plan"), 3000)}); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	return s.Path()
}

// TestForeignFilesAreRefusedUntouched hands in what people hand in by mistake.
func TestForeignFilesAreRefusedUntouched(t *testing.T) {
	dir := t.TempDir()
	other := filepath.Join(dir, "other.db")
	db, err := sql.Open("sqlite", other)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("CREATE TABLE t (n)"); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"empty": "", "short": "SQLite format 3\x00", "text": strings.Repeat("house\n", 100)} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for name, kind := range map[string]Kind{"other.db": Foreign, "empty": Torn, "short": Foreign, "text": Foreign, ".": Foreign} {
		path := filepath.Join(dir, name)
		before, _ := os.ReadFile(path)
		_, err := Open(t.Context(), path, quick())
		if KindOf(err) != kind || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: %v", name, err)
		}
		if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
			t.Errorf("%s was touched", name)
		}
	}
	if names, _ := os.ReadDir(dir); len(names) != 4 {
		t.Errorf("something was left behind: %v", names)
	}
}

func TestNewerAndPlantedFilesAreRefusedWhole(t *testing.T) {
	list, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "new.job")
	s, err := create(t.Context(), path, quick(), append(list, heavyMigration()))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	before, _ := os.ReadFile(path)
	_, err = Open(t.Context(), path, quick())
	wantKind(t, err, Newer, "format 2", "newer program")
	if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
		t.Error("the newer file was touched")
	}
	planted := closedJob(t)
	db, err := sql.Open("sqlite", planted)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("CREATE TRIGGER bad AFTER INSERT ON revision BEGIN DELETE FROM entity; END"); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	_, err = Open(t.Context(), planted, quick())
	wantKind(t, err, Torn, "tables")
}

func TestUpgradeKeepsACopyAndReadOnlyRefusesIt(t *testing.T) {
	list, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	newer := append(list, heavyMigration())
	path := closedJob(t)
	opt := quick()
	opt.ReadOnly = true
	_, err = open(t.Context(), path, opt, newer)
	wantKind(t, err, Outdated)
	if err := os.WriteFile(path+".format1", []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := open(t.Context(), path, quick(), newer)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if mine, _ := os.ReadFile(path + ".format1"); string(mine) != "mine" {
		t.Error("a file that was there was written over")
	}
	s, err = Open(t.Context(), path+".format1.2", quick())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
}

// everything reads all that a job holds.
func everything(ctx context.Context, s *Store) (map[string][]byte, error) {
	rev, err := s.Newest(ctx)
	if err != nil {
		return nil, err
	}
	return s.ExportText(ctx, rev)
}

// TestTornFilesAreRefusedOrWhole cuts files short and flips their bits at random: a job opens as it was, or an error of a
// sensible kind says why not; it never reads differently.
func TestTornFilesAreRefusedOrWhole(t *testing.T) {
	path := closedJob(t)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Open(t.Context(), path, quick())
	if err != nil {
		t.Fatal(err)
	}
	want, err := everything(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(11, 0))
	rounds := 300
	if testing.Short() {
		rounds = 60
	}
	outcome := map[string]int{}
	torn := filepath.Join(t.TempDir(), "torn.job")
	for n := range rounds {
		data := bytes.Clone(whole)
		what := "cut"
		if n%4 == 0 {
			data = data[:random.IntN(len(data))]
		} else {
			what = "flipped"
			for range 1 + random.IntN(3) {
				data[random.IntN(len(data))] ^= 1 << random.IntN(8)
			}
		}
		if err := os.WriteFile(torn, data, 0o600); err != nil {
			t.Fatal(err)
		}
		outcome[what+" "+tornOutcome(t, torn, want)]++
		removeDraft(torn)
	}
	t.Logf("of %d files: %v", rounds, outcome)
}

func tornOutcome(t *testing.T, path string, want map[string][]byte) string {
	s, err := Open(t.Context(), path, quick())
	if err == nil {
		defer s.Close()
		var got map[string][]byte
		if got, err = everything(t.Context(), s); err == nil {
			for name := range want {
				if !bytes.Equal(got[name], want[name]) {
					t.Fatalf("a torn file opened and %s reads differently", name)
				}
			}
			return "opened whole"
		}
	}
	switch k := KindOf(err); k {
	case Torn, Foreign, Newer:
		return "refused as " + string(k)
	default:
		t.Errorf("kind %q: %v", k, err)
		return "refused oddly"
	}
}

func TestMovedAwayWhileOpenIsToldAndNothingIsLost(t *testing.T) {
	for _, c := range []struct {
		name string
		move func(path string) error
	}{
		{"moved", func(path string) error { return os.Rename(path, path+".moved") }},
		{"deleted", os.Remove},
		{"replaced", func(path string) error {
			if err := os.Rename(path, path+".moved"); err != nil {
				return err
			}
			return os.WriteFile(path, []byte("something else"), 0o600)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newJob(t)
			must(t, s, 0, add(lamp("a", 1)))
			if err := c.move(s.Path()); err != nil {
				t.Fatal(err)
			}
			_, err := s.Commit(t.Context(), 1, []house.Change{add(lamp("b", 1))}, Meta{})
			wantKind(t, err, Moved, s.Path())
			_, err = s.House(t.Context(), 1)
			wantKind(t, err, Moved)
			rescued := filepath.Join(t.TempDir(), "rescued.job")
			if err := s.Backup(t.Context(), rescued); err != nil {
				t.Fatal(err)
			}
			for _, path := range []string{rescued, s.Path() + ".moved"} {
				if _, err := os.Stat(path); err != nil && c.name == "deleted" {
					continue
				}
				again, err := Open(t.Context(), path, quick())
				if err != nil {
					t.Fatal(err)
				}
				if rev, err := again.Newest(t.Context()); err != nil || rev != 1 {
					t.Errorf("%s holds revision %d, %v", path, rev, err)
				}
				if err := again.Close(); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}

func TestFullDiskIsToldAndTheJobGoesOn(t *testing.T) {
	path := closedJob(t)
	opt := quick()
	opt.MaxPages = 120
	s, err := Open(t.Context(), path, opt)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	_, err = s.Attach(t.Context(), Attachment{Name: "big", Media: "image/png", Data: make([]byte, 1<<20)})
	wantKind(t, err, Full, "full")
	if _, err := s.Attachment(t.Context(), "big"); KindOf(err) != Missing {
		t.Errorf("half of it was stored: %v", err)
	}
	must(t, s, 1, add(lamp("after", 1)))
	if err := s.Verify(t.Context()); err != nil {
		t.Error(err)
	}
}

func TestPathsThatLookLikeParameters(t *testing.T) {
	for _, name := range []string{"a?mode=memory.job", "50 %.job", "ä#ö&_pragma=x.job", "file:x.job", "it's.job"} {
		path := filepath.Join(t.TempDir(), name)
		s, err := Create(t.Context(), path, quick())
		if err != nil {
			t.Fatal(err)
		}
		must(t, s, 0, add(lamp("a", 1)))
		if err := s.Backup(t.Context(), path+".copy"); err != nil {
			t.Error(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if names, err := os.ReadDir(filepath.Dir(path)); err != nil || len(names) != 2 {
			t.Errorf("%q made %v, %v", name, names, err)
		}
	}
}

func TestSecondOpenerIsToldWhoHasIt(t *testing.T) {
	path := closedJob(t)
	opt := quick()
	opt.Who = "anna"
	first, err := Open(t.Context(), path, opt)
	if err != nil {
		t.Fatal(err)
	}
	defer first.Close()
	second, err := Open(t.Context(), path, quick())
	if err != nil {
		t.Fatal(err)
	}
	if o := second.Others(); len(o) != 1 || o[0].Who != "anna" || !o[0].Sure || o[0].PID != os.Getpid() {
		t.Errorf("the second was told %v", o)
	}
	if err := second.Close(); err != nil {
		t.Fatal(err)
	}
	opt = quick()
	opt.Alone = true
	_, err = Open(t.Context(), path, opt)
	wantKind(t, err, Busy, "anna")
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	alone, err := Open(t.Context(), path, opt)
	if err != nil {
		t.Fatal(err)
	}
	defer alone.Close()
}

// TestProgramsThatAreGoneAreForgotten: a killed program cannot take its row away.
func TestProgramsThatAreGoneAreForgotten(t *testing.T) {
	path := emptyJob(t)
	if said := killed(t, "commit", path, 4*pace(t, "commit", emptyJob(t))); len(said) == 0 {
		t.Skip("the machine is too busy: the program was killed before it had opened the job")
	}
	s, err := Open(t.Context(), path, quick())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if o := s.Others(); len(o) != 0 {
		t.Errorf("told %v", o)
	}
}

func TestReadOnlyWritesNothing(t *testing.T) {
	path := closedJob(t)
	before, _ := os.ReadFile(path)
	opt := quick()
	opt.ReadOnly = true
	s, err := Open(t.Context(), path, opt)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.House(t.Context(), 1); err != nil {
		t.Error(err)
	}
	_, err = s.Commit(t.Context(), 1, []house.Change{add(lamp("a", 1))}, Meta{})
	wantKind(t, err, Denied, "reading only")
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
		t.Error("the file was written to")
	}
}

func TestClosedJobSaysSo(t *testing.T) {
	s := newJob(t)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Errorf("closing twice: %v", err)
	}
	_, err := s.Newest(t.Context())
	wantKind(t, err, Invalid, "closed")
	_, err = s.Commit(t.Context(), 0, []house.Change{add(lamp("a", 1))}, Meta{})
	wantKind(t, err, Invalid, "closed")
}

func TestStoppedBeforeItIsDoneStoresNothing(t *testing.T) {
	s := newJob(t)
	ctx, stop := context.WithCancel(t.Context())
	stop()
	_, err := s.Commit(ctx, 0, []house.Change{add(lamp("a", 1))}, Meta{})
	wantKind(t, err, Stopped)
	must(t, s, 0, add(lamp("a", 1)))
}

func TestSchemaPrintOfEachFormat(t *testing.T) {
	list, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	// A migration that was released is never altered: files of its format would be refused. The prints are written down
	// here when a format is released.
	prints := []string{"2e19eac653808c03"}
	for n, want := range prints {
		got, err := expectedPrint(t.Context(), list, n+1)
		if err != nil || got != want {
			t.Errorf("format %d has the print %s, %v; it was released with %s", n+1, got, err, want)
		}
	}
	if len(prints) != len(list) {
		t.Errorf("%d formats, %d prints", len(list), len(prints))
	}
}
