package ifc

import (
	_ "embed"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"wirewright/internal/yamldoc"
)

//go:embed uses.yaml
var usesText []byte

//go:embed roles.yaml
var rolesText []byte

// useTable tells the use of a room by words in its name; the first entry that fits wins.
type useTable struct {
	Uses []struct {
		Use   string   `yaml:"use"`
		Words []string `yaml:"words"`
	} `yaml:"uses"`
}

// Use guesses what kind of room a name speaks of, e.g. "bedroom"; empty where no word is known. The table of words covers a
// dozen languages; a person corrects Room.Use where it guesses wrong.
func Use(name string) string { return builtinUses().find(name) }

func builtinUses() useTable {
	var t useTable
	if list := yamldoc.Decode("uses.yaml", usesText, &t); len(list) > 0 {
		panic(fmt.Sprintf("invariant: the embedded table of uses is sound: %v", list))
	}
	return t
}

func (t useTable) find(name string) string {
	text := plainWords(name)
	for _, row := range t.Uses {
		for _, w := range row.Words {
			if at, _ := findWord(text, w); at >= 0 {
				return row.Use
			}
		}
	}
	return ""
}

// plainWords lowers a name and puts single blanks between its words, at both ends too. Slashes inside short forms such as
// "С/У" stay, so that the form can be found whole.
func plainWords(name string) string {
	var b strings.Builder
	b.WriteByte(' ')
	blank := true
	for _, r := range strings.ToLower(name) {
		switch {
		case unicode.IsLetter(r) || r == '/':
			b.WriteRune(r)
			blank = false
		case !blank:
			b.WriteByte(' ')
			blank = true
		}
	}
	if !blank {
		b.WriteByte(' ')
	}
	return b.String()
}

// insideLeast is the number of letters from which a word is also found inside longer ones ("Gästeschlafzimmer").
const insideLeast = 5

// findWord returns the last place of a word in a text made by plainWords, and its length; -1 where it is not.
func findWord(text, word string) (at, length int) {
	if utf8.RuneCountInString(word) < insideLeast {
		word = " " + word + " "
	}
	return strings.LastIndex(text, word), len(word)
}
