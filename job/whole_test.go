package job

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wirewright/behaviour/accept"
	"wirewright/examples"
	"wirewright/house"
	"wirewright/store"
)

// models are building models that must go from import to papers without a hand edit: our own, and real ones where they
// lie beside the repository (buildingSMART sample "Duplex Apartment" with its electrical design, CC BY 4.0; the FZK house
// of KIT; a detached house of the xBIM toolkit's test files).
func models(t *testing.T) map[string][]File {
	t.Helper()
	list := map[string][]File{"cottage": {{Name: "cottage.ifc", Data: examples.Cottage}}}
	for name, files := range map[string][]string{
		"flats": {"Duplex_A_20110907.ifc", "Duplex_Electrical_excerpt.ifc"}, "fzk": {"AC20-FZK-Haus.ifc"}, "detached": {"House.ifc"},
	} {
		var have []File
		for _, f := range files {
			if data, err := os.ReadFile(filepath.Join("..", "..", "shared", "data", "ifc", f)); err == nil {
				have = append(have, File{f, data})
			}
		}
		if len(have) == len(files) {
			list[name] = have
		}
	}
	return list
}

func TestABuildingModelGoesThroughToThePapers(t *testing.T) {
	ctx := context.Background()
	for name, files := range models(t) {
		t.Run(name, func(t *testing.T) {
			j := begun(t)
			in, err := j.Import(ctx, files)
			if err != nil {
				t.Fatal(err)
			}
			f, err := j.Furnish(ctx)
			if err != nil {
				t.Fatal(err)
			}
			a, err := j.Allot(ctx, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, o := range a.Result.Open {
				t.Errorf("open: %s: %s", o.Point, o.Reason)
			}
			checked, err := j.Check(ctx)
			if err != nil {
				t.Fatal(err)
			}
			for _, x := range checked.List {
				if x.Severity == "fault" {
					t.Errorf("%s %s: %s", x.Slug, x.Entity, x.Text)
				}
			}
			r, err := j.Rehearse(ctx, RehearseOptions{Seed: 1, Days: 1})
			if err != nil {
				t.Fatal(err)
			}
			if !r.Good() || r.Count(accept.Passed) == 0 {
				t.Errorf("rehearsal: %s", strings.Join(r.Lines(), "\n"))
			}
			papers, err := j.WriteHandover(ctx, t.TempDir())
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%d rooms, %d points, %d rules, %d modules, %d tests passed, %d files", in.Rooms, len(f.Added), f.Rules, len(a.Result.New), r.Count(accept.Passed), len(papers.Files))
		})
	}
}

func TestAnEditOnAnOldRevisionIsRefusedWithBothVersions(t *testing.T) {
	ctx := context.Background()
	j := begun(t)
	if err := j.Begin(ctx, "first"); err != nil {
		t.Fatal(err)
	}
	h, rev, err := j.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	change := func(title string) []house.Change {
		after := *h
		after.Title = title
		return house.Diff(h, &after)
	}
	if _, err := j.Edit(ctx, rev, change("mine"), "mine"); err != nil {
		t.Fatal(err)
	}
	_, err = j.Edit(ctx, rev, change("theirs"), "theirs")
	var conflict *store.ConflictError
	if !errors.As(err, &conflict) || KindOf(err) != Conflict {
		t.Fatalf("got %v", err)
	}
	if conflict.Base != rev || conflict.Newest != rev+1 || len(conflict.Overlap) == 0 {
		t.Errorf("conflict %+v", conflict)
	}
	if now, _, _ := j.Head(ctx); now.Title != "mine" {
		t.Errorf("the title is %q", now.Title)
	}
	if _, err := j.Undo(ctx); err != nil {
		t.Fatal(err)
	}
	if now, _, _ := j.Head(ctx); now.Title != "first" {
		t.Errorf("undone to %q", now.Title)
	}
}

func TestExportedTextIsTheSameHouse(t *testing.T) {
	ctx := context.Background()
	j := begun(t)
	if _, err := j.ReadHouse(ctx, "house.yaml", examples.WeirHouse, "survey"); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "text")
	if _, err := j.Export(ctx, dir); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(dir, store.FileHouse))
	if err != nil {
		t.Fatal(err)
	}
	again := begun(t)
	if _, err := again.ReadHouse(ctx, "house.yaml", text, "again"); err != nil {
		t.Fatal(err)
	}
	a, _, _ := j.Head(ctx)
	b, _, _ := again.Head(ctx)
	if digest(a) != digest(b) {
		t.Error("the house changed on its way through the text")
	}
}

func TestMistakesInATextComeAllAtOnce(t *testing.T) {
	j := begun(t)
	_, err := j.ReadHouse(context.Background(), "bad.yaml", []byte("format: wirewright house 1\nsite: {}\nrooms:\n  - id: hall\n    storey: grund\npoints:\n  - id: hall.lamp\n    kind: lmap\n    room: hal\n"), "bad")
	if err == nil || KindOf(err) != Invalid {
		t.Fatalf("got %v", err)
	}
	for _, want := range []string{"5:", "8:", "9:", "hall"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q is not told:\n%v", want, err)
		}
	}
	if _, rev, _ := j.Head(context.Background()); rev != 0 {
		t.Error("a bad text made a revision")
	}
}

func TestReportsAreJSON(t *testing.T) {
	ctx := context.Background()
	j := begun(t)
	if _, err := j.ReadHouse(ctx, "house.yaml", examples.WeirHouse, "survey"); err != nil {
		t.Fatal(err)
	}
	a, err := j.Allot(ctx, 0)
	if err != nil {
		t.Fatal(err)
	}
	c, err := j.Check(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []Report{a, c} {
		b, err := json.Marshal(r)
		if err != nil || !json.Valid(b) || len(r.Lines()) == 0 {
			t.Errorf("%T: %v", r, err)
		}
	}
}

func TestAWrongTypeIsRefusedWhole(t *testing.T) {
	ctx := context.Background()
	j := begun(t)
	before := len(j.Catalogue().Types)
	_, err := j.AddTypes(ctx, "own.yaml", []byte("format: wirewright catalogue 1\ntypes:\n  - {id: good, title: Good, medium: wired, mount: rail, units: 2, bus: {draw: 10 mA, voltage: 24 V, least: 18 V}, channels: [{kind: in, count: 2}]}\n  - {id: bad, title: Bad, medium: wired, mount: rail}\n"))
	if err == nil || len(j.Catalogue().Types) != before {
		t.Errorf("err %v, %d types", err, len(j.Catalogue().Types)-before)
	}
	if _, err := j.AddTypes(ctx, "own.yaml", []byte("format: wirewright catalogue 1\ntypes:\n  - {id: good, title: Good, medium: wired, mount: rail, units: 2, bus: {draw: 10 mA, voltage: 24 V, least: 18 V}, channels: [{kind: in, count: 2}]}\n")); err != nil {
		t.Fatal(err)
	}
	if _, ok := j.Catalogue().Type("good"); !ok {
		t.Error("the job does not know its own type")
	}
}
