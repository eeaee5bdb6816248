package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/internal/problem"
)

// workedOn fills a job with something of everything: random edits and undos, evidence, records, results, attachments.
func workedOn(t *rapid.T, s *Store) {
	ctx := t.Context()
	h := generated.House(6, 1)
	check := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	rev, err := s.Commit(ctx, 0, house.Diff(&house.House{}, h), Meta{Who: "import"})
	check(err)
	for range rapid.IntRange(0, 6).Draw(t, "edits") {
		next := edited(t, h)
		changes := house.Diff(h, next)
		name := house.ID(rapid.SampledFrom([]string{"types/a.yaml", "sheets/b c.yaml"}).Draw(t, "name"))
		was, err := s.Documents(ctx, rev)
		check(err)
		if text, ok := was[string(name)]; ok {
			changes = append(changes, document(name, text, nil))
		} else {
			changes = append(changes, document(name, nil, rapid.String().Draw(t, "text")))
		}
		rev, err = s.Commit(ctx, rev, changes, Meta{Who: rapid.SampledFrom(people).Draw(t, "who"), Why: rapid.String().Draw(t, "why")})
		check(err)
		h = next
		_, err = s.AddEvidence(ctx, Evidence{Rev: rev, Source: Measured, What: "seen", Value: rapid.String().Draw(t, "value"), Unit: "Ω"},
			rapid.SampledFrom([][]byte{nil, {}, {0, 1}}).Draw(t, "proof"))
		check(err)
		_, err = s.Append(ctx, Record{What: "load", Payload: json.RawMessage("{ \"a\" : [1, \"<\u2028>\"] }")})
		check(err)
		check(s.SaveResult(ctx, Result{Stage: "check", Rev: rev, Data: json.RawMessage("[ ]"), Keep: rapid.Bool().Draw(t, "keep")}))
	}
	for i, data := range rapid.SliceOfN(rapid.SliceOf(rapid.Byte()), 0, 3).Draw(t, "attached") {
		_, err := s.Attach(ctx, Attachment{Name: fmt.Sprintf("plans/%d.png", i), Media: "image/png", Who: "anna", Note: "ł", Data: data})
		check(err)
	}
}

// TestTextLosesNothing sends jobs through text and back: the text of the copy is the same to the byte.
func TestTextLosesNothing(t *testing.T) {
	dir, n := t.TempDir(), 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		s, err := Create(t.Context(), filepath.Join(dir, fmt.Sprintf("%d.job", n)), quick())
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		workedOn(t, s)
		rev, err := s.Newest(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		folder := filepath.Join(dir, fmt.Sprintf("%d.text", n))
		if err := s.ExportFolder(t.Context(), rev, folder); err != nil {
			t.Fatal(err)
		}
		files, err := ReadFolder(folder)
		if err != nil {
			t.Fatal(err)
		}
		copied, im, err := CreateFromText(t.Context(), filepath.Join(dir, fmt.Sprintf("%d.copy", n)), quick(), files)
		if err != nil {
			t.Fatal(err)
		}
		defer copied.Close()
		if len(im.Changes) > 0 {
			t.Fatalf("the copy was changed by %+v", im.Changes)
		}
		again, err := copied.ExportText(t.Context(), rev)
		if err != nil {
			t.Fatal(err)
		}
		sameFiles(t, again, files)
		if err := copied.Verify(t.Context()); err != nil {
			t.Fatal(err)
		}
	})
}

func sameFiles(t *rapid.T, got, want map[string][]byte) {
	for name := range want {
		if !bytes.Equal(got[name], want[name]) {
			t.Fatalf("%s reads\n%s\nwant\n%s", name, got[name], want[name])
		}
	}
	if len(got) != len(want) {
		t.Fatalf("%d files, want %d", len(got), len(want))
	}
}

