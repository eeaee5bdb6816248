package job

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"wirewright/behaviour/accept"
	"wirewright/check"
	"wirewright/house"
	"wirewright/store"
)

// Passport is everything about one entity of the house on one page, through all stages.
type Passport struct {
	Rev         store.Rev         `json:"revision"`
	Kind        string            `json:"kind"` // as in house.Change
	ID          house.ID          `json:"id"`
	Title       string            `json:"title"`
	What        string            `json:"what"` // what it is, in a few words
	Designation string            `json:"designation,omitempty"`
	Storey      house.ID          `json:"storey,omitempty"` // where a plan shows it
	Facts       []Fact            `json:"facts"`
	Landings    []PassportLanding `json:"landings,omitempty"`
	Parts       []Parts           `json:"parts,omitempty"` // what belongs to it
	Moves       []PassportRule    `json:"moved_by"`        // rules that move it, or something of it
	Reads       []PassportRule    `json:"read_by"`         // rules that it takes part in deciding
	Lives       []PassportRule    `json:"decided_here"`    // of a module: rules that it executes
	Keys        []PassportKey     `json:"keys,omitempty"`
	Findings    []check.Finding   `json:"findings"`
	Tests       []PassportTest    `json:"tests"`
	History     []PassportChange  `json:"history"` // newest first
	Note        string            `json:"note,omitempty"`
}

// Ref names an entity.
type Ref struct {
	Kind  string   `json:"kind"`
	ID    house.ID `json:"id"`
	Title string   `json:"title"`
}

// Fact is one thing that is said of an entity; Of, where it is set, is the entity that the value names.
type Fact struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	Of    *Ref   `json:"of,omitempty"`
}

// Parts are the entities of one sort that belong to another one.
type Parts struct {
	Title string `json:"title"`
	Of    []Ref  `json:"of"`
}

// PassportLanding is one landing, seen from the point or from the module.
type PassportLanding struct {
	Module  Ref    `json:"module"`
	Channel string `json:"channel"`
	Point   Ref    `json:"point"`
	Key     int    `json:"key,omitempty"`
}

// PassportRule is one rule that has to do with an entity.
type PassportRule struct {
	Name       string   `json:"name"`
	Line       int      `json:"line"` // of the behaviour text
	Text       string   `json:"text"`
	Controller string   `json:"controller"`
	Crosses    []string `json:"crosses"` // what it needs of the network; empty where it needs none
	Through    []string `json:"through"` // which points or keys of the entity it is about, where it has several
}

// PassportKey is what one key of a keypad does.
type PassportKey struct {
	Key     int      `json:"key"`
	Caption string   `json:"caption"`
	Lines   []string `json:"lines"`
}

// PassportTest is one acceptance test that tries the entity.
type PassportTest struct {
	Name     string   `json:"name"`
	Rule     string   `json:"rule,omitempty"`
	Steps    []string `json:"steps"`
	Rehearse string   `json:"rehearsal"` // passed, failed, not tried
	Try      string   `json:"site"`
}

// PassportChange is one revision that changed the entity.
type PassportChange struct {
	Rev  store.Rev `json:"revision"`
	When time.Time `json:"when"`
	Who  string    `json:"who"`
	Why  string    `json:"why"`
	What string    `json:"what"` // "added", "removed", or the fields that changed
}

// errNoEntity says that nothing in the house has the name.
var errNoEntity = errors.New("nothing in this house has that name")

// Lines implements Report.
func (p Passport) Lines() []string {
	list := []string{fmt.Sprintf("%s %s: %s; revision %d", p.Kind, p.ID, p.What, p.Rev)}
	for _, f := range p.Facts {
		list = append(list, fmt.Sprintf("  %s: %s", f.Name, f.Value))
	}
	for _, l := range p.Landings {
		list = append(list, fmt.Sprintf("  %s lands on %s %s", l.Point.ID, l.Module.ID, l.Channel))
	}
	for _, part := range p.Parts {
		ids := make([]string, len(part.Of))
		for i, r := range part.Of {
			ids[i] = string(r.ID)
		}
		list = append(list, "  "+part.Title+": "+strings.Join(ids, ", "))
	}
	for _, s := range []struct {
		title string
		rules []PassportRule
	}{{"moved by", p.Moves}, {"read by", p.Reads}, {"decides", p.Lives}} {
		for _, r := range s.rules {
			list = append(list, fmt.Sprintf("  %s %s", s.title, r.Text))
		}
	}
	for _, x := range p.Findings {
		list = append(list, findingLines(x)...)
	}
	for _, t := range p.Tests {
		list = append(list, fmt.Sprintf("  test %s: rehearsal %s, site %s", t.Name, t.Rehearse, t.Try))
	}
	for _, c := range p.History {
		list = append(list, fmt.Sprintf("  revision %d, %s, %s: %s (%s)", c.Rev, c.When.Format("2006-01-02 15:04"), c.Who, c.Why, c.What))
	}
	return list
}

// Passport gathers everything about one entity of the newest revision.
func (j *Job) Passport(ctx context.Context, id house.ID) (Passport, error) {
	v, err := j.View(ctx, nil)
	if err != nil {
		return Passport{}, err
	}
	return v.Passport(ctx, "", id)
}

