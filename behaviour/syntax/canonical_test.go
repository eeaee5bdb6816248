package syntax

import (
	"os"
	"reflect"
	"strings"
	"testing"
)

func read(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// strip sets every place in the tree to zero, so that trees of differently laid out texts can be compared.
func strip(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			strip(v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			strip(v.Index(i))
		}
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[Pos]() {
			v.SetZero()
			return
		}
		for i := range v.NumField() {
			strip(v.Field(i))
		}
	}
}

// sameTree tells whether two files are equal but for the places.
func sameTree(a, b *File) bool {
	strip(reflect.ValueOf(a))
	strip(reflect.ValueOf(b))
	return reflect.DeepEqual(a, b)
}

func TestCanonicalTextIsItsOwnFormat(t *testing.T) {
	text := read(t, "testdata/canonical.txt")
	f, problems := Parse("canonical.txt", text)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if got := Format(f); got != text {
		t.Errorf("formatted differently:\n%s", lineDiff(text, got))
	}
	if n := len(f.Statements); n != 30 {
		t.Errorf("%d statements, want 30", n)
	}
}

// lineDiff shows the lines in which two texts differ.
func lineDiff(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	var b strings.Builder
	for i := range max(len(w), len(g)) {
		var x, y string
		if i < len(w) {
			x = w[i]
		}
		if i < len(g) {
			y = g[i]
		}
		if x != y {
			b.WriteString("- " + x + "\n+ " + y + "\n")
		}
	}
	return b.String()
}

func TestFormatSettlesLayout(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"spaces and case", "WHEN  Hall.Keys.1   is pressed :toggle hall.ceiling", "when hall.keys.1 is pressed: toggle hall.ceiling\n"},
		{"effects on one line", "when a.b.1 is held: turn on c.d; turn off e.f", "when a.b.1 is held:\n  turn on c.d\n  turn off e.f\n"},
		{"split header", "at 6:30 on monday,\n  unless\n  away: raise x.y", "at 06:30 on Monday, unless away: raise x.y\n"},
		{"all seven days", "at 06:30 on Monday to Sunday: raise x.y", "at 06:30: raise x.y\n"},
		{"days over the end of the week", "at 06:30 on Saturday to Monday: raise x.y", "at 06:30 on Monday, Saturday and Sunday: raise x.y\n"},
		{"decimal comma", "set a.b to 1%\nwhen a.t falls below 1,50°C until above 2 °C: turn on a.v", ""},
		{"lists", "group g: a.b and c.d, e.f", "group g: a.b, c.d and e.f\n"},
		{"needless parentheses", "at 06:30, if ((a) and (b or c)): stop x.y", "at 06:30, if a and (b or c): stop x.y\n"},
		{"needed parentheses", "at 06:30, if not (a and b) or (c or d): stop x.y", "at 06:30, if not (a and b) or (c or d): stop x.y\n"},
		{"blank lines", "\n\n\nmode a is on\n\n\n\nmode b is off\n\n", "mode a is on\n\nmode b is off\n"},
		{"comment inside the header", "when a.b.1 is held # why\n : # so\n  # next\n  turn on c.d # it\n # end", "when a.b.1 is held:  # why so\n  # next\n  turn on c.d  # it\n# end\n"},
		{"bare comment", "#\n##x\nmode a is on #", "#\n##x\nmode a is on\n"},
		{"at least", "while a for 5 s: hold b.c on", "while a for at least 5 s: hold b.c on\n"},
		{"modifiers in order", "when a.b.1 is held: set c.d to 5 % for 3 min over 2000 ms", "when a.b.1 is held: set c.d to 5 % over 2 s for 3 min\n"},
		{"byte order mark", "\uFEFFmode a is on", "mode a is on\n"},
		{"typeset minus", "at sunset − 15 min: stop x.y", "at sunset - 15 min: stop x.y\n"},
	} {
		f, problems := Parse("", c.text)
		if c.want == "" {
			if len(problems) == 0 {
				t.Errorf("%s: no problem reported", c.name)
			}
			continue
		}
		if len(problems) > 0 {
			t.Errorf("%s: %v", c.name, problems)
		}
		if got := Format(f); got != c.want {
			t.Errorf("%s: got\n%s\nwant\n%s", c.name, got, c.want)
		}
		if again, _ := Parse("", Format(f)); !sameTree(f, again) {
			t.Errorf("%s: the formatted text reads differently", c.name)
		}
	}
}
