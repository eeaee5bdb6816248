package check

import (
	"cmp"
	"slices"

	"wirewright/catalogue"
	"wirewright/house"
)

// practice marks a fact of the trade that stands in no standard that we could name.
const practice = "common practice, no source"

// cautionMains is what a finding says where mending it means work on mains circuits.
const cautionMains = "Work on mains circuits is for a person licensed or instructed as the law of the place requires: switch off, " +
	"isolate every source, secure against switching on, prove the tester, prove dead, prove the tester again. An output that is off is not isolation."

// cautionMotor is what a finding says where a motor is concerned.
const cautionMotor = "Keep people clear of moving shutters, awnings and gates, and hold the local stop. " + cautionMains

// Rule is one thing that Check looks for, with all that there is to say about it.
type Rule struct {
	Slug     string   `json:"slug"`              // its name: what it is about, then what is wrong
	Severity Severity `json:"severity"`          // how much its findings matter
	Kind     string   `json:"kind"`              // the kind of entity that it looks at, as in house.Change
	Title    string   `json:"title"`             // what is wrong, in a few words
	Why      string   `json:"why"`               // the reasoning, with its formula and limit
	Formula  string   `json:"formula,omitempty"` // what is computed and held against what, with the symbols of the terms
	Source   string   `json:"source"`            // standard and clause, or "common practice, no source"
	Caution  string   `json:"caution,omitempty"` // where work can hurt someone
	Bad      string   `json:"bad"`               // a house that has such a finding, in the text form of package house
	Mended   string   `json:"mended"`            // the same house without it

	run  func(v *view, i int, say sayer) // looks at the entity that stands at i in the list of its kind
	sees sight                           // what run looks at; whoever changes run looks here too
}

// sayer records one finding about the entity looked at; the rule fills in all but text, figures and remedy.
type sayer func(f Finding)

// Check lists what is wrong with a house, in the order of severity, slug and entity. It changes nothing, and the same
// house and catalogue give the same list.
func Check(h *house.House, c *catalogue.Catalogue) []Finding {
	v := newView(h, c)
	v.ahead()
	var list []Finding
	for _, r := range allRules() {
		for i := range v.count(r.Kind) {
			r.look(v, i, &list)
		}
	}
	sortFindings(list)
	return list
}

// look runs the rule on one entity and adds what it says to the list.
func (r *Rule) look(v *view, i int, list *[]Finding) {
	r.run(v, i, func(f Finding) {
		f.Slug, f.Severity, f.Kind, f.Entity = r.Slug, r.Severity, r.Kind, v.id(r.Kind, i)
		f.Source, f.Caution, f.Terms = r.Source, r.Caution, finite(f.Terms)
		*list = append(*list, f)
	})
}

// rank orders the severities: what must be mended comes first.
func (s Severity) rank() int {
	return slices.Index([]Severity{Fault, Caution, Remark}, s)
}

func sortFindings(list []Finding) {
	slices.SortStableFunc(list, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Severity.rank(), b.Severity.rank()), cmp.Compare(a.Slug, b.Slug),
			cmp.Compare(a.Entity, b.Entity), cmp.Compare(a.Text, b.Text))
	})
}

// onPoint, onModule and their sisters make the run of a rule from a function on the facts of one entity.

func onPoint(f func(*view, *point, sayer)) func(*view, int, sayer) {
	return func(v *view, i int, say sayer) { f(v, &v.points[i], say) }
}

func onModule(f func(*view, *module, sayer)) func(*view, int, sayer) {
	return func(v *view, i int, say sayer) { f(v, &v.modules[i], say) }
}

// onKnown is onModule for modules whose type the catalogue has; the others have a finding of their own.
func onKnown(f func(*view, *module, sayer)) func(*view, int, sayer) {
	return func(v *view, i int, say sayer) {
		if m := &v.modules[i]; m.typ != nil {
			f(v, m, say)
		}
	}
}

// onLanding looks at every landing whose module type, channel and point are all known.
func onLanding(f func(*view, *landing, sayer)) func(*view, int, sayer) {
	return func(v *view, i int, say sayer) {
		for k := range v.modules[i].landings {
			if l := &v.modules[i].landings[k]; l.channel != nil && l.point != nil {
				f(v, l, say)
			}
		}
	}
}

func onLine(f func(*view, *line, sayer)) func(*view, int, sayer) {
	return func(v *view, i int, say sayer) { f(v, &v.lines[i], say) }
}
