package job

import (
	"context"
	"fmt"

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
	List []store.Entry `json:"revisions"`
}

// Lines implements Report: newest last.
func (r Revisions) Lines() []string {
	var list []string
	for _, e := range r.List {
		list = append(list, fmt.Sprintf("%4d  %s  %-12s %s", e.Rev, e.Meta.When.Format("2006-01-02 15:04"), e.Meta.Who, e.Meta.Why))
	}
	return list
}

// Revisions lists the revisions of the job, oldest first.
func (j *Job) Revisions(ctx context.Context) (Revisions, error) {
	list, err := j.Log(ctx)
	return Revisions{list}, err
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
