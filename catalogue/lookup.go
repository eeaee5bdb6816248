package catalogue

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"wirewright/internal/problem"
)

// index fills the table by which Type finds; whoever changes Types must call it again.
func (c *Catalogue) index() {
	c.types = make(map[string]*Type, len(c.Types))
	for i := range c.Types {
		c.types[c.Types[i].ID] = &c.Types[i]
	}
}

// Type finds a type by its id. A catalogue that was not made by Builtin or Load is searched entry by entry.
func (c *Catalogue) Type(id string) (*Type, bool) {
	if c.types != nil {
		t, ok := c.types[id]
		return t, ok
	}
	for i := range c.Types {
		if c.Types[i].ID == id {
			return &c.Types[i], true
		}
	}
	return nil, false
}

// TypeIDs lists the ids of all types, sorted.
func (c *Catalogue) TypeIDs() []string {
	ids := make([]string, len(c.Types))
	for i := range c.Types {
		ids[i] = c.Types[i].ID
	}
	slices.Sort(ids)
	return ids
}

// NearestType is the type that a misspelt id most probably meant, "" when none is near.
func (c *Catalogue) NearestType(id string) string { return problem.Nearest(id, c.TypeIDs()) }

// Cable finds a cable by its id.
func (c *Catalogue) Cable(id string) (*Cable, bool) {
	for i := range c.Cables {
		if c.Cables[i].ID == id {
			return &c.Cables[i], true
		}
	}
	return nil, false
}

// CableIDs lists the ids of all cables, sorted.
func (c *Catalogue) CableIDs() []string {
	ids := make([]string, len(c.Cables))
	for i := range c.Cables {
		ids[i] = c.Cables[i].ID
	}
	slices.Sort(ids)
	return ids
}

// Material finds the material that a drawing or a person means by a name, in any of the languages of the words table:
// "Бетон", "Leichtbeton 102890359", "Metal - Stud Layer". An id of the catalogue means itself; otherwise the longest
// word that the name contains wins, and of equally long ones the material that stands first. Nothing is guessed: a name
// without a known word gives false.
func (c *Catalogue) Material(name string) (*Material, bool) {
	for i := range c.Materials {
		if c.Materials[i].ID == name {
			return &c.Materials[i], true
		}
	}
	padded := " " + plainWords(name) + " "
	var best *Material
	longest := 0
	for i := range c.Materials {
		for _, w := range c.Materials[i].Words {
			word := plainWords(w)
			if n := utf8.RuneCountInString(word); n > longest && contains(padded, word, n) {
				best, longest = &c.Materials[i], n
			}
		}
	}
	return best, best != nil
}

// contains looks for a word of n letters in a name padded with blanks. Long words may stand anywhere, since several
// languages join words into one; words of four letters must begin a word, shorter ones must be a whole word, or "tile"
// would be found in "textile" and "air" in "stair".
func contains(padded, word string, n int) bool {
	switch {
	case n >= 5:
		return strings.Contains(padded, word)
	case n == 4:
		return strings.Contains(padded, " "+word)
	case n > 0:
		return strings.Contains(padded, " "+word+" ")
	}
	return false
}

// plainWords lowers a text and puts one blank wherever it has anything but letters and digits.
func plainWords(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r)
	}), " ")
}
