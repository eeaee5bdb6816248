package check

import (
	"os"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/house/generated"
)

// editable are the houses that are edited: the example house, generated ones, and what the rules show themselves with.
func editable(t testing.TB) []*house.House {
	t.Helper()
	text, err := os.ReadFile("../examples/weirhouse/house.yaml")
	if err != nil {
		t.Fatal(err)
	}
	list := []*house.House{read(t, "weirhouse", string(text)), generated.House(40, 7), generated.House(90, 2), {Format: house.FormatName}}
	for _, s := range append(samples(t, "testdata/*.yaml"), samples(t, "example/*.bad.yaml")...) {
		list = append(list, s.house)
	}
	return list
}

// failer is a test of any kind.
type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

// alike holds the findings of a Checker against those of a full run, the whole list with every field.
func alike(t failer, after string, got, want []Finding) {
	t.Helper()
	for i := range max(len(got), len(want)) {
		switch {
		case i >= len(got):
			t.Fatalf("%s: the full run has more: %s %s", after, want[i].Slug, want[i].Entity)
		case i >= len(want):
			t.Fatalf("%s: the full run has no %s %s", after, got[i].Slug, got[i].Entity)
		case !reflect.DeepEqual(got[i], want[i]):
			t.Fatalf("%s: at %d\n  got  %+v %+v\n  want %+v %+v", after, i, got[i], got[i].Remedy, want[i], want[i].Remedy)
		}
	}
}

// TestEditsHaveTheFindingsOfAFullRun makes random edits, one after the other, of one house after the other.
func TestEditsHaveTheFindingsOfAFullRun(t *testing.T) {
	c, houses := builtin(t), editable(t)
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.SampledFrom(houses).Draw(t, "house")
		e := newEditor(rapid.Uint64().Draw(t, "seed"), c)
		k := New(h, c)
		for range rapid.IntRange(1, 12).Draw(t, "edits") {
			next, what := e.edit(h)
			alike(t, what, k.Update(next, house.Diff(h, next)), Check(next, c))
			h = next
		}
	})
}

// TestSeveralEditsAtOnce makes several edits before the Checker hears of them, and lets it find the changes itself.
func TestSeveralEditsAtOnce(t *testing.T) {
	c, houses := builtin(t), editable(t)
	for seed := range uint64(60) {
		h := houses[int(seed)%len(houses)]
		k, e := New(h, c), newEditor(seed, c)
		for range 5 {
			h, _ = e.edit(h)
		}
		alike(t, "several edits", k.Update(h, nil), Check(h, c))
		alike(t, "no edit", k.Update(h, nil), Check(h, c))
		if k.House() != h {
			t.Fatal("the Checker has another house")
		}
	}
}

// TestIdentitiesThatStandTwice: no edit can be followed where two entities have one identity, so all is checked anew.
func TestIdentitiesThatStandTwice(t *testing.T) {
	c := builtin(t)
	h := generated.House(40, 7)
	twice := *h
	twice.Points = append(slices.Clone(h.Points), h.Points[0])
	k := New(h, c)
	alike(t, "a point twice", k.Update(&twice, []house.Change{{Kind: "point", ID: h.Points[0].ID}}), Check(&twice, c))
	alike(t, "once again", k.Update(h, []house.Change{{Kind: "point", ID: h.Points[0].ID}}), Check(h, c))
}

// TestSightsAreNeeded narrows the sight of each rule to its own entity, or to nothing where it is of the whole house, and
// makes the random edits: a rule that then is never wrong says more than it needs, or the edits are too tame to hold it.
func TestSightsAreNeeded(t *testing.T) {
	c, houses := builtin(t), editable(t)
	wrong := map[string]bool{}
	for seed := range uint64(500) {
		h := houses[int(seed)%len(houses)]
		e := newEditor(1000+seed, c)
		k := narrowed(h, c)
		for range 10 {
			next, _ := e.edit(h)
			k.Update(next, house.Diff(h, next))
			h = next
			fresh := New(h, c)
			for i := range k.rules {
				if len(k.said[i])+len(fresh.said[i]) > 0 && !reflect.DeepEqual(k.said[i], fresh.said[i]) {
					wrong[k.rules[i].Slug] = true
					k.said[i] = fresh.said[i]
				}
			}
		}
	}
	var tame []string
	n := 0
	for _, r := range allRules() {
		if !r.sees.known || (len(r.sees.near) == 0 && len(r.sees.wide) == 0) {
			continue
		}
		if n++; !wrong[r.Slug] {
			tame = append(tame, r.Slug)
		}
	}
	t.Logf("of %d rules that look beyond their entity, %d go wrong when they may not; not these: %v", n, n-len(tame), tame)
	if 3*len(tame) > n {
		t.Errorf("the edits hold too few rules: %v", tame)
	}
}

