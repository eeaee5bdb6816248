package catalogue

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"wirewright/internal/problem"
)

func builtinForTest(t testing.TB) *Catalogue {
	t.Helper()
	c, err := Builtin()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestWriteThenLoadIsTheSame(t *testing.T) {
	c := builtinForTest(t)
	text := Write(c)
	again, err := Load(nil, "all.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(c, again) {
		t.Error("the catalogue that was written is not the one that was read")
	}
	if second := Write(again); string(second) != string(text) {
		t.Error("writing twice gives two texts")
	}
}

func TestLoadAddsToTheBase(t *testing.T) {
	base := builtinForTest(t)
	before := len(base.Types)
	all, err := Load(base, "own.yaml", []byte(ownType))
	if err != nil {
		t.Fatal(err)
	}
	if got, ok := all.Type("porch-relay"); !ok || got.Channels[0].Ratings[0].Current.A() != 7.5 {
		t.Errorf("own type: %v, %v", got, ok)
	}
	if _, ok := all.Type("relay-rail-12x16"); !ok {
		t.Error("the built-in types are gone")
	}
	if _, ok := base.Type("porch-relay"); ok || len(base.Types) != before {
		t.Error("the base was changed")
	}
}

const ownType = `format: wirewright catalogue 1
types:
  - id: porch-relay
    title: Relay of the porch
    medium: wifi
    mount: box
    depth: 30 mm
    channels:
      - {kind: out, count: 1, ratings: [{category: resistive, current: "7,5 A"}]}
    radio: {power: 15 dBm, sensitivity: -88 dBm}
    capacity: {rules: 10, bytes: 2048, slots: 20}
    price: 19.90
`

// wantLine finds an expectation in a sample: "# want: part of the message".
var wantLine = regexp.MustCompile(`# want: (.+)$`)

// TestRefusals reads the samples of wrong catalogues. Each line with a mistake says so in a comment, and there must be
// exactly one problem for each expectation, on its line, whose text or hint contains it.
func TestRefusals(t *testing.T) {
	files, err := filepath.Glob("testdata/wrong/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no samples: %v", err)
	}
	base := builtinForTest(t)
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			_, err = Load(base, file, text)
			var list problem.List
			if !errors.As(err, &list) {
				t.Fatalf("expected a list of problems, got %v", err)
			}
			compareWants(t, string(text), list)
		})
	}
}

func compareWants(t *testing.T, text string, list problem.List) {
	t.Helper()
	wants := map[int][]string{}
	for i, l := range strings.Split(text, "\n") {
		if m := wantLine.FindStringSubmatch(l); m != nil {
			wants[i+1] = strings.Split(m[1], " && ")
		}
	}
	for _, p := range list {
		found := false
		for k, w := range wants[p.Line] {
			if strings.Contains(p.Text+" "+p.Hint, w) {
				wants[p.Line] = append(wants[p.Line][:k:k], wants[p.Line][k+1:]...)
				found = true
				break
			}
		}
		if !found {
			t.Errorf("not expected: %v", p)
		}
		if p.Column < 1 {
			t.Errorf("no column: %v", p)
		}
	}
	for line, left := range wants {
		for _, w := range left {
			t.Errorf("line %s: expected %q", strconv.Itoa(line), w)
		}
	}
}

func TestNothingOfAWrongFileIsTaken(t *testing.T) {
	text := ownType + "  - {id: other, title: x, medium: wired, mount: surface}\n"
	all, err := Load(nil, "own.yaml", []byte(text))
	if err == nil || all != nil {
		t.Errorf("got %v, %v", all, err)
	}
}

// FuzzLoad holds that no text makes the reader panic or hang, and that whatever is accepted is read back unchanged from
// its canonical form.
func FuzzLoad(f *testing.F) {
	f.Add([]byte(ownType))
	files, _ := filepath.Glob("builtin/*.yaml")
	wrong, _ := filepath.Glob("testdata/wrong/*.yaml")
	for _, name := range append(files, wrong...) {
		if text, err := os.ReadFile(name); err == nil {
			f.Add(text)
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := Load(nil, "f.yaml", text)
		if err != nil {
			return
		}
		again, err := Load(nil, "again.yaml", Write(c))
		if err != nil {
			t.Fatalf("accepted, but not when written again: %v", err)
		}
		if string(Write(again)) != string(Write(c)) {
			t.Error("not the same after writing and reading")
		}
		Table(c)
	})
}

func BenchmarkBuiltin(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Builtin(); err != nil {
			b.Fatal(err)
		}
	}
}
