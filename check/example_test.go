package check

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wirewright/catalogue"
	"wirewright/house"
)

func builtin(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	c, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func read(t testing.TB, name, text string) *house.House {
	t.Helper()
	h, err := house.Read(name, []byte(text))
	if err != nil {
		t.Fatalf("%v", err)
	}
	return h
}

// sample is a house in a file whose comments say what is to be found: "# want: bus/too-long" on the line of the entity
// concerned, several slugs with a blank between them.
type sample struct {
	name  string
	text  string
	house *house.House
	wants []string // "slug entity", sorted
}

var (
	wantComment = regexp.MustCompile(`# want: (.+)$`)
	idOnLine    = regexp.MustCompile(`\bid: ([^\s,}]+)`)
)

func samples(t testing.TB, pattern string) []sample {
	t.Helper()
	files, err := filepath.Glob(pattern)
	if err != nil || len(files) == 0 {
		t.Fatalf("no samples at %s: %v", pattern, err)
	}
	list := make([]sample, 0, len(files))
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		s := sample{name: filepath.Base(f), text: string(text), house: read(t, f, string(text))}
		for _, l := range strings.Split(s.text, "\n") {
			m := wantComment.FindStringSubmatch(l)
			if m == nil {
				continue
			}
			entity := ""
			if id := idOnLine.FindStringSubmatch(l); id != nil {
				entity = id[1]
			}
			for _, slug := range strings.Fields(m[1]) {
				s.wants = append(s.wants, slug+" "+entity)
			}
		}
		slices.Sort(s.wants)
		list = append(list, s)
	}
	return list
}

func found(list []Finding) []string {
	var lines []string
	for _, f := range list {
		lines = append(lines, strings.TrimRight(f.Slug+" "+string(f.Entity), "\n"))
	}
	slices.Sort(lines)
	return lines
}

func TestSamplesHaveTheFindingsTheyName(t *testing.T) {
	c := builtin(t)
	for _, s := range append(samples(t, "example/*.yaml"), samples(t, "testdata/*.yaml")...) {
		t.Run(s.name, func(t *testing.T) {
			list := Check(s.house, c)
			if got := found(list); !slices.Equal(got, s.wants) {
				t.Errorf("found\n  %s\nwant\n  %s", strings.Join(got, "\n  "), strings.Join(s.wants, "\n  "))
				for _, f := range list {
					t.Logf("%s: %s", f.Slug, f.Text)
				}
			}
		})
	}
}

// TestEveryRuleIsWhole asks for all that a rule must say, and that its bad example shows it alone and its mended one is
// clean.
func TestEveryRuleIsWhole(t *testing.T) {
	c := builtin(t)
	slug := regexp.MustCompile(`^[a-z]+/[a-z-]+$`)
	kinds := []string{"point", "module", "line", "board", "circuit", "network", "site"}
	seen := map[string]bool{}
	for _, r := range Rules() {
		if !slug.MatchString(r.Slug) || seen[r.Slug] {
			t.Errorf("%q is no slug, or stands twice", r.Slug)
		}
		seen[r.Slug] = true
		if r.Title == "" || r.Why == "" || r.Source == "" || r.Severity.rank() < 0 || !slices.Contains(kinds, r.Kind) || r.run == nil {
			t.Errorf("%s: title, reasoning, source, severity, kind or code is missing", r.Slug)
		}
		if r.Bad == "" || r.Mended == "" {
			t.Errorf("%s: an example is missing", r.Slug)
			continue
		}
		if got := found(Check(read(t, r.Slug, r.Bad), c)); !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, r.Slug+" ") }) {
			t.Errorf("%s: the bad example does not show it: %v", r.Slug, got)
		}
		if got := found(Check(read(t, r.Slug, r.Mended), c)); len(got) > 0 {
			t.Errorf("%s: the mended example still has %v", r.Slug, got)
		}
	}
}

func TestExplainSaysAllThatARuleSays(t *testing.T) {
	for _, r := range Rules() {
		text, ok := Explain(r.Slug)
		if !ok {
			t.Errorf("%s: no explanation", r.Slug)
		}
		flat := strings.Join(strings.Fields(text), " ")
		for _, part := range []string{r.Title, r.Why, r.Source, r.Caution, r.Bad} {
			if !strings.Contains(flat, strings.Join(strings.Fields(part), " ")) {
				t.Errorf("%s: the explanation leaves out %q", r.Slug, part)
			}
		}
	}
	if _, ok := Explain("bus/to-long"); ok {
		t.Error("explained a slug that is none")
	}
	if got := NearestSlug("bus/to-long"); got != "bus/too-long" {
		t.Errorf("nearest slug: %q", got)
	}
}

func ExampleExplain() {
	text, _ := Explain("motor/long-travel")
	fmt.Println(strings.SplitN(text, "\n", 2)[0])
	// Output: motor/long-travel (caution, about a point)
}
