package scene

import (
	_ "embed" // the font files
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// FontRegular and FontBold are the type of every document: IBM Plex Sans, SIL Open Font License 1.1 (font/OFL.txt).
var (
	//go:embed font/sans-regular.ttf
	FontRegular []byte
	//go:embed font/sans-bold.ttf
	FontBold []byte
)

var parsed = [2]func() *sfnt.Font{
	sync.OnceValue(func() *sfnt.Font { return mustParse(FontRegular) }),
	sync.OnceValue(func() *sfnt.Font { return mustParse(FontBold) }),
}

// advances holds the width of every letter of the two weights, in thousandths of the size.
var advances = [2]func() map[rune]float64{
	sync.OnceValue(func() map[rune]float64 { return measure(parsed[0]()) }),
	sync.OnceValue(func() map[rune]float64 { return measure(parsed[1]()) }),
}

func mustParse(b []byte) *sfnt.Font {
	f, err := sfnt.Parse(b)
	if err != nil {
		panic("invariant: the embedded font does not parse: " + err.Error())
	}
	return f
}

// measure reads the width of every letter of the Basic Multilingual Plane that a font has: all that the PDF writer can
// set.
func measure(f *sfnt.Font) map[rune]float64 {
	var buf sfnt.Buffer
	const em = 1000
	m := map[rune]float64{}
	for r := rune(' '); r <= 0xffff; r++ {
		g, err := f.GlyphIndex(&buf, r)
		if err != nil || g == 0 {
			continue
		}
		if a, err := f.GlyphAdvance(&buf, g, fixed.I(em), font.HintingNone); err == nil {
			m[r] = float64(a) / 64
		}
	}
	return m
}

// Lost stands on paper where the type has no letter for a character. Missing tells which, so that papers can say so.
const Lost = '\ufffd'

// Printable is a text as the type can set it: composed letters where a text writes letter and accent apart, a space for
// control characters, nothing for what is invisible anyway, and Lost for what the type has no letter for.
func Printable(s string) string {
	plain := true
	for i := 0; i < len(s) && plain; i++ {
		plain = s[i] >= ' ' && s[i] < 0x7f
	}
	if plain {
		return s
	}
	letters := advances[0]()
	return strings.Map(func(r rune) rune {
		switch _, has := letters[r]; {
		case invisible(r):
			return -1
		case r < ' ' || r == 0x7f || unicode.IsSpace(r):
			return ' '
		case !has:
			return Lost
		}
		return r
	}, norm.NFC.String(s))
}

// invisible tells marks that leave nothing on paper: joiners, direction marks, variation selectors, the soft hyphen.
func invisible(r rune) bool {
	return r == 0xad || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Variation_Selector, r)
}

// TextWidth is the width in mm of a line of type of a size in mm.
func TextWidth(s string, size float64, bold bool) float64 {
	widths := advances[btoi(bold)]()
	sum := 0.0
	for _, r := range Printable(s) {
		sum += widths[r]
	}
	return sum / 1000 * size
}

// Missing returns the characters of a text that the type has no letter for, in order, each once.
func Missing(s string) []rune {
	letters := advances[0]()
	var list []rune
	for _, r := range norm.NFC.String(s) {
		if _, has := letters[r]; !has && r > ' ' && r != 0x7f && !invisible(r) && !unicode.IsSpace(r) && !slices.Contains(list, r) {
			list = append(list, r)
		}
	}
	return list
}
