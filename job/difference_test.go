package job

import (
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/examples"
	"wirewright/house"
)

// Taking the lines with "-" out of the one text and those with "+" out of the other leaves the same lines, and the
// shortest such list is as long as the one that diff makes (an independent program; its count is that of its < and >).
func TestLineDifference(t *testing.T) {
	text := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c", "on", ""}), 0, 12)
	rapid.Check(t, func(t *rapid.T) {
		a, b := text.Draw(t, "a"), text.Draw(t, "b")
		list := lineDifference(lined(a), lined(b))
		var gone, fresh []string
		for _, l := range list {
			if l[0] == '-' {
				gone = append(gone, l[2:])
			} else {
				fresh = append(fresh, l[2:])
			}
		}
		if len(a)-len(gone) != len(b)-len(fresh) {
			t.Fatalf("%q to %q: %q", a, b, list)
		}
		if slices.Equal(a, b) != (len(list) == 0) {
			t.Fatalf("%q to %q: %q", a, b, list)
		}
		if want := len(a) + len(b) - 2*common(a, b); len(list) != want {
			t.Fatalf("%q to %q: %d lines differ, %d need to", a, b, len(list), want)
		}
	})
}

// lined joins lines as a text.
func lined(lines []string) string {
	if len(lines) == 0 {
		return ""
	}
	return strings.Join(lines, "\n") + "\n"
}

// common is the length of a longest common subsequence by its definition, for short lists.
func common(a, b []string) int {
	switch {
	case len(a) == 0 || len(b) == 0:
		return 0
	case a[0] == b[0]:
		return 1 + common(a[1:], b[1:])
	}
	return max(common(a[1:], b), common(a, b[1:]))
}

// The same count as diff on a real text with edits in several places.
func TestLineDifferenceAgreesWithDiff(t *testing.T) {
	tool, err := exec.LookPath("diff")
	if err != nil {
		t.Skip("diff is not installed")
	}
	before := examples.WeirBehaviour
	lines := strings.Split(before, "\n")
	lines = slices.Concat(lines[:10], []string{"# new"}, lines[12:60], lines[61:100], []string{"one", "two"}, lines[100:])
	after := strings.Join(lines, "\n")
	dir := t.TempDir()
	for name, text := range map[string]string{"a": before, "b": after} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	out, _ := exec.Command(tool, "-d", filepath.Join(dir, "a"), filepath.Join(dir, "b")).Output() // exit code 1: they differ
	var want []string
	for l := range strings.Lines(string(out)) {
		if text, gone := strings.CutPrefix(l, "< "); gone {
			want = append(want, "- "+strings.TrimSuffix(text, "\n"))
		} else if text, fresh := strings.CutPrefix(l, "> "); fresh {
			want = append(want, "+ "+strings.TrimSuffix(text, "\n"))
		}
	}
	if got := lineDifference(before, after); !slices.Equal(got, want) || len(got) == 0 {
		t.Errorf("got %q\nwant %q", got, want)
	}
}

func TestLineDifferenceHasABound(t *testing.T) {
	var a, b []string
	for i := range 3000 {
		a, b = append(a, strings.Repeat("a", i%7)), append(b, strings.Repeat("b", 1+i%5))
	}
	if n := len(lineDifference(lined(a), lined(b))); n != 6000 {
		t.Errorf("%d lines", n)
	}
}

