package store

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"flag"
	"io"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"wirewright/house"
	"wirewright/unit"
)

var rewrite = flag.Bool("rewrite", false, "write the golden files anew")

// goldenJob is one small job with something of everything, always the same.
func goldenJob(t *testing.T) *Store {
	t.Helper()
	ctx := t.Context()
	s := newJob(t)
	check := func(_ any, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	hall, bath := lamp("hall.lamp", 8), lamp("bath.lamp", 12)
	keys := house.Point{ID: "hall.keys", Kind: house.Keypad, Room: "hall", Keys: []string{"hall", "all off"}}
	site := house.Site{Place: "Somewhere", Zone: "Europe/Warsaw", Supply: house.Supply{Voltage: unit.Volts(230), Phases: 3}}
	check(s.Commit(ctx, 0, []house.Change{
		{Kind: "text", ID: "format", Before: "", After: house.FormatName},
		{Kind: "text", ID: "title", Before: "", After: "Dom pod lasem"},
		{Kind: "site", Before: house.Site{}, After: site},
		{Kind: "storey", ID: "ground", After: house.Storey{ID: "ground", Height: unit.Metres(2.8)}},
		{Kind: "room", ID: "hall", After: house.Room{ID: "hall", Title: "Hall", Storey: "ground"}},
		add(hall), add(keys),
	}, Meta{Who: "anna", Why: "survey"}))
	check(s.Commit(ctx, 1, []house.Change{
		{Kind: "point", ID: bath.ID, After: bath, Follows: house.AtStart},
		{Kind: "order", ID: keys.ID, Before: house.Order{List: "point", Follows: hall.ID}, After: house.Order{List: "point", Follows: bath.ID}},
		{Kind: "text", ID: "behaviour", Before: "", After: "# what the keys do\non press hall.keys.1\n  toggle hall.lamp\n"},
		document("types/own.yaml", nil, "types: []\n"),
	}, Meta{Who: "ben", Why: "first rule"}))
	check(s.Undo(ctx, 2, Meta{Who: "ben"}))
	check(s.Redo(ctx, 3, Meta{Who: "ben"}))
	check(s.Attach(ctx, Attachment{Name: "plans/ground.png", Media: "image/png", Who: "anna", Data: []byte("picture")}))
	check(s.AddEvidence(ctx, Evidence{Kind: "point", ID: hall.ID, Rev: 4, Source: Measured, Who: "anna", What: "power", Value: "7.8", Unit: "W"}, []byte("photo")))
	check(s.Append(ctx, Record{What: "load", Payload: json.RawMessage(`{"epoch":1}`)}))
	check(nil, s.SaveResult(ctx, Result{Stage: "check", Rev: 4, Data: json.RawMessage(`[]`), Keep: true}))
	check(nil, s.Protect(ctx, passphrase(t, "four plain words here")))
	check(nil, s.Seal(ctx, "wifi", NewSecretText("plain text")))
	return s
}

// reviewed joins text files into one that a person can review.
func reviewed(files map[string][]byte) []byte {
	names := make([]string, 0, len(files))
	for name := range files {
		names = append(names, name)
	}
	sort.Strings(names)
	var b bytes.Buffer
	for _, name := range names {
		b.WriteString("=== " + name + "\n")
		b.Write(bytes.TrimSuffix(files[name], []byte("\n")))
		b.WriteString("\n")
	}
	return b.Bytes()
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *rewrite {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs; got\n%s", path, got)
	}
}

// TestTextOfAJob shows the text form; what is exported today must be readable tomorrow.
func TestTextOfAJob(t *testing.T) {
	files, err := everything(t.Context(), goldenJob(t))
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "job.txt", reviewed(files))
}

// TestFormat1StillOpens opens a file that was written when format 1 was new, and compares it with its text. The file is
// never written anew: -rewrite makes it only where it is missing.
func TestFormat1StillOpens(t *testing.T) {
	packed := filepath.Join("testdata", "format1.job.gz")
	if _, err := os.Stat(packed); err != nil && *rewrite {
		pack(t, goldenJob(t), packed)
	}
	f, err := os.Open(packed)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	data, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "old.job")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := Open(t.Context(), path, quick())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Verify(t.Context()); err != nil {
		t.Fatal(err)
	}
	files, err := everything(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "job.txt", reviewed(files))
	if err := s.Unlock(t.Context(), passphrase(t, "four plain words here")); err != nil {
		t.Fatal(err)
	}
	if secret, err := s.Open(t.Context(), "wifi"); err != nil || secret.Reveal() != "plain text" {
		t.Errorf("the secret reads %q, %v", secret.Reveal(), err)
	}
}

func pack(t *testing.T, s *Store, to string) {
	t.Helper()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(s.Path())
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err == nil {
		_, err = w.Write(data)
	}
	if err != nil || w.Close() != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestFailedUpgradeLeavesTheFileAsItWas: a migration is done whole or not at all.
func TestFailedUpgradeLeavesTheFileAsItWas(t *testing.T) {
	list, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	path := closedJob(t)
	bad := migration{name: "0002_bad.sql", text: "CREATE TABLE more (n INTEGER) STRICT; INSERT INTO more VALUES ('x');"}
	_, err = open(t.Context(), path, quick(), append(list, bad))
	if err == nil || !strings.Contains(err.Error(), "0002_bad.sql") {
		t.Fatalf("the upgrade says %v", err)
	}
	s, err := Open(t.Context(), path, quick())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Verify(t.Context()); err != nil {
		t.Error(err)
	}
	if _, err := s.House(t.Context(), 1); err != nil {
		t.Error(err)
	}
}

// TestFilesAreWhatSQLiteDocuments reads the header by the table of sqlite.org/fileformat2.html section 1.3: magic, write
// and read version (2: write-ahead log), user version, application id.
func TestFilesAreWhatSQLiteDocuments(t *testing.T) {
	head, err := readHeader(closedJob(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		at   int
		want string
	}{{0, "SQLite format 3\x00"}, {18, "\x02\x02"}, {60, "\x00\x00\x00\x01"}, {68, "WWjb"}} {
		if got := string(head[c.at : c.at+len(c.want)]); got != c.want {
			t.Errorf("at offset %d stands %q, want %q", c.at, got, c.want)
		}
	}
}
