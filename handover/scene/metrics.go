package scene

import (
	_ "embed" // the font files
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
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

func mustParse(b []byte) *sfnt.Font {
	f, err := sfnt.Parse(b)
	if err != nil {
		panic("invariant: the embedded font does not parse: " + err.Error())
	}
	return f
}

// TextWidth is the width in mm of a line of type of a size in mm.
func TextWidth(s string, size float64, bold bool) float64 {
	f := parsed[0]()
	if bold {
		f = parsed[1]()
	}
	var buf sfnt.Buffer
	const em = 1000
	sum := fixed.Int26_6(0)
	for _, r := range s {
		g, err := f.GlyphIndex(&buf, r)
		if err != nil {
			continue
		}
		if a, err := f.GlyphAdvance(&buf, g, fixed.I(em), font.HintingNone); err == nil {
			sum += a
		}
	}
	return float64(sum) / 64 / em * size
}

// Missing returns the characters of a text that the type has no letter for, in order, each once.
func Missing(s string) []rune {
	var buf sfnt.Buffer
	var list []rune
	seen := map[rune]bool{}
	for _, r := range s {
		if g, err := parsed[0]().GlyphIndex(&buf, r); (err != nil || g == 0) && r >= ' ' && !seen[r] {
			seen[r] = true
			list = append(list, r)
		}
	}
	return list
}

// Clip shortens a text with an ellipsis until it is at most width mm wide.
func Clip(s string, size, width float64, bold bool) string {
	if TextWidth(s, size, bold) <= width {
		return s
	}
	runes := []rune(s)
	for n := len(runes) - 1; n > 0; n-- {
		if c := string(runes[:n]) + "…"; TextWidth(c, size, bold) <= width {
			return c
		}
	}
	return "…"
}

// Wrap breaks a text into lines of at most width mm, between words; a longer word is broken where it must be.
func Wrap(s string, size, width float64, bold bool) []string {
	var lines []string
	line := ""
	for _, word := range splitWords(s) {
		if word == "\n" {
			lines, line = append(lines, line), ""
			continue
		}
		try := word
		if line != "" {
			try = line + " " + word
		}
		if TextWidth(try, size, bold) <= width {
			line = try
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for TextWidth(word, size, bold) > width && len([]rune(word)) > 1 {
			head := fit(word, size, width, bold)
			lines, word = append(lines, head), word[len(head):]
		}
		line = word
	}
	return append(lines, line)
}

// fit is the longest beginning of a word that is at most width mm wide, at least one letter.
func fit(word string, size, width float64, bold bool) string {
	end := 0
	for i, r := range word {
		next := i + len(string(r))
		if end > 0 && TextWidth(word[:next], size, bold) > width {
			break
		}
		end = next
	}
	return word[:end]
}

func splitWords(s string) []string {
	var words []string
	word := ""
	flush := func() {
		if word != "" {
			words, word = append(words, word), ""
		}
	}
	for _, r := range s {
		switch r {
		case ' ', '\t':
			flush()
		case '\n':
			flush()
			words = append(words, "\n")
		default:
			word += string(r)
		}
	}
	flush()
	return words
}
