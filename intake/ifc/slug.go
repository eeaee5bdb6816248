package ifc

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"wirewright/house"
)

// slug makes a word of an identity from a name: lower case, letters of any script with their marks, digits, and a hyphen for
// everything else. An identity begins with a letter, so words that begin with a digit move to the end ("00 groundfloor"
// becomes groundfloor-00); of a name without letters nothing is left.
func slug(name string) string {
	var words, numbers []string
	for _, w := range strings.FieldsFunc(norm.NFC.String(strings.ToLower(name)), func(r rune) bool { return !isIDRune(r) }) {
		w = strings.TrimLeftFunc(w, unicode.IsMark)
		switch r, _ := utf8.DecodeRuneInString(w); {
		case w == "":
		case len(words) == 0 && !unicode.IsLetter(r):
			numbers = append(numbers, w)
		default:
			words = append(words, w)
		}
	}
	if len(words) == 0 {
		return ""
	}
	return clip(strings.Join(append(words, numbers...), "-"))
}

func isIDRune(r rune) bool {
	return unicode.IsLetter(r) && !unicode.IsUpper(r) && !unicode.IsTitle(r) || unicode.IsMark(r) || r >= '0' && r <= '9'
}

// clip keeps an identity short enough for what is put before and after it.
func clip(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		s = strings.TrimRight(string(r[:most]), "-")
	}
	return s
}

// slugMost is the length, in letters, up to which the name of a wall or an opening makes its identity; longer names are those
// of catalogues and say nothing aloud.
const slugMost = 24

// shortSlug is slug for names that people gave; empty for longer ones.
func shortSlug(name string) string {
	if s := slug(name); len([]rune(s)) <= slugMost {
		return s
	}
	return ""
}

// names gives out identities, each once.
type names struct {
	used map[house.ID]bool
	kept map[string]house.ID // kind and source → identity of an earlier import
	n    map[string]int      // times that one source was asked for, for walls in pieces
}

func newNames(keep *house.House) *names {
	n := &names{used: map[house.ID]bool{}, kept: map[string]house.ID{}, n: map[string]int{}}
	if keep == nil {
		return n
	}
	add := func(kind, source string, id house.ID) {
		n.used[id] = true
		if source != "" {
			n.kept[n.sourceKey(kind, source)] = id
		}
	}
	for _, s := range keep.Storeys {
		add("storey", s.Source, s.ID)
	}
	for _, r := range keep.Rooms {
		add("room", r.Source, r.ID)
	}
	for _, w := range keep.Walls {
		add("wall", w.Source, w.ID)
	}
	for _, o := range keep.Openings {
		add("opening", o.Source, o.ID)
	}
	for _, s := range keep.Slabs {
		add("slab", s.Source, s.ID)
	}
	for _, b := range keep.Boards {
		add("board", b.Source, b.ID)
	}
	for _, c := range keep.Circuits {
		add("circuit", c.Source, c.ID)
	}
	for _, p := range keep.Points {
		add("point", p.Source, p.ID)
	}
	n.n = map[string]int{}
	return n
}

// sourceKey tells apart the pieces of one source by counting them.
func (n *names) sourceKey(kind, source string) string {
	key := kind + " " + source
	n.n[key]++
	return key + " " + strconv.Itoa(n.n[key])
}

// give returns the identity that the source had before, or the base name, with a number where it is taken.
func (n *names) give(kind, source, base string) house.ID {
	if source != "" {
		if id, ok := n.kept[n.sourceKey(kind, source)]; ok {
			return id
		}
	}
	return n.fresh(kind, base)
}

// fresh returns the base name, with a number where it is taken, and behind the kind where it can be no identity by itself.
func (n *names) fresh(kind, base string) house.ID {
	if house.ID(base).Check() != "" {
		base = kind + "-" + strings.Trim(base, "-.")
	}
	if house.ID(base).Check() != "" {
		base = kind
	}
	id := house.ID(base)
	for i := 2; n.used[id]; i++ {
		id = house.ID(base + "-" + strconv.Itoa(i))
	}
	n.used[id] = true
	return id
}

// numbered returns the identity that the source had before, or base with the next free number.
func (n *names) numbered(kind, source, base string) house.ID {
	if source != "" {
		if id, ok := n.kept[n.sourceKey(kind, source)]; ok {
			return id
		}
	}
	for i := n.n[base] + 1; ; i++ {
		id := house.ID(base + strconv.Itoa(i))
		if !n.used[id] {
			n.used[id] = true
			n.n[base] = i
			return id
		}
	}
}
