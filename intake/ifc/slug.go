package ifc

import (
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"wirewright/house"
)

// slug makes the word of an identity from a name: lower case, letters and digits of any script, everything else a hyphen.
func slug(name string) string {
	var b strings.Builder
	gap := false
	for _, r := range norm.NFC.String(strings.ToLower(name)) {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			gap = b.Len() > 0
			continue
		}
		if gap {
			b.WriteByte('-')
			gap = false
		}
		b.WriteRune(r)
	}
	return b.String()
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
	return n.fresh(base)
}

func (n *names) fresh(base string) house.ID {
	if base == "" {
		base = "unnamed"
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
