package store

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// FuzzOpen opens files of any bytes: a job opens and reads, or an error says why not.
func FuzzOpen(f *testing.F) {
	whole, err := os.ReadFile(closedJob(f))
	if err != nil {
		f.Fatal(err)
	}
	f.Add([]byte{})
	f.Add(whole[:100])
	f.Add(whole[:len(whole)/2])
	f.Add(whole)
	f.Fuzz(func(t *testing.T, data []byte) {
		path := filepath.Join(t.TempDir(), "fuzz.job")
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := Open(t.Context(), path, quick())
		if err == nil {
			_, err = everything(t.Context(), s)
			if e := s.Close(); e != nil {
				t.Fatal(e)
			}
		}
		if err != nil && (KindOf(err) == "" || err.Error() == "") {
			t.Fatalf("an error without a kind: %v", err)
		}
	})
}

// FuzzCreateFromText makes jobs of altered text: either it is refused with a kind and leaves nothing behind, or the job
// is whole and its own text makes the same job again.
func FuzzCreateFromText(f *testing.F) {
	s, err := Open(f.Context(), closedJob(f), quick())
	if err != nil {
		f.Fatal(err)
	}
	files, err := everything(f.Context(), s)
	if err != nil {
		f.Fatal(err)
	}
	if err := s.Close(); err != nil {
		f.Fatal(err)
	}
	f.Add(files[FileHouse], files[FileLog], files[FileEvidence], files[FileJournal])
	f.Add([]byte("format: wirewright house 1\nsite: {}\n"), []byte{}, []byte{}, []byte{})
	f.Add([]byte("format: wirewright house 1\nsite: {}\n"), []byte(`{"rev":1,"at":"2026-01-01T00:00:00Z","act":"edit","digest":"","changes":[]}`), []byte("{}"), []byte("null\n\n"))
	f.Add([]byte{}, []byte(`{"rev":1,"act":"edit","changes":[{"kind":"order","id":"a"},{"kind":"x","after":1}]}`), []byte("["), []byte(`{"seq":1,"what":"x"}`))
	f.Fuzz(func(t *testing.T, house, log, evidence, journal []byte) {
		path := filepath.Join(t.TempDir(), "fuzz.job")
		text := map[string][]byte{FileHouse: house, FileLog: log, FileEvidence: evidence, FileJournal: journal}
		s, _, err := CreateFromText(t.Context(), path, quick(), text)
		if err != nil {
			if names, _ := os.ReadDir(filepath.Dir(path)); KindOf(err) == "" || len(names) > 0 {
				t.Fatalf("%v, left behind: %v", err, names)
			}
			return
		}
		defer s.Close()
		if err := s.Verify(t.Context()); err != nil {
			t.Fatal(err)
		}
		first, err := everything(t.Context(), s)
		if err != nil {
			t.Fatal(err)
		}
		again, _, err := CreateFromText(t.Context(), path+"2", quick(), first)
		if err != nil {
			t.Fatal(err)
		}
		defer again.Close()
		second, err := everything(t.Context(), again)
		if err != nil {
			t.Fatal(err)
		}
		for name := range first {
			if !bytes.Equal(first[name], second[name]) {
				t.Fatalf("%s reads\n%s\nand then\n%s", name, first[name], second[name])
			}
		}
	})
}
