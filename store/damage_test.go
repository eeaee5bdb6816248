package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"modernc.org/sqlite"

	"wirewright/house"
)

// TestAlteredRowsAreFoundOut alters single values as a fault of the disk, or a clever hand, would; SQLite itself finds
// nothing wrong with the file.
func TestAlteredRowsAreFoundOut(t *testing.T) {
	for _, c := range []struct{ name, sql, words string }{
		{"an entity's text", "UPDATE entity SET data = replace(data, 'Lamp', 'Damp') WHERE id = 'hall.lamp'", "hall.lamp"},
		{"an entity's place", "UPDATE entity SET place = 'f' WHERE id = 'hall.lamp'", "hall.lamp"},
		{"an entity's end", "UPDATE entity SET until = 3 WHERE id = 'hall.lamp' AND until IS NULL", "hall.lamp"},
		{"an author", "UPDATE revision SET who = 'carl' WHERE rev = 2", "revision 2"},
		{"an undo stack", "UPDATE revision SET undo = 1 WHERE rev = 2", "revision 2"},
		{"an attachment's name", "UPDATE attachment SET media = 'image/gif'", "plans/ground.png"},
		{"a result", "UPDATE result SET data = '[1]'", "stage check"},
		{"a sealed secret", "UPDATE secret SET sealed = zeroblob(10)", "wifi"},
		{"the key pair", "UPDATE keypair SET recipient = 'x'", "key pair"},
		{"a lock", "UPDATE keyhole SET locked = zeroblob(10)", "lock"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := goldenJob(t)
			alter(t, s, c.sql)
			wantKind(t, s.Verify(t.Context()), Torn, c.words)
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			_, err := Open(t.Context(), s.Path(), quick())
			wantKind(t, err, Torn, c.words)
		})
	}
}

// TestTheChainFindsWhatChecksumsCannot alters the file with matching checksums.
func TestTheChainFindsWhatChecksumsCannot(t *testing.T) {
	for _, c := range []struct{ name, sql string }{
		{"attached bytes", "UPDATE blob SET data = CAST('other' AS BLOB)"},
		{"a change that is gone", "DELETE FROM change WHERE rev = 2 AND seq = 2"},
	} {
		s := goldenJob(t)
		alter(t, s, c.sql)
		wantKind(t, s.Verify(t.Context()), Torn)
	}
	s := goldenJob(t)
	err := s.write(t.Context(), func(x *txn) error {
		e, err := x.entry(1)
		if err != nil {
			return err
		}
		e.Meta.Who = "carl"
		if _, err := x.exec("DELETE FROM revision WHERE rev = 1"); err == nil {
			return errors.New("a revision with entities could be removed")
		}
		_, err = x.exec("UPDATE revision SET who = 'carl', sum = ? WHERE rev = 1", e.sum(stamp(e.Meta.When)))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	wantKind(t, s.Verify(t.Context()), Torn, "revision 1", "digest")
}

func alter(t *testing.T, s *Store, text string) {
	t.Helper()
	err := s.write(t.Context(), func(x *txn) error {
		n, err := x.exec(text)
		if err == nil && n == 0 {
			err = errors.New("nothing was altered")
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestConflictFarBackIsBounded: a base that lies very far back is told by number, with the newest revisions in full.
func TestConflictFarBackIsBounded(t *testing.T) {
	s := newJob(t)
	a := lamp("a", 0)
	must(t, s, 0, add(a))
	// Many revisions at once: the bound is what is tested, not the disk.
	err := s.write(t.Context(), func(x *txn) error {
		for rev := Rev(2); rev <= betweenMost+6; rev++ {
			b := lamp("a", float64(rev))
			rows, err := encodeChanges([]house.Change{swap(a, b)})
			if err != nil {
				return err
			}
			if err := x.append(Entry{Rev: rev, Meta: Meta{When: clock()()}, Act: ActEdit, undo: rev}, rows); err != nil {
				return err
			}
			a = b
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.Commit(t.Context(), 1, []house.Change{add(lamp("b", 1))}, Meta{})
	var conflict *ConflictError
	if !errors.As(err, &conflict) || len(conflict.Between) != betweenMost || conflict.Earlier != 5 {
		t.Fatalf("%d between, %d earlier", len(conflict.Between), conflict.Earlier)
	}
	if conflict.Between[betweenMost-1].Rev != conflict.Newest {
		t.Error("the newest revision is not among them")
	}
}

// TestErrorsSayWhatToDo: each error that a person meets has a kind, a place and a way on.
func TestErrorsSayWhatToDo(t *testing.T) {
	for _, f := range sqliteFaults() {
		if f.text == "" || f.kind == "" || strings.HasSuffix(f.text, ".") || strings.ToLower(f.text[:1]) != f.text[:1] {
			t.Errorf("code %d reads %+v", f.code, f)
		}
		if f.hint == "" && f.kind != Stopped {
			t.Errorf("code %d does not say what to do", f.code)
		}
	}
	for _, c := range []struct {
		err  error
		want Kind
	}{
		{context.Canceled, Stopped},
		{fmt.Errorf("wrapped: %w", context.DeadlineExceeded), Stopped},
		{errors.New("odd"), Broken},
		{&sqlite.Error{}, Broken},
		{invalid("x"), Invalid},
		{nil, ""},
	} {
		if got := KindOf(classify(c.err, "house.job")); got != c.want {
			t.Errorf("%v is of kind %q, want %q", c.err, got, c.want)
		}
	}
	e := &Error{Kind: Full, Path: "house.job", Text: "the disk is full", Hint: "make room", Err: errors.New("cause")}
	if got := e.Error(); got != "house.job: the disk is full: cause; make room" {
		t.Error(got)
	}
}

// TestRealFullDisk fills a small disk of memory; making one needs rights that not every machine gives.
func TestRealFullDisk(t *testing.T) {
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("no small disk can be made here: %s", out)
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", dir).CombinedOutput(); err != nil {
			t.Errorf("%s", out)
		}
	})
	s, err := Create(t.Context(), filepath.Join(dir, "house.job"), quick())
	if err != nil {
		t.Fatal(err)
	}
	rev := must(t, s, 0, add(lamp("a", 1)))
	fill := filepath.Join(dir, "fill")
	if err := os.WriteFile(fill, make([]byte, 2<<20), 0o600); err == nil {
		t.Fatal("the disk is larger than it should be")
	}
	var full error
	for n := 0; full == nil && n < 500; n++ {
		next, err := s.Commit(t.Context(), rev, []house.Change{add(lamp(house.ID(fmt.Sprintf("p%d", n)), 1))}, Meta{})
		if full = err; err == nil {
			rev = next
		}
	}
	if k := KindOf(full); k != Full && k != Broken {
		t.Fatalf("on a full disk the store says %v", full)
	}
	if err := os.Remove(fill); err != nil {
		t.Fatal(err)
	}
	if newest, err := s.Newest(t.Context()); err != nil || newest != rev {
		t.Errorf("revision %d was acknowledged, the newest is %d, %v", rev, newest, err)
	}
	must(t, s, rev, add(lamp("after", 1)))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s, err = Open(t.Context(), filepath.Join(dir, "house.job"), quick())
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Verify(t.Context()); err != nil {
		t.Error(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

func TestLocalDisksAreNotTakenForShares(t *testing.T) {
	if kind := shared(filepath.Join(t.TempDir(), "house.job")); kind != "" {
		t.Errorf("the folder for tests is taken for a share (%s)", kind)
	}
}
