package job

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"wirewright/allot"
	"wirewright/behaviour"
	"wirewright/check"
	"wirewright/house"
	"wirewright/internal/problem"
	"wirewright/store"
)

// Allotment is the report of Allot.
type Allotment struct {
	Rev    store.Rev     `json:"revision"` // the revision that it made; 0 in a dry run
	Result *allot.Result `json:"result"`
	Points int           `json:"points"`
	Money  string        `json:"currency"`
}

// Lines implements Report.
func (a Allotment) Lines() []string {
	r := a.Result
	list := []string{fmt.Sprintf("%s added for %s %s; %s", plural(len(r.New), "module", "modules"), r.Price, a.Money, stored(a.Rev))}
	if r.Exact() {
		list = append(list, fmt.Sprintf("proved least: value %s, bound %s, %s", r.Value, r.Bound, plural(len(r.Parts), "part", "parts")))
	} else {
		list = append(list, fmt.Sprintf("value %s, no allotment costs less than %s", r.Value, r.Bound))
		for _, p := range r.Parts {
			if p.Stop != allot.Exact {
				list = append(list, fmt.Sprintf("  %s: value %s, bound %s, stopped: %s", p.Name, p.Value, p.Bound, p.Stop))
			}
		}
	}
	for _, o := range r.Open {
		list = append(list, fmt.Sprintf("  open: %s: %s; %s", o.Point, o.Reason, o.Remedy))
	}
	for _, n := range r.Notes {
		list = append(list, "  note: "+n)
	}
	return list
}

// Allot lands every point that has not landed, at least cost, and stores the result as a revision.
// Budget bounds the search of each part; 0 for the usual.
func (j *Job) Allot(ctx context.Context, budget int) (Allotment, error) {
	h, rev, err := j.Head(ctx)
	if err != nil {
		return Allotment{}, err
	}
	r, err := allot.Allot(h, j.cat, allot.Options{Budget: budget})
	if err != nil {
		return Allotment{}, &Error{Kind: Invalid, Err: err}
	}
	next, err := j.become(ctx, rev, h, r.House, "allot modules and landings")
	if err != nil {
		return Allotment{}, err
	}
	a := Allotment{Rev: next, Result: r, Points: len(h.Points), Money: h.Site.Currency}
	return a, j.save(ctx, "allot", next, a)
}

// Findings is the report of Check.
type Findings struct {
	Rev  store.Rev       `json:"revision"`
	List []check.Finding `json:"findings"`
}

// Count is the number of findings of a severity.
func (f Findings) Count(s check.Severity) int {
	n := 0
	for _, x := range f.List {
		if x.Severity == s {
			n++
		}
	}
	return n
}

// Bad tells whether there is a fault.
func (f Findings) Bad() bool { return f.Count(check.Fault) > 0 }

// Lines implements Report: faults and cautions with figure, limit and remedy, remarks one line a rule, and each caution
// about danger once.
func (f Findings) Lines() []string {
	list := []string{fmt.Sprintf("revision %d: %s, %s, %s", f.Rev, plural(f.Count(check.Fault), "fault", "faults"),
		plural(f.Count(check.Caution), "caution", "cautions"), plural(f.Count(check.Remark), "remark", "remarks"))}
	var dangers []string
	for _, x := range f.List {
		if x.Severity == check.Remark {
			continue
		}
		list = append(list, findingLines(x)...)
		if x.Caution != "" && !slices.Contains(dangers, x.Caution) {
			dangers = append(dangers, x.Caution)
		}
	}
	list = append(list, remarkLines(f.List)...)
	for _, d := range dangers {
		list = append(list, "  CAUTION: "+d)
	}
	return list
}

func findingLines(x check.Finding) []string {
	line := fmt.Sprintf("  %s  %s  %s: %s", x.Severity, x.Slug, x.Entity, x.Text)
	if x.Measured != "" && x.Limit != "" {
		line += fmt.Sprintf(" (%s, limit %s)", x.Measured, x.Limit)
	}
	list := []string{line}
	if x.Remedy != nil {
		list = append(list, "           remedy: "+x.Remedy.Text)
	}
	return list
}

// remarkLines is one line for each rule that remarks something: how often, and the first of it.
func remarkLines(list []check.Finding) []string {
	count := map[string]int{}
	for _, x := range list {
		if x.Severity == check.Remark {
			count[x.Slug]++
		}
	}
	var lines []string
	for _, x := range list {
		n := count[x.Slug]
		if x.Severity != check.Remark || n == 0 {
			continue
		}
		more := ""
		if n > 1 {
			more = fmt.Sprintf(" (and %d more like it)", n-1)
		}
		lines = append(lines, fmt.Sprintf("  remark  %s  %s: %s%s", x.Slug, x.Entity, x.Text, more))
		count[x.Slug] = 0
	}
	return lines
}

// Check says what is wrong with the newest revision: the house, and its behaviour.
func (j *Job) Check(ctx context.Context) (Findings, error) {
	h, rev, err := j.Head(ctx)
	if err != nil {
		return Findings{}, err
	}
	f := Findings{Rev: rev, List: j.checkHouse(h)}
	return f, j.save(ctx, "check", rev, f)
}

// examine is every finding about a house, those about its behaviour included, with the behaviour that was compiled for
// them. Of a house that was looked at before, only what has changed is checked.
func (j *Job) examine(h *house.House) ([]check.Finding, *behaviour.Compiled, problem.List) {
	list := j.checks.findings(h, j.cat)
	c, problems := behaviour.Compile(h, j.cat)
	if strings.TrimSpace(h.Behaviour) != "" {
		list = append(list, behaviourFindings(c, problems)...)
	}
	check.Sort(list)
	return list, c, problems
}

// checkHouse is every finding about a house.
func (j *Job) checkHouse(h *house.House) []check.Finding {
	list, _, _ := j.examine(h)
	return list
}

// Explain prints the reasoning behind a finding, by its slug.
func Explain(slug string) ([]string, error) {
	text, ok := check.Explain(slug)
	if !ok {
		hint := "wirewright explain without a name lists all of them"
		if n := check.NearestSlug(slug); n != "" {
			hint = "did you mean " + n + "? " + hint
		}
		return nil, &Error{Kind: Missing, Subject: slug, Hint: hint, Err: errNoRule}
	}
	return strings.Split(strings.TrimRight(text, "\n"), "\n"), nil
}

// Slugs lists the names of all findings that Explain knows.
func Slugs() []string { return check.Slugs() }
