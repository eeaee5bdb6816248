package check

import (
	"slices"
	"strings"

	"wirewright/house"
)

// harmless tells whether changes to a line take away one of its findings and bring no other, to the line or to the boards
// named. Within such a trial nothing is tried again.
func (v *view) harmless(changes []house.Change, l *line, slug string, boards ...house.ID) bool {
	if v.trial {
		return false
	}
	changed, err := house.Apply(v.house, changes)
	if err != nil {
		return false
	}
	now := *v
	now.trial = true
	then := newView(changed, v.cat)
	then.trial = true
	after := then.saysOf(l.ID, boards)
	return !slices.Contains(after, slug) && len(missing(after, now.saysOf(l.ID, boards))) == 0
}

// saysOf lists the slugs of the findings of a line, and of boards with the modules in them. Radio is left out: it is none of
// what a line or a board can change.
func (v *view) saysOf(l house.ID, boards []house.ID) []string {
	var found []string
	for _, r := range allRules() {
		if strings.HasPrefix(r.Slug, "radio/") {
			continue
		}
		for i := range v.count(r.Kind) {
			if r.Kind == "line" && v.id(r.Kind, i) == l || r.Kind == "board" && slices.Contains(boards, v.id(r.Kind, i)) ||
				r.Kind == "module" && slices.Contains(boards, v.modules[i].Board) {
				r.run(v, i, func(Finding) { found = append(found, r.Slug) })
			}
		}
	}
	return found
}

// missing are the entries of a list that another does not have, each as often.
func missing(of, in []string) []string {
	left := slices.Clone(of)
	for _, x := range in {
		if i := slices.Index(left, x); i >= 0 {
			left = slices.Delete(left, i, i+1)
		}
	}
	return left
}