// What is shown of a field: what differs of it, in the words of the house text.
func TestFieldLines(t *testing.T) {
	for _, c := range []struct{ before, after, want string }{
		{`"12 W"`, `"18 W"`, "f: 12 W → 18 W"},
		{``, `"18 W"`, "f: none → 18 W"},
		{`3`, `null`, "f: 3 → none"},
		{`{"power": "12 W", "factor": 0.9}`, `{"power": "18 W", "factor": 0.9}`, "f.power: 12 W → 18 W"},
		{`{"power": "12 W"}`, `{"count": 2}`, "f.count: none → 2|f.power: 12 W → none"},
		{`["Hall", "Off"]`, `["Hall", "Porch", "Off"]`, "f:|  + Porch"},
		{``, `["Hall"]`, "f:|  + Hall"},
		{`[{"point": "a", "channel": "out1"}]`, `[]`, "f:|  - {point: a, channel: out1}"},
		{`"two\nlines"`, `"one"`, "f: two lines → one"},
		{`"` + strings.Repeat("x", 50) + `"`, `"` + strings.Repeat("y", 20) + `"`, "f:|  - " + strings.Repeat("x", 50) + "|  + " + strings.Repeat("y", 20)},
	} {
		f := FieldValue{"f", json.RawMessage(c.before), json.RawMessage(c.after)}
		if got := strings.Join(f.lines(), "|"); got != c.want {
			t.Errorf("%s to %s: %q, want %q", c.before, c.after, got, c.want)
		}
	}
}

func TestDifferenceOfRevisions(t *testing.T) {
	ctx := context.Background()
	j := begun(t)
	if _, err := j.ReadHouse(ctx, "house.yaml", examples.WeirHouse, "survey"); err != nil {
		t.Fatal(err)
	}
	h, rev, err := j.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	after := *h
	after.Points = slices.Clone(h.Points)
	after.Points[0], after.Points[1] = after.Points[1], after.Points[0]
	after.Points[3].Title = "Renamed"
	after.Wishes = h.Wishes[1:]
	after.Site.Currency = "CHF"
	if _, err := j.become(ctx, rev, h, &after, "edit"); err != nil {
		t.Fatal(err)
	}
	d, err := j.Difference(ctx, 1, 0)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	for _, x := range d.List {
		seen[x.What+" "+x.Kind]++
	}
	if d.From != 1 || d.To != 2 || seen["moved point"] != 1 || seen["changed point"] != 1 || seen["removed wish"] != 1 || seen["changed site"] != 1 || len(d.List) != 4 {
		t.Errorf("%+v", d)
	}
	text := strings.Join(d.Lines(), "\n")
	for _, want := range []string{"4 differences from revision 1 to 2", "title: " + h.Points[3].Title + " → Renamed", "currency: EUR → CHF", "removed wish " + string(h.Wishes[0].ID) + " (" + h.Wishes[0].Text + ")"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not told:\n%s", want, text)
		}
	}
	if back, err := j.Difference(ctx, 2, 1); err != nil || len(back.List) != 4 {
		t.Errorf("the other way: %+v, %v", back, err)
	}
}

// A dry run stores nothing, whatever it says.
func TestDryRunStoresNothing(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "dry.wirewright")
	j, err := Create(ctx, path, Options{Who: "tester"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := j.Import(ctx, []File{{"cottage.ifc", examples.Cottage}}); err != nil {
		t.Fatal(err)
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	j, err = Open(ctx, path, Options{Who: "tester", DryRun: true})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	h, rev, err := j.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	f, err := j.Furnish(ctx)
	if err != nil || f.Rev != 0 || len(f.Added) == 0 {
		t.Errorf("furnish: %+v, %v", f, err)
	}
	if a, err := j.Allot(ctx, 0); err != nil || a.Rev != 0 {
		t.Errorf("allot: %+v, %v", a, err)
	}
	if _, err := j.AddTypes(ctx, "own.yaml", []byte("format: wirewright catalogue 1\n")); err != nil {
		t.Error(err)
	}
	would, err := j.Would(ctx)
	if err != nil || would.From != rev || would.To != 0 || len(would.List) == 0 {
		t.Errorf("would: %+v, %v", would, err)
	}
	now, after, err := j.Head(ctx)
	if err != nil || after != rev || len(house.Diff(h, now)) != 0 {
		t.Errorf("revision %d became %d, %v", rev, after, err)
	}
	if list, err := j.store.Attachments(ctx); err != nil || len(list) != 1 {
		t.Errorf("attachments: %v, %v", list, err)
	}
	if list, err := j.store.Results(ctx); err != nil || len(list) != 0 {
		t.Errorf("results: %v, %v", list, err)
	}
}
