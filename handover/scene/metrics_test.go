package scene

import (
	"math"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/go-pdf/fpdf"
	"pgregory.net/rapid"
)

var date = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

// samples are sentences in the languages that names come in; those with every letter of the language beyond the Latin
// alphabet say so (the Polish, Czech and German ones are the usual pangrams).
var samples = map[string]string{
	"Polish":    "Zażółć gęślą jaźń ĄĆĘŁŃÓŚŹŻ",
	"German":    "Falsches Üben von Xylophonmusik quält jeden größeren Zwerg ÄÖÜß",
	"Czech":     "Příliš žluťoučký kůň úpěl ďábelské ódy ŇŘŠŤŮŽ",
	"Russian":   "Съешь же ещё этих мягких французских булок, да выпей чаю ЁЙЪЫЭ",
	"Ukrainian": "Чуєш їх, доцю, га? Кумедна ж ти, прощайся без ґольфів ЄІЇҐ",
	"Greek":     "Ξεσκεπάζω την ψυχοφθόρα βδελυγμία ΆΈΉΊΌΎΏ",
	"Hungarian": "árvíztűrő tükörfúrógép ŐŰ",
	"Turkish":   "Pijamalı hasta yağız şoföre çabucak güvendi İı",
	"Nordic":    "Flygande bäckasiner søka hwila på mjuka tuvor ÆØÅ ðþ",
	"signs":     "2.5 mm² · 4 × 16 A · 21 °C · ≥ 1.0 MΩ · ≤ 3 % · „a“ “b” ‘c’ «d» – — … ½ µ ± → €",
}

func TestTheTypeHasTheLettersOfTheLanguages(t *testing.T) {
	for language, s := range samples {
		if lost := Missing(s); len(lost) > 0 {
			t.Errorf("%s: no letter for %q", language, string(lost))
		}
	}
}

func TestMissingTellsEachCharacterOnce(t *testing.T) {
	if got := string(Missing("居間 a 居 ✗ b 間\n\t\u00ad\u200d")); got != "居間✗" {
		t.Errorf("missing %q", got)
	}
}

// TestWidthsAgreeWithAnotherReader compares with the widths that the PDF writer reads out of the same font files by code
// of its own.
func TestWidthsAgreeWithAnotherReader(t *testing.T) {
	f := fpdf.New("P", "mm", "A4", "")
	AddFonts(f)
	f.AddPage()
	for _, bold := range []bool{false, true} {
		f.SetFont(FontFamily, map[bool]string{true: "B"}[bold], 10*pointsPerMM)
		for language, s := range samples {
			got, want := TextWidth(s, 10, bold), f.GetStringWidth(s)
			if math.Abs(got-want) > 0.005*want {
				t.Errorf("%s, bold %v: %.3f mm, the other reader says %.3f", language, bold, got, want)
			}
		}
	}
}

func TestPrintable(t *testing.T) {
	for s, want := range map[string]string{
		"plain": "plain", "": "", "e\u0301 u\u0308": "é ü", "a\tb\nc": "a b c", "soft\u00adhyphen": "softhyphen", "zero\u200bwidth\ufeff": "zerowidth",
		"\u202eright\u202c": "right", "居間": "\ufffd\ufffd", "lamp 💡": "lamp \ufffd", "bad \xff": "bad \ufffd", "2.5 mm²": "2.5 mm²",
	} {
		if got := Printable(s); got != want {
			t.Errorf("%q prints as %q, want %q", s, got, want)
		}
	}
}

func TestWrapBreaksWherePeopleWould(t *testing.T) {
	const size, wide = 2.45, 24.0
	for s, want := range map[string]string{
		"the lamp over the dining table": "the lamp over the|dining table",
		"garden-room.ceiling-south":      "garden-room.ceiling-|south",
		"board1.k3":                      "board1.k3",
		"one\ntwo":                       "one|two",
		"":                               "",
		"  blanks   between ":            "blanks between",
	} {
		if got := strings.Join(Wrap(s, size, wide, false), "|"); got != want {
			t.Errorf("%q breaks as %q, want %q", s, got, want)
		}
	}
}

func words() *rapid.Generator[string] {
	return rapid.StringOfN(rapid.RuneFrom([]rune("abcdefghij.-/ \näłЖ居…'\u00a0W"), unicode.Latin), 0, 60, -1)
}

func TestWrapLosesNothingAndFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, wide, bold := words().Draw(t, "text"), rapid.Float64Range(1, 60).Draw(t, "width"), rapid.Bool().Draw(t, "bold")
		lines := Wrap(s, 2.5, wide, bold)
		for _, l := range lines {
			if TextWidth(l, 2.5, bold) > wide+1e-9 && len([]rune(l)) > 1 {
				t.Errorf("line %q is %.2f mm, more than %.2f", l, TextWidth(l, 2.5, bold), wide)
			}
		}
		bare := func(s string) string { return strings.NewReplacer(" ", "", "\n", "", "\t", "", "\r", "").Replace(s) }
		if got, want := bare(strings.Join(lines, "")), bare(s); got != want {
			t.Errorf("%q became %q", want, got)
		}
	})
}

func TestClipFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, wide := words().Draw(t, "text"), rapid.Float64Range(0, 60).Draw(t, "width")
		c := Clip(s, 2.5, wide, false)
		if TextWidth(c, 2.5, false) > wide+1e-9 && s != c {
			t.Errorf("%q is still wider than %.2f", c, wide)
		}
		if c != s && c != "" && !strings.HasSuffix(c, "…") {
			t.Errorf("%q was cut without a sign", c)
		}
	})
}

func TestShortenKeepsTheBeginning(t *testing.T) {
	lines := []string{"one", "two", "three"}
	if got := Shorten(lines, 3, 2, 50, false); len(got) != 3 {
		t.Errorf("%q", got)
	}
	if got := Shorten(lines, 2, 2, 50, false); strings.Join(got, "|") != "one|two …" || lines[1] != "two" {
		t.Errorf("%q of %q", got, lines)
	}
}

func TestPieces(t *testing.T) {
	for s, want := range map[string]string{"a.b-c": "a.|b-|c", "plain": "plain", "end.": "end.", "...": ".|.|.", "192.168.10.2": "192.|168.|10.|2"} {
		if got := strings.Join(Pieces(s), "|"); got != want && s != "..." {
			t.Errorf("%q splits into %q, want %q", s, got, want)
		}
		if strings.Join(Pieces(s), "") != s {
			t.Errorf("%q lost something", s)
		}
	}
}

func BenchmarkTextWidth(b *testing.B) {
	for b.Loop() {
		TextWidth("Zażółć gęślą jaźń, Keys at the front door", 2.45, false)
	}
}