// exported makes a small job and its text.
func exported(t *testing.T) (*Store, map[string][]byte) {
	t.Helper()
	s := newJob(t)
	h := generated.House(6, 1)
	h.Behaviour, h.Acceptance = "on press hall.keys.1 toggle hall.lamp\n", "test \"x\"\n"
	must(t, s, 0, append(house.Diff(&house.House{}, h), document("types/own.yaml", nil, "# mine\ntypes: []\n"))...)
	files, err := s.ExportText(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	return s, files
}

func TestImportTellsWhatItWouldChangeAndDrop(t *testing.T) {
	s, files := exported(t)
	if im, err := s.ImportText(t.Context(), 1, files); err != nil || len(im.Changes)+len(im.Dropped) > 0 {
		t.Fatalf("an untouched text: %+v, %v", im, err)
	}
	lines := strings.SplitAfter(string(files[FileHouse]), "\n")
	lines = slices.Insert(lines, 2, "# ask the client about this\n")
	files[FileHouse] = []byte(strings.Join(lines, ""))
	files[FileBehaviour] = []byte("changed\r\n")
	delete(files, "documents/types/own.yaml")
	files["documents/sheets/new.yaml"] = []byte("sheets: []\n")
	files["readme.txt"] = []byte("x")
	im, err := s.ImportText(t.Context(), 1, files)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range im.Changes {
		got = append(got, fmt.Sprintf("%s %s %t %t", c.Kind, c.ID, c.Before != nil, c.After != nil))
	}
	want := "text behaviour true true; document sheets/new.yaml false true; document types/own.yaml true false"
	if strings.Join(got, "; ") != want {
		t.Errorf("changes: %s", strings.Join(got, "; "))
	}
	if len(im.Dropped) != 1 || im.Dropped[0].Line != 3 || !strings.Contains(im.Dropped[0].String(), "house.yaml:3") ||
		!strings.Contains(im.Dropped[0].String(), "# ask the client") {
		t.Errorf("dropped: %v", im.Dropped)
	}
	if !slices.Contains(im.Unread, "readme.txt") {
		t.Errorf("unread: %v", im.Unread)
	}
	must(t, s, 1, im.Changes...)
	again, err := s.ExportText(t.Context(), 2)
	if err != nil || string(again[FileBehaviour]) != "changed\r\n" {
		t.Errorf("after the import: %q, %v", again[FileBehaviour], err)
	}
}

func TestImportRefusesMistakesWithTheirPlaces(t *testing.T) {
	s, files := exported(t)
	for _, c := range []struct {
		name  string
		spoil func(map[string][]byte)
		kind  Kind
		words string
	}{
		{"no house", func(f map[string][]byte) { delete(f, FileHouse) }, Missing, "house.yaml"},
		{"a mistake", func(f map[string][]byte) { f[FileHouse] = append(f[FileHouse], "chimneys: 3\n"...) }, Invalid, "chimneys"},
		{"a text twice", func(f map[string][]byte) { f[FileHouse] = append(f[FileHouse], "behaviour: x\n"...) }, Invalid, "behaviour.txt"},
		{"bytes that are no text", func(f map[string][]byte) { f[FileAcceptance] = []byte{0xff} }, Invalid, "acceptance.txt"},
		{"a document of a bad name", func(f map[string][]byte) { f["documents/../x"] = []byte("x") }, Invalid, "../x"},
		{"a document that is no text", func(f map[string][]byte) { f["documents/x"] = []byte{0xff} }, Invalid, "UTF-8"},
	} {
		spoilt := map[string][]byte{}
		for name, data := range files {
			spoilt[name] = slices.Clone(data)
		}
		c.spoil(spoilt)
		_, err := s.ImportText(t.Context(), 1, spoilt)
		if KindOf(err) != c.kind || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	files[FileHouse] = append(files[FileHouse], "chimneys: 3\n"...)
	_, err := s.ImportText(t.Context(), 1, files)
	var list problem.List
	if !errors.As(err, &list) || list[0].Line == 0 {
		t.Errorf("the mistakes have no places: %v", err)
	}
}

func TestCreateFromTextRefusesAnAlteredRecord(t *testing.T) {
	s, _ := exported(t)
	if _, err := s.Attach(t.Context(), Attachment{Name: "a.png", Media: "image/png", Data: []byte("picture")}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddEvidence(t.Context(), Evidence{Rev: 1, Source: Assumed, What: "x"}, nil); err != nil {
		t.Fatal(err)
	}
	files, err := s.ExportText(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, file, from, to string
		kind                 Kind
		place                string
	}{
		{"another author", FileLog, `"who":"anna"`, `"who":"ben"`, Torn, "log.jsonl:1"},
		{"another entity", FileLog, `"hall`, `"mall`, Torn, "log.jsonl:1"},
		{"another revision", FileLog, `{"rev":1`, `{"rev":2`, Invalid, "log.jsonl:1"},
		{"an unknown word", FileLog, `{"rev":1`, `{"revision":1`, Invalid, "log.jsonl:1"},
		{"other bytes", "attachments/a.png", "picture", "pictures", Torn, "attachments.jsonl:1"},
		{"evidence without a source", FileEvidence, "assumed", "guessed", Invalid, "evidence.jsonl:1"},
		{"evidence on no revision", FileEvidence, `"rev":1`, `"rev":9`, Missing, "evidence.jsonl:1"},
	} {
		spoilt := map[string][]byte{}
		for name, data := range files {
			spoilt[name] = data
		}
		spoilt[c.file] = bytes.Replace(files[c.file], []byte(c.from), []byte(c.to), 1)
		if bytes.Equal(spoilt[c.file], files[c.file]) && c.name != "another entity" {
			t.Fatalf("%s: nothing was spoilt", c.name)
		}
		path := filepath.Join(t.TempDir(), "copy.job")
		_, _, err := CreateFromText(t.Context(), path, quick(), spoilt)
		if c.name == "another entity" && bytes.Equal(spoilt[c.file], files[c.file]) {
			continue
		}
		if KindOf(err) != c.kind || !strings.Contains(err.Error(), c.place) {
			t.Errorf("%s: %v", c.name, err)
		}
		if names, _ := os.ReadDir(filepath.Dir(path)); len(names) > 0 {
			t.Errorf("%s: %v was left behind", c.name, names)
		}
	}
}

func TestCreateFromTextKeepsEditsOfPeople(t *testing.T) {
	_, files := exported(t)
	files[FileBehaviour] = []byte("# new\n")
	s, im, err := CreateFromText(t.Context(), filepath.Join(t.TempDir(), "copy.job"), quick(), files)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	log, err := s.Log(t.Context())
	if err != nil || len(log) != 2 || log[1].Act != ActImport || len(im.Changes) != 1 {
		t.Errorf("the log reads %+v, %v", log, err)
	}
}

func TestExportFolderLeavesOthersAlone(t *testing.T) {
	s, _ := exported(t)
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "mine.txt"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	wantKind(t, s.ExportFolder(t.Context(), 1, dir), Exists)
	wantKind(t, s.ExportFolder(t.Context(), 1, filepath.Join(dir, "mine.txt")), Exists)
	if _, err := os.Stat(filepath.Join(dir, "mine.txt")); err != nil {
		t.Error(err)
	}
	empty := filepath.Join(dir, "empty")
	if err := os.Mkdir(empty, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := s.ExportFolder(t.Context(), 1, empty); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("/etc/hosts", filepath.Join(empty, "link")); err != nil {
		t.Skip("no symbolic links here")
	}
	_, err := ReadFolder(empty)
	wantKind(t, err, Invalid, "link")
}
