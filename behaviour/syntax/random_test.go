package syntax

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// draw makes random texts by the grammar; every part is drawn from what the parser reads.
type draw struct{ t *rapid.T }

func (d draw) of(list ...string) string { return rapid.SampledFrom(list).Draw(d.t, "word") }
func (d draw) n(most int) int           { return rapid.IntRange(0, most).Draw(d.t, "n") }
func (d draw) maybe(s string) string {
	if d.n(1) == 0 {
		return ""
	}
	return s
}

func (d draw) name() string {
	return d.of("hall.lamp", "living.keys.1", "away", "küche.licht", "board1.k3", "a", "x-1.y-2", "дом.свет")
}

func (d draw) duration() string { return d.of("3 min", "1 h 30 min", "500 ms", "1.5 s", "2 d", "90 s") }

func (d draw) share() string { return d.of("0 %", "40 %", "100%", "12.5 %") }

func (d draw) target() string {
	if d.n(2) > 0 {
		return d.name()
	}
	s := "all " + d.of(pluralWords...) + d.maybe(" facing "+d.of(facingWords...))
	if d.n(1) > 0 {
		s += " of ground" + d.maybe(" storey")
	}
	if d.n(2) == 0 {
		s += " except a.b" + d.maybe(", c.d and e.f")
	}
	return s
}

func (d draw) targets() string {
	s := d.target()
	for range d.n(2) {
		s += d.of(", ", " and ") + "all lamps"
		if d.n(1) == 0 {
			s += " of hall"
		}
	}
	return s
}

func (d draw) moment() string {
	if d.n(1) == 0 {
		return d.of("6:30", "22:00", "24:00", "00:00")
	}
	s := d.of("sunrise", "sunset", "sun above 10 °", "sun below -6 deg")
	s += d.maybe(d.of(" + ", " - ") + d.of("15 min", "2 h"))
	return s + d.of("", "", " but not before 06:00", " but not after 22:00", " but not before 06:00 and not after 22:00")
}

func (d draw) days() string {
	return d.of("", "", " on Monday", " on Monday to Friday", " on saturday and Sunday", " on Friday to Monday, Wednesday") +
		d.of("", "", " from 1 May to 30 September", " from 24 December to 6 January")
}

func (d draw) window() string {
	return "between " + d.moment() + " and " + d.moment() + d.days()
}

func (d draw) condition(depth int) string {
	if depth > 0 && d.n(1) > 0 {
		switch d.n(3) {
		case 0:
			return "not " + d.condition(depth-1)
		case 1:
			return "(" + d.condition(depth-1) + ")"
		case 2:
			return d.condition(depth-1) + " and " + d.condition(depth-1)
		}
		return d.condition(depth-1) + " or " + d.condition(depth-1)
	}
	return d.of("dark", d.window(), "network is lost", "module a.b is back", d.name(), d.name()+" is open", d.name()+" is not unknown",
		"a.t is above 20 °C", "a.t is below 20 °C until above 21 °C")
}

func (d draw) event() string {
	s := d.name() + d.of(" is pressed", " is pressed twice", " is held", " is let go")
	switch d.n(3) {
	case 0:
		s = d.name() + d.of(" opens", " closes", " begins", " ends", " turns on", " turns off", " becomes summer") +
			d.maybe(" and stays so "+d.maybe("for ")+d.duration())
	case 1:
		s = "a.w " + d.of("rises above 12 m/s until below 8 m/s", "falls below 3 °C until above 4 °C")
	case 2:
		s = d.of("power returns", "network is lost", "module a.b is back", `message "say \"hi\" \\" arrives`)
	}
	return s
}

func (d draw) effect() string {
	switch d.n(7) {
	case 0:
		return "turn " + d.of("on ", "off ") + d.targets() + d.of("", " for "+d.duration(), " after "+d.duration(), " over 2 s", " until 3 min after it ends")
	case 1:
		return d.of("toggle ", "raise ", "lower ", "stop ", "raise or lower ", "release ") + d.targets()
	case 2:
		return "set " + d.targets() + " to " + d.of(d.share(), "on", "summer")
	case 3:
		return d.of("brighten ", "darken ", "brighten or darken ") + d.targets() + " while held"
	case 4:
		return "move " + d.targets() + " to " + d.share() + d.maybe(" with slats at "+d.share())
	case 5:
		return "hold " + d.targets() + d.of(" on", " raised", " at 40 %", " lowered") + d.maybe(" with rank "+d.of(rankWords[1:]...))
	case 6:
		return d.of("set scene evening", "set scene evening over 2 s", `notify "text"`, "tilt "+d.name()+" to 40 %")
	}
	return "turn on " + d.targets() + " for 3 min over 2 s"
}

func (d draw) trigger() string {
	switch d.n(3) {
	case 0:
		return "at " + d.moment() + d.maybe(" or "+d.moment()) + d.days()
	case 1:
		return "every " + d.of("5 min", "2 h") + d.days()
	case 2:
		return "while " + d.condition(3) + d.maybe(" for at least "+d.duration())
	}
	return "when " + d.event() + d.maybe(" or "+d.event())
}