// narrowed is a Checker whose rules say that they look at nothing beyond their entity.
func narrowed(h *house.House, c *catalogue.Catalogue) *Checker {
	k := New(h, c)
	for i := range k.rules {
		if r := &k.rules[i]; r.sees.known {
			r.sees = sight{own: r.sees.own, known: true}
		}
	}
	return k
}

// TestRulesSayWhatTheyLookAt lists the rules that are run whole after every edit, so that they stay few.
func TestRulesSayWhatTheyLookAt(t *testing.T) {
	var silent []string
	for _, r := range allRules() {
		if !r.sees.known {
			silent = append(silent, r.Slug)
		}
		for _, way := range r.sees.near {
			for _, kind := range wayOf(r.Kind, way) {
				if !slices.Contains([]string{"point", "module", "line", "circuit", "board", "room"}, kind) {
					t.Errorf("%s looks along %q, which is no way", r.Slug, way)
				}
			}
		}
	}
	t.Logf("%d rules are run whole after every edit: %v", len(silent), silent)
}

// benchmarkEdit measures two edits of a generated house: there and back. BenchmarkCheck is the full run of the same houses.
func benchmarkEdit(b *testing.B, points int, change func(h *house.House)) {
	c := builtin(b)
	h := generated.House(points, 1)
	other := *h
	other.Points, other.Modules = slices.Clone(h.Points), slices.Clone(h.Modules)
	change(&other)
	there := house.Diff(h, &other)
	k := New(h, c)
	b.ReportAllocs()
	for b.Loop() {
		k.Update(&other, there)
		k.Update(h, there)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/2e6, "ms/edit")
}

func moreLoad(h *house.House) {
	i := slices.IndexFunc(h.Points, func(p house.Point) bool { return p.Kind == house.Lamp && p.Load != nil })
	load := *h.Points[i].Load
	load.Power *= 2
	h.Points[i].Load = &load
}

func otherLanding(h *house.House) {
	i := slices.IndexFunc(h.Modules, func(m house.Module) bool { return len(m.Landings) > 1 })
	h.Modules[i].Landings = slices.Clone(h.Modules[i].Landings[1:])
}

func otherPlace(h *house.House) {
	i := slices.IndexFunc(h.Modules, func(m house.Module) bool { return m.Point != "" })
	h.Modules[i].At = &house.XYZ{X: 3, Y: 3, Z: 1}
}

func BenchmarkEditLoad300(b *testing.B)      { benchmarkEdit(b, 300, moreLoad) }
func BenchmarkEditLoad20000(b *testing.B)    { benchmarkEdit(b, 20_000, moreLoad) }
func BenchmarkEditLanding300(b *testing.B)   { benchmarkEdit(b, 300, otherLanding) }
func BenchmarkEditLanding20000(b *testing.B) { benchmarkEdit(b, 20_000, otherLanding) }
func BenchmarkEditPlace300(b *testing.B)     { benchmarkEdit(b, 300, otherPlace) }
func BenchmarkEditPlace20000(b *testing.B)   { benchmarkEdit(b, 20_000, otherPlace) }

// TestWaysPreparedAhead: a house large enough for it has the findings that it has without.
func TestWaysPreparedAhead(t *testing.T) {
	c := builtin(t)
	h := generated.House(1800, 4)
	if len(h.Walls) < aheadFrom {
		t.Fatalf("only %d walls", len(h.Walls))
	}
	var list []Finding
	v := newView(h, c)
	for _, r := range allRules() {
		for i := range v.count(r.Kind) {
			r.look(v, i, &list)
		}
	}
	sortFindings(list)
	alike(t, "ahead", Check(h, c), list)
	alike(t, "a Checker", New(h, c).Findings(), list)
}
