package catalogue

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"wirewright/internal/yamldoc"
)

// validator collects what is wrong with the meaning of one catalogue, in the order of the document. Lists of values and
// bounds of single numbers stand in the tags of the types and are checked by the reader.
type validator struct {
	issues []yamldoc.Issue
	path   yamldoc.Path // of the entry or part in hand
	entity string       // the type, cable or material in hand
}

// issues lists what is wrong with the meaning of a catalogue, against the one that it is added to.
func issues(c, base *Catalogue) []yamldoc.Issue {
	v := &validator{}
	if c.Format != FormatName {
		v.say("format", fmt.Sprintf("%q is not the text form that is read here; expected %q", clip(c.Format), FormatName))
	}
	v.types(c, base)
	v.cables(c, base)
	v.materials(c, base)
	return v.issues
}

// say records a mistake of a field of the part in hand, given as "price" or "bus.draw".
func (v *validator) say(field, text string, hint ...string) {
	path := slices.Clone(v.path)
	if field != "" {
		for _, name := range strings.Split(field, ".") {
			path = append(path, name)
		}
	}
	v.issues = append(v.issues, yamldoc.Issue{Path: path, Entity: v.entity, Text: text, Hint: strings.Join(hint, "")})
}

// must records a mistake of a field unless ok holds.
func (v *validator) must(ok bool, field, text string, hint ...string) {
	if !ok {
		v.say(field, text, hint...)
	}
}

// within makes the i-th item of a list below the part in hand the part in hand while do runs.
func (v *validator) within(list string, i int, do func()) {
	before := v.path
	v.path = append(slices.Clone(before), list, i)
	do()
	v.path = before
}

// idForm is how ids of the catalogue look: lower-case words joined by hyphens or dots.
var idForm = regexp.MustCompile(`^[\p{Ll}\p{Lo}\p{Nd}]+([-.][\p{Ll}\p{Lo}\p{Nd}]+)*$`)

// ids checks form and uniqueness of one list of entries and says where each stands.
type ids struct {
	list  string               // "types"
	noun  string               // "type"
	taken func(id string) bool // in the catalogue that this one is added to
	seen  map[string]int
}

func (v *validator) identity(s *ids, i int, id string) {
	v.path, v.entity = yamldoc.Path{s.list, i}, id
	if s.seen == nil {
		s.seen = map[string]int{}
	}
	first, again := s.seen[id]
	switch {
	case id == "": // the reader says so
		return
	case len(id) > 60 || !idForm.MatchString(id):
		v.say("id", fmt.Sprintf("%q is not an id: lower-case words of letters and digits, joined by hyphens or dots, are expected", clip(id)))
	case again:
		v.say("id", fmt.Sprintf("%s %s stands in this file already, as number %d of its list", s.noun, id, first+1), "give one of them another id")
	case s.taken(id):
		v.say("id", fmt.Sprintf("%s %s is in the catalogue already", s.noun, id), "give yours an id of its own")
	}
	if !again {
		s.seen[id] = i
	}
}

func (v *validator) cables(c, base *Catalogue) {
	s := &ids{list: "cables", noun: "cable", taken: func(id string) bool { _, ok := base.Cable(id); return ok }}
	for i := range c.Cables {
		e := &c.Cables[i]
		v.identity(s, i, e.ID)
		v.must(e.Section > 0, "section", "a cross-section above 0 mm² is expected")
		v.must(e.Loop > 0, "loop", "the loop resistance of one kilometre at 20 °C, above 0 Ω, is expected")
	}
}

func (v *validator) materials(c, base *Catalogue) {
	taken := func(id string) bool {
		for i := range base.Materials {
			if base.Materials[i].ID == id {
				return true
			}
		}
		return false
	}
	s := &ids{list: "materials", noun: "material", taken: taken}
	for i := range c.Materials {
		e := &c.Materials[i]
		v.identity(s, i, e.ID)
		v.must(e.A >= 1, "a", "a relative permittivity of at least 1 is expected (ITU-R P.2040)")
		v.must(e.Source != "", "source", "it is missing: say where the coefficients are from")
		for k, w := range e.Words {
			v.within("words", k, func() { v.must(plainWords(w) != "", "", "a word of letters or digits is expected") })
		}
	}
}
