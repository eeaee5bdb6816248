package store

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// FuzzOpen opens a job into which any bytes were written at any place, and which was cut: it opens and reads as before,
// or an error says why not.
func FuzzOpen(f *testing.F) {
	whole, err := os.ReadFile(closedJob(f))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(uint32(0), []byte{}, uint32(0))
	f.Add(uint32(18), []byte{9, 9}, uint32(0))        // read and write versions of the header
	f.Add(uint32(60), []byte{0, 0, 0, 0}, uint32(0))  // user_version
	f.Add(uint32(28), []byte{0, 0, 0, 1}, uint32(0))  // size in pages
	f.Add(uint32(100), []byte{13, 0, 0}, uint32(0))   // first page of the schema
	f.Add(uint32(4096), []byte{255, 255}, uint32(50)) // a page, and the end cut off
	f.Fuzz(func(t *testing.T, at uint32, patch []byte, cut uint32) {
		data := bytes.Clone(whole)
		copy(data[int(at)%len(data):], patch)
		data = data[:len(data)-int(cut)%len(data)]
		path := filepath.Join(t.TempDir(), "fuzz.job")
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := Open(t.Context(), path, quick())
		if err == nil {
			_, err = everything(t.Context(), s)
			if e := s.Close(); e != nil && err == nil {
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
