package job

import (
	"context"
	"fmt"
	"strings"

	"wirewright/check"
)

// Working is the report of a finding with the figures put in.
type Working struct {
	Slug     string          `json:"slug"`
	Entity   string          `json:"entity,omitempty"`
	Findings []check.Finding `json:"findings"`
	revision int64
}

// Lines implements Report: the reasoning of the rule and its figures, finding by finding.
func (w Working) Lines() []string {
	var list []string
	for i, f := range w.Findings {
		if i > 0 {
			list = append(list, "")
		}
		list = append(list, strings.Split(strings.TrimRight(check.Working(f), "\n"), "\n")...)
	}
	if len(w.Findings) == 0 {
		of := "this house"
		if w.Entity != "" {
			of = w.Entity
		}
		list = append(list, fmt.Sprintf("revision %d: %s is not found of %s", w.revision, w.Slug, of))
	}
	return list
}

// Explain prints the findings of a rule in the newest revision with the figures put in: those of one entity, or all of them
// where none is named. That nothing is found is an answer, too; a slug that no rule has is an error.
func (j *Job) Explain(ctx context.Context, slug, entity string) (Working, error) {
	h, rev, err := j.Head(ctx)
	if err != nil {
		return Working{}, err
	}
	w := Working{Slug: slug, Entity: entity, Findings: []check.Finding{}, revision: int64(rev)}
	for _, f := range j.checkHouse(h) {
		if f.Slug == slug && (entity == "" || string(f.Entity) == entity) {
			w.Findings = append(w.Findings, f)
		}
	}
	if len(w.Findings) == 0 {
		_, err = Explain(slug)
	}
	return w, err
}