// Passport gathers everything about one entity. Where the kind is left out, the first kind that has the name is taken:
// point, module, room, board and line, whose names are one space, before the others.
func (v *View) Passport(ctx context.Context, kind string, id house.ID) (Passport, error) {
	p := Passport{Rev: v.Rev, ID: id}
	d := &describer{View: v, p: &p}
	for _, k := range describers() {
		if kind != "" && k.kind != kind {
			continue
		}
		if k.describe(d) {
			p.Kind = k.kind
			d.gather()
			return p, d.history(ctx)
		}
	}
	return Passport{}, &Error{Kind: Missing, Subject: string(id), Err: errNoEntity, Hint: nearest(string(id), v.AllNames())}
}

// AllNames lists the identities of everything that has a passport, in the order of the house.
func (v *View) AllNames() []string {
	var list []string
	for _, r := range v.All() {
		list = append(list, string(r.ID))
	}
	return list
}

// gather adds what is said about the entity elsewhere: findings, rules, keys and tests.
func (d *describer) gather() {
	v, p := d.View, d.p
	p.Designation = v.Names[p.ID]
	for _, f := range v.Findings {
		if (f.Kind == p.Kind && f.Entity == p.ID) || slices.Contains(d.near, Ref{Kind: f.Kind, ID: f.Entity}) {
			p.Findings = append(p.Findings, f)
		}
	}
	if v.Compiled == nil {
		return
	}
	d.rules()
	for _, k := range v.Legends {
		if p.Kind == "point" && k.Point == p.ID {
			p.Keys = append(p.Keys, PassportKey{k.Key, k.Caption, k.Lines})
		}
	}
	d.tests()
}

// rules sorts the rules that have to do with the entity, in the order of the text.
func (d *describer) rules() {
	for i := range d.Compiled.Rules {
		r := &d.Compiled.Rules[i]
		var moved, read []string
		for _, id := range d.points {
			for _, part := range d.touching[string(id)] {
				if part.rule != r {
					continue
				}
				if part.moves {
					moved = append(moved, string(id))
				}
				if part.reads {
					read = append(read, d.through(id, part))
				}
			}
		}
		said := func(through []string) PassportRule {
			if len(d.points) == 1 && through != nil && through[0] == string(d.points[0]) {
				through = nil
			}
			return PassportRule{r.Name, r.Line, r.Text, r.Controller, r.Crosses, through}
		}
		if moved != nil {
			d.p.Moves = append(d.p.Moves, said(moved))
		}
		if read != nil {
			d.p.Reads = append(d.p.Reads, said(read))
		}
		if d.p.Kind == "module" && slices.Contains(r.Controllers, string(d.p.ID)) {
			d.p.Lives = append(d.p.Lives, said(nil))
		}
		if d.p.Kind == "wish" && slices.Contains(r.Wishes, string(d.p.ID)) {
			d.p.Lives = append(d.p.Lives, said(nil))
		}
	}
}

// through names the point, with the keys that the rule listens to.
func (d *describer) through(id house.ID, part rulePart) string {
	if len(part.onKeys) == 0 {
		return string(id)
	}
	keys := make([]string, len(part.onKeys))
	for i, k := range part.onKeys {
		keys[i] = fmt.Sprintf("%s.%d", id, k)
	}
	return strings.Join(keys, ", ")
}

// tests lists the acceptance tests of the rules that touch the entity, and those that name it in a step.
func (d *describer) tests() {
	rules := map[string]bool{}
	for _, list := range [][]PassportRule{d.p.Moves, d.p.Reads, d.p.Lives} {
		for _, r := range list {
			rules[r.Name] = true
		}
	}
	for _, t := range d.Tests {
		named := rules[t.Rule] || d.p.Kind == "wish" && slices.Contains(t.Wishes, string(d.p.ID))
		for _, s := range t.Steps {
			named = named || slices.Contains(d.points, house.ID(s.Name))
		}
		if named {
			d.p.Tests = append(d.p.Tests, d.testRow(t))
		}
	}
}

// testRow is a test with what became of it at this revision.
func (v *View) testRow(t accept.Test) PassportTest {
	return PassportTest{t.Name, t.Rule, stepLines(t), v.outcome("rehearse", t.Name), v.outcome("try", t.Name)}
}

// history adds the revisions that changed the entity, the newest first.
func (d *describer) history(ctx context.Context) error {
	list, err := d.job.store.History(ctx, d.p.Kind, d.p.ID)
	if err != nil {
		return err
	}
	for _, r := range slices.Backward(list) {
		d.p.History = append(d.p.History, PassportChange{Rev: r.Rev, When: inZone(r.Meta.When, d.House), Who: r.Meta.Who, Why: r.Meta.Why, What: changed(r.Changes[0])})
	}
	return nil
}

// changed says what a change did: the fields that differ, by their names in the text form.
func changed(c house.Change) string {
	switch {
	case c.Before == nil:
		return "added"
	case c.After == nil:
		return "removed"
	}
	return or(strings.Join(c.Fields(), ", "), "moved")
}
