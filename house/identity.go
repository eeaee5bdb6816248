package house

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// maxID bounds an identity, in characters: it is said aloud, printed on labels, and stands in topics.
const maxID = 80

// reserved are words that some readers of the text form would take for a truth value or for nothing.
const reserved = " y n yes no on off true false null nan inf "

// Check says what is wrong with the form of an identity, "" if nothing is: words of lower-case letters (of any script),
// digits and hyphens, joined by dots; it begins with a letter, and no word begins or ends with a hyphen.
func (id ID) Check() string {
	s := string(id)
	switch {
	case s == "":
		return "an identity is missing"
	case !utf8.ValidString(s):
		return "it is not UTF-8"
	case utf8.RuneCountInString(s) > maxID:
		return "it is too long"
	case !norm.NFC.IsNormalString(s):
		return "it is not in Unicode normal form C, so that it may look like another one"
	case strings.Contains(reserved, " "+s+" "):
		return "it reads like a truth value"
	}
	if r, _ := utf8.DecodeRuneInString(s); !unicode.IsLetter(r) {
		return "it does not begin with a letter"
	}
	before := '.'
	for _, r := range s {
		if why := follows(before, r); why != "" {
			return why
		}
		before = r
	}
	if before == '.' || before == '-' {
		return "it ends with " + string(before)
	}
	return ""
}

// follows says why a character may not follow another one in an identity, "" if it may.
func follows(before, r rune) string {
	switch {
	case r == '.' || r == '-':
		if before == '.' || before == '-' {
			return "a word in it begins or ends with a dot or hyphen"
		}
	case r >= '0' && r <= '9':
	case unicode.IsUpper(r) || unicode.IsTitle(r):
		return "capital letters are not allowed"
	case r == ' ':
		return "blanks are not allowed; join words by a hyphen or a dot"
	case unicode.IsLetter(r):
	case unicode.IsMark(r) && before != '.' && before != '-':
	default:
		return "the character " + string(r) + " is not allowed"
	}
	return ""
}

// Pattern returns a regular expression (ECMA-262) of the form of an identity, for schemas. It leaves out length, reserved
// words and normal form.
func (ID) Pattern(bool) string {
	const letter = `\p{Ll}\p{Lm}\p{Lo}`
	return `^[` + letter + `][` + letter + `\p{M}0-9]*([.-][` + letter + `0-9][` + letter + `\p{M}0-9]*)*$`
}
