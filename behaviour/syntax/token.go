package syntax

// Pos is a place in the text: line and column count from 1, columns in characters.
type Pos struct{ Line, Column int32 }

// kind is the kind of a token.
type kind uint8

const (
	tokEnd    kind = iota // end of the statement
	tokWord               // a name or a word of the language
	tokNumber             // a number, with its unit if one follows
	tokTime               // a time of day
	tokText               // a text in quotation marks
	tokMark               // one of : , ; ( ) + -
)

// token is one word, number, text or mark.
type token struct {
	kind  kind
	first bool   // first on its line
	text  string // words in lower case; numbers as written; texts without quotation marks; marks
	unit  string // numbers: the unit, empty if there is none
	value int32  // times: minutes after midnight
	pos   Pos
	end   Pos // just behind it
	start int // offset in bytes
}

// comment is a comment without its mark and the space behind it.
type comment struct {
	text   string
	inline bool // something stands before it on its line
	blank  bool // no comment but an empty line
	pos    Pos
	start  int
}

// describe names the token as an error shows it.
func (t token) describe() string {
	switch t.kind {
	case tokEnd:
		return "the end of the statement"
	case tokText:
		return "the text " + quote(clip(t.text))
	case tokNumber:
		if t.unit != "" {
			return clip(t.text) + " " + t.unit
		}
	}
	return clip(t.text)
}

// clip keeps an error readable when a word is very long.
func clip(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
