package job

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"wirewright/house"
	"wirewright/store"
)

// edit replaces a piece of a file.
func edit(t *testing.T, path, from, to string) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil || !bytes.Contains(b, []byte(from)) {
		t.Fatalf("%s: %v", path, err)
	}
	if err := os.WriteFile(path, bytes.Replace(b, []byte(from), []byte(to), 1), 0o644); err != nil {
		t.Fatal(err)
	}
}

// A folder of texts goes out, is edited, and comes back: also when the job went on meanwhile, if that is about other
// things; the same things are a conflict, and another job's texts are refused.
func TestTextsComeBack(t *testing.T) {
	ctx := context.Background()
	j := programmed(t)
	dir := filepath.Join(t.TempDir(), "text")
	if _, err := j.Export(ctx, dir); err != nil {
		t.Fatal(err)
	}
	e, err := j.ReadText(ctx, dir, "nothing")
	if err != nil || e.Changes != 0 || e.Rev != 3 {
		t.Errorf("untouched: %+v, %v", e, err)
	}
	edit(t, filepath.Join(dir, store.FileHouse), "title: Hall\n", "title: Entrance\n")
	if _, err := j.SetTexts(ctx, "# another text", "", "meanwhile"); err != nil {
		t.Fatal(err)
	}
	e, err = j.ReadText(ctx, dir, "rename")
	if err != nil || e.Changes != 1 || e.Rev != 5 {
		t.Errorf("another thing: %+v, %v", e, err)
	}
	if e, err = j.ReadText(ctx, dir, "again"); err != nil || e.Changes != 0 || e.Rev != 5 {
		t.Errorf("the same again: %+v, %v", e, err)
	}
	h, _, err := j.Head(ctx)
	if err != nil || house.NewIndex(h).Room("hall").Title != "Entrance" || h.Behaviour != "# another text" {
		t.Errorf("one of the edits is lost: %v", err)
	}
	edit(t, filepath.Join(dir, store.FileBehaviour), "mode away", "mode gone")
	if _, err = j.ReadText(ctx, dir, "clash"); KindOf(err) != Conflict || HintOf(err) == "" {
		t.Errorf("the same thing: %v", err)
	}
	other := programmed(t)
	if _, err := other.ReadText(ctx, dir, "foreign"); KindOf(err) != Refused {
		t.Errorf("another job's texts: %v", err)
	}
	if _, err := j.ReadText(ctx, t.TempDir(), "empty"); KindOf(err) != Invalid {
		t.Errorf("an empty folder: %v", err)
	}
}

// A folder of texts becomes a job of its own with the whole history and the types of the job.
func TestJobFromText(t *testing.T) {
	ctx := context.Background()
	j := programmed(t)
	own := `format: wirewright catalogue 1
types:
  - id: own-button
    title: Button from the attic
    medium: wifi
    mount: box
    depth: 30 mm
    neutral: true
    price: 12
    channels: [{kind: key, count: 2}]
    radio: {power: 17 dBm, sensitivity: -96 dBm}
    capacity: {rules: 50, slots: 50, bytes: 8192}
`
	if _, err := j.AddTypes(ctx, "own.yaml", []byte(own)); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "text")
	if _, err := j.Export(ctx, dir); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "copy.wirewright")
	c, r, err := FromText(ctx, path, dir, Options{Who: "other"})
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	a, rev, err := j.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	b, got, err := c.Head(ctx)
	if err != nil || got != rev || r.Rev != rev || r.Changes != 0 || len(house.Diff(a, b)) != 0 {
		t.Errorf("%+v, revision %d, want %d: %v", r, got, rev, err)
	}
	if _, ok := c.Catalogue().Type("own-button"); !ok {
		t.Error("the job's own type is lost")
	}
	if _, _, err := FromText(ctx, path, dir, Options{}); KindOf(err) != Invalid {
		t.Errorf("a name that is taken: %v", err)
	}
}