func (d draw) comment() string { return d.maybe("  # a comment") }

func (d draw) statement() string {
	switch d.n(5) {
	case 0:
		return "mode away is " + d.of("off", "on", "winter or summer or autumn")
	case 1:
		return "group g: " + d.targets()
	case 2:
		return "hours h: " + d.window()
	case 3:
		return "scene s:\n  " + d.targets() + " on" + d.comment() + "\n\t" + d.name() + " at " + d.share()
	}
	s := d.of("", "", "rule r: ", "rule r for wish w1 and w2: ", "for wish w1:\n  ") + d.trigger()
	s += d.maybe(d.of(", if ", ",\n  unless ")+d.condition(3)) + ":" + d.comment() + "\n  " + d.effect() + d.comment()
	for range d.n(2) {
		s += d.of("\n    ", "\n  # a line\n  ") + d.effect()
	}
	return s
}

// TestRandomTextsKeepTheirTree draws texts by the grammar: the parser reads them without a mistake, and what the
// formatter prints reads as the same tree and is its own format.
func TestRandomTextsKeepTheirTree(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := draw{rt}
		var parts []string
		for range 1 + d.n(4) {
			parts = append(parts, d.of("", "\n", "# before\n", "\n\n# apart\n\n")+d.statement()+d.comment())
		}
		text := strings.Join(parts, "\n") + d.of("", "\n", "\n# end\n")
		f, problems := Parse("", text)
		if len(problems) > 0 {
			rt.Fatalf("%s\n%v", text, problems)
		}
		printed := Format(f)
		again, problems := Parse("", printed)
		if len(problems) > 0 || !sameTree(f, again) {
			rt.Fatalf("%s\nis printed as\n%s\nwhich reads differently %v", text, printed, problems)
		}
		if twice := Format(again); twice != printed {
			rt.Fatalf("%s\nis printed again as\n%s", printed, twice)
		}
	})
}

// TestGrammarAndCanonicalTextAgree: every word that the grammar puts in quotation marks stands in the canonical text or
// in a table of words, and the other way round every reserved word that the language uses stands in the grammar.
func TestGrammarAndCanonicalTextAgree(t *testing.T) {
	grammar, err := os.ReadFile("grammar.txt")
	if err != nil {
		t.Fatal(err)
	}
	_, rules, _ := strings.Cut(string(grammar), "file       =")
	canonical := " " + strings.NewReplacer(":", " ", ",", " ", ";", " ", "\n", " ").Replace(strings.ToLower(read(t, "testdata/canonical.txt"))) + " "
	used := map[string]bool{}
	for _, m := range regexp.MustCompile(`"([a-z-]+)"`).FindAllStringSubmatch(rules, -1) {
		used[m[1]] = true
	}
	rare := map[string]bool{} // forms that the canonical page leaves to the tests of the formatter
	for _, w := range append(append([]string{}, pluralWords...), facingWords...) {
		rare[w] = true
	}
	for _, w := range []string{"brighten", "darken", "deg", "klx", "d", "ms", "automatic", "lowered", "toggle", "off", "back", "lx"} {
		rare[w] = true
	}
	for w := range used {
		if !rare[w] && !strings.Contains(canonical, " "+w+" ") {
			t.Errorf("the grammar has the word %q, the canonical text does not show it", w)
		}
	}
	for _, w := range append(append([]string{}, statementWords...), verbWords...) {
		if !used[w] {
			t.Errorf("the parser reads %q, the grammar does not have it", w)
		}
	}
}

// TestPlacesAreThoseOfTheText: columns count characters, not bytes.
func TestPlacesAreThoseOfTheText(t *testing.T) {
	f, problems := Parse("", "mode süß is off\n\nwhen küche.taste is pressed, if süß: toggle küche.licht\n")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	r := f.Statements[1].(*Rule)
	for _, c := range []struct {
		what string
		got  Pos
		want Pos
	}{
		{"rule", r.At, Pos{3, 1}}, {"cause", r.Causes[0].At, Pos{3, 6}}, {"condition", r.If.Place(), Pos{3, 33}},
		{"effect", r.Effects[0].At, Pos{3, 38}}, {"target", r.Effects[0].Targets[0].At, Pos{3, 45}}, {"end", r.End, Pos{3, 56}},
	} {
		if c.got != c.want {
			t.Errorf("%s at %v, want %v", c.what, c.got, c.want)
		}
	}
}

// TestAMistakeCostsItsOwnStatementOnly: the statements before and behind are read.
func TestAMistakeCostsItsOwnStatementOnly(t *testing.T) {
	f, problems := Parse("", "mode a is off\nwhen x.1 is presed: toggle y.z\n  toggle\nmode b is on\nscene s:\n  a.b on\n  c.d nonsense\n  e.f off\nmode c is off")
	if len(f.Statements) != 3 || len(problems) != 2 {
		t.Errorf("%d statements and %v", len(f.Statements), problems)
	}
	if f2, p2 := Parse("", ""); len(f2.Statements) != 0 || len(p2) != 0 || Format(f2) != "" {
		t.Error("an empty text is not empty")
	}
}
