package twin

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"wirewright/allot"
	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/examples"
	"wirewright/house"
)

var rewrite = flag.Bool("rewrite", false, "write the golden files anew")

func builtin(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	c, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// clean is the example house with modules on all its points.
func clean(t testing.TB, c *catalogue.Catalogue) *house.House {
	t.Helper()
	h, err := house.Read("weirhouse", examples.WeirHouse)
	if err != nil {
		t.Fatal(err)
	}
	r, err := allot.Allot(h, c, allot.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r.House
}

// grave are the findings that are no remarks, as "slug entity".
func grave(list []check.Finding) []string {
	var lines []string
	for _, f := range list {
		if f.Severity != check.Remark {
			lines = append(lines, f.Slug+" "+string(f.Entity))
		}
	}
	return lines
}

// TestTheCleanHouseIsClean: what is found in the twin was seeded.
func TestTheCleanHouseIsClean(t *testing.T) {
	c := builtin(t)
	h := clean(t, c)
	if got := grave(check.Check(h, c)); len(got) > 0 {
		t.Errorf("found %v", got)
	}
	h, _, err := Make(h, nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := grave(check.Check(h, c)); len(got) > 0 {
		t.Errorf("on the network of the twin: %v", got)
	}
}

// TestEveryFaultIsShownOnce seeds one fault of every kind: each annex shows its own exactly once, with nothing but what its
// example shows by itself, and the house that they stand beside shows nothing.
func TestEveryFaultIsShownOnce(t *testing.T) {
	c := builtin(t)
	rules := Seedable(check.Rules())
	h, annexes, err := Make(clean(t, c), rules)
	if err != nil {
		t.Fatal(err)
	}
	list := check.Check(h, c)
	shown := byAnnex(annexes, grave(list))
	if len(shown[""]) > 0 {
		t.Errorf("found outside of all annexes: %v", shown[""])
	}
	companions := 0
	for _, a := range annexes {
		alone, err := house.Read(a.Rule.Slug, []byte(a.Rule.Bad))
		if err != nil {
			t.Fatal(err)
		}
		want, got := grave(check.Check(alone, c)), shown[a.Prefix]
		slices.Sort(want)
		slices.Sort(got)
		own := len(slices.DeleteFunc(slices.Clone(got), func(s string) bool { return !strings.HasPrefix(s, a.Rule.Slug+" ") }))
		if !slices.Equal(got, want) || own != 1 {
			t.Errorf("the annex of %s shows %v, its example %v", a.Rule.Slug, got, want)
		}
		companions += len(got) - own
	}
	golden(t, "testdata/twin.md", Table(annexes, list))
	t.Logf("%d kinds of fault and caution in one house, each shown once; %d more that the examples show besides; %d stand alone", len(rules), companions, len(Alone))
}

// byAnnex sorts findings by the annex that they are found in, under the names that they have in its example.
func byAnnex(annexes []Annex, found []string) map[house.ID][]string {
	shown := map[house.ID][]string{}
	for _, f := range found {
		slug, entity, _ := strings.Cut(f, " ")
		var in house.ID
		for _, a := range annexes {
			if strings.HasPrefix(entity, string(a.Prefix)) {
				in = a.Prefix
			}
		}
		shown[in] = append(shown[in], slug+" "+strings.TrimPrefix(entity, string(in)))
	}
	return shown
}

// golden holds a text against a file; -rewrite writes it.
func golden(t *testing.T, file, text string) {
	t.Helper()
	if *rewrite {
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if want, err := os.ReadFile(file); err != nil || string(want) != text {
		t.Errorf("%s is not current (%v): go test ./check/twin -rewrite, and look at the difference", file, err)
	}
}

// TestWhatIsWrongWithTheWhole seeds, one after the other, what concerns the network as a whole, and looks at what stands
// alone.
func TestWhatIsWrongWithTheWhole(t *testing.T) {
	c := builtin(t)
	seeds := map[string]func(*house.House){
		"network/pool":           func(h *house.House) { h.Network.PoolFirst, h.Network.PoolLast = poolLast, poolFirst },
		"network/router-outside": func(h *house.House) { h.Network.Router = "10.78.0.1" },
	}
	seedable := Seedable(check.Rules())
	for _, r := range check.Rules() {
		if r.Severity == check.Remark || slices.ContainsFunc(seedable, func(s check.Rule) bool { return s.Slug == r.Slug }) {
			continue
		}
		seed := seeds[r.Slug]
		if with := Beside[r.Slug]; seed == nil && with != "" {
			h, err := house.Read(r.Slug, []byte(r.Bad))
			if err != nil {
				t.Fatal(err)
			}
			got := grave(check.Check(h, c))
			if len(got) != 2 || !strings.HasPrefix(got[0], r.Slug+" ") || !strings.HasPrefix(got[1], with+" ") {
				t.Errorf("%s beside %s: found %v", r.Slug, with, got)
			}
			continue
		}
		if seed == nil && Alone[r.Slug] != "" {
			h, err := house.Read(r.Slug, []byte(r.Bad))
			if err != nil {
				t.Fatal(err)
			}
			if got := grave(check.Check(h, c)); len(got) != 1 || !strings.HasPrefix(got[0], r.Slug+" ") {
				t.Errorf("%s alone: found %v", r.Slug, got)
			}
			continue
		}
		if seed == nil {
			t.Errorf("no seed shows %s, which is about a %s: add one here", r.Slug, r.Kind)
			continue
		}
		h, _, err := Make(clean(t, c), nil)
		if err != nil {
			t.Fatal(err)
		}
		seed(h)
		if got := grave(check.Check(h, c)); !slices.Equal(got, []string{r.Slug + " "}) {
			t.Errorf("%s: found %v", r.Slug, got)
		}
	}
}

// TestRemediesMendTheTwin applies every remedy that can be applied, each to the whole twin: its finding is gone, nothing
// has come, and what was seeded elsewhere is still there.
func TestRemediesMendTheTwin(t *testing.T) {
	c := builtin(t)
	h, _, err := Make(clean(t, c), Seedable(check.Rules()))
	if err != nil {
		t.Fatal(err)
	}
	k := check.New(h, c)
	before := k.Findings()
	tried, words := 0, 0
	for _, f := range before {
		if f.Remedy == nil || f.Remedy.Text == "" {
			t.Errorf("%s of %s has no remedy", f.Slug, f.Entity)
			continue
		}
		if len(f.Remedy.Changes) == 0 {
			words++
			continue
		}
		tried++
		mended, err := house.Apply(h, f.Remedy.Changes)
		if err != nil {
			t.Errorf("%s of %s: %v", f.Slug, f.Entity, err)
			continue
		}
		gone, come := compare(lines(before), lines(k.Update(mended, f.Remedy.Changes)))
		if !slices.Contains(gone, f.Slug+" "+string(f.Entity)) || len(come) > 0 {
			t.Errorf("%q for %s of %s: gone %v, come %v", f.Remedy.Text, f.Slug, f.Entity, gone, come)
		}
		k.Update(h, house.Invert(f.Remedy.Changes))
	}
	t.Logf("%d remedies were applied, %d are words", tried, words)
}

func lines(list []check.Finding) []string {
	all := make([]string, len(list))
	for i, f := range list {
		all[i] = f.Slug + " " + string(f.Entity)
	}
	return all
}

// compare says which entries are gone and which have come.
func compare(before, after []string) (gone, come []string) {
	count := map[string]int{}
	for _, x := range before {
		count[x]++
	}
	for _, x := range after {
		if count[x]--; count[x] < 0 {
			come = append(come, x)
		}
	}
	for _, x := range before {
		if count[x] > 0 {
			gone, count[x] = append(gone, x), count[x]-1
		}
	}
	return gone, come
}

// TestMendedExamplesAreCleanBesideTheHouse puts the mended examples beside it instead: nothing grave is found.
func TestMendedExamplesAreCleanBesideTheHouse(t *testing.T) {
	c := builtin(t)
	rules := Seedable(check.Rules())
	for i := range rules {
		rules[i].Bad = rules[i].Mended
	}
	h, _, err := Make(clean(t, c), rules)
	if err != nil {
		t.Fatal(err)
	}
	if got := grave(check.Check(h, c)); len(got) > 0 {
		t.Errorf("found %v", got)
	}
	if problems := house.Validate(h); len(problems) > 0 {
		t.Errorf("the house is not valid: %v", problems[0])
	}
}

func TestMakeHasABound(t *testing.T) {
	if _, _, err := Make(&house.House{Format: house.FormatName}, make([]check.Rule, annexMost+1)); err == nil {
		t.Error("more annexes than there is room for")
	}
	if _, _, err := Make(&house.House{Format: house.FormatName}, []check.Rule{{Slug: "a/b", Bad: "no house"}}); err == nil {
		t.Error("an example that is none")
	}
}

func ExampleMake() {
	rule := check.Rule{Slug: "bus/too-long", Bad: "format: wirewright house 1\nsite: {}\nlines:\n  - {id: line1, head: head}\nmodules:\n  - {id: head, type: head-rail}\n"}
	h, _, err := Make(&house.House{Format: house.FormatName}, []check.Rule{rule})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(h.Lines[0].ID, h.Lines[0].Head)
	// Output: bus.too-long.line1 bus.too-long.head
}
