package problem

import "testing"

func TestNearest(t *testing.T) {
	names := []string{"living.ceiling", "living.wall", "hall.keys", "hall.lamp", "off", "on"}
	for _, c := range []struct{ word, want string }{
		{"living.celing", "living.ceiling"},
		{"hall.lmap", "hall.lamp"},
		{"hal.keys", "hall.keys"},
		{"garage.door", ""},
		{"of", "off"},
		{"", ""},
	} {
		if got := Nearest(c.word, names); got != c.want {
			t.Errorf("Nearest(%q) = %q, want %q", c.word, got, c.want)
		}
	}
}

func TestDistanceKnownPairs(t *testing.T) {
	// kitten/sitting = 3 is the textbook pair for edit distance; ca/ac = 1 needs the transposition.
	for _, c := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"ca", "ac", 1}, {"", "abc", 3}, {"same", "same", 0}, {"flaw", "lawn", 2}} {
		if got := distance([]rune(c.a), []rune(c.b)); got != c.want {
			t.Errorf("distance(%q, %q) = %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

func TestExcerptPointsAtThePlace(t *testing.T) {
	p := Problem{Place: Place{File: "a.yaml", Line: 2, Column: 5}, Text: "wrong", Hint: "try again"}
	if got, want := p.Excerpt("one\ntwo three\n"), "two three\n    ^"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got, want := p.String(), "a.yaml:2:5: wrong (try again)"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestListSortsByPlace(t *testing.T) {
	l := List{{Place: Place{Line: 9}, Text: "c"}, {Place: Place{Line: 2, Column: 7}, Text: "b"}, {Place: Place{Line: 2, Column: 1}, Text: "a"}}
	l.Sort()
	if got, want := l.Error(), "2:1: a\n2:7: b\n9: c"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if List(nil).Err() != nil {
		t.Error("an empty list is an error")
	}
}
