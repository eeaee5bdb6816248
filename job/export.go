package job

import (
	"context"
	"fmt"
	"time"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/internal/yamldoc"
	"wirewright/store"
)

// Exported is the report of Export.
type Exported struct {
	Rev   store.Rev `json:"revision"`
	Dir   string    `json:"folder"`
	Files int       `json:"files"`
}

// Lines implements Report.
func (e Exported) Lines() []string {
	return []string{fmt.Sprintf("revision %d as %s in %s; secrets stay in the job", e.Rev, plural(e.Files, "file", "files"), e.Dir)}
}

// Schema is the JSON Schema (2020-12) of a text form: "house" or "catalogue".
func Schema(of string) []byte {
	if of == "catalogue" {
		return yamldoc.Schema(catalogue.Catalogue{}, "wirewright catalogue")
	}
	return yamldoc.Schema(house.House{}, "wirewright house")
}

// Revisions is the report of the log.
type Revisions struct {
	List []Revision `json:"revisions"`
}

// Revision is one line of the log.
type Revision struct {
	Rev    store.Rev `json:"revision"`
	When   time.Time `json:"when"`
	Who    string    `json:"who"`
	Why    string    `json:"why"`
	Act    store.Act `json:"act"`
	Of     store.Rev `json:"of,omitempty"` // what was undone, redone or reverted
	Digest string    `json:"digest"`       // SHA-256; names the state of the whole job
}

// Lines implements Report: newest last.
func (r Revisions) Lines() []string {
	var list []string
	for _, e := range r.List {
		list = append(list, fmt.Sprintf("%4d  %s  %-12s %s", e.Rev, e.When.Format("2006-01-02 15:04"), e.Who, e.Why))
	}
	return list
}

// Revisions lists the revisions of the job, oldest first, in the local time of the house.
func (j *Job) Revisions(ctx context.Context) (Revisions, error) {
	h, _, err := j.Head(ctx)
	if err != nil {
		return Revisions{}, err
	}
	list, err := j.Log(ctx)
	var r Revisions
	for _, e := range list {
		r.List = append(r.List, Revision{e.Rev, inZone(e.Meta.When, h), e.Meta.Who, e.Meta.Why, e.Act, e.Target, e.Digest})
	}
	return r, err
}

// Export writes the newest revision as plain text into a folder. Secrets are never exported.
func (j *Job) Export(ctx context.Context, dir string) (Exported, error) {
	rev, err := j.store.Newest(ctx)
	if err != nil {
		return Exported{}, err
	}
	files, err := j.store.ExportText(ctx, rev)
	if err != nil {
		return Exported{}, err
	}
	return Exported{rev, dir, len(files)}, j.store.ExportFolder(ctx, rev, dir)
}
