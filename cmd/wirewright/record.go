package main

import (
	"fmt"
	"strconv"

	"wirewright/job"
)

type showVerb struct {
	jobArg
	ID job.ID `arg:"" help:"Identity of a point, module, room, circuit, board or line."`
}

// Help shows an example.
func (showVerb) Help() string {
	return "Example:\n  wirewright show lindenhof.wirewright hall.keys"
}

// Run prints a passport.
func (v showVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		p, err := j.Passport(c.ctx, v.ID)
		if err != nil {
			return err
		}
		return c.answer(p)
	})
}

type logVerb struct{ jobArg }

// Help shows an example.
func (logVerb) Help() string { return "Example:\n  wirewright log lindenhof.wirewright" }

// Run lists the revisions.
func (v logVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		r, err := j.Revisions(c.ctx)
		if err != nil {
			return err
		}
		return c.answer(r)
	})
}

type diffVerb struct {
	jobArg
	From revision `arg:"" help:"Number of a revision, as log lists it; 0 is the empty job."`
	To   revision `arg:"" optional:"" help:"Number of the other one; the newest where left out."`
}

// revision is the number of a revision on the command line.
type revision int64

// UnmarshalText reads it.
func (r *revision) UnmarshalText(text []byte) error {
	n, err := strconv.ParseInt(string(text), 10, 64)
	if err != nil || n < 0 {
		return fmt.Errorf("%q is no number of a revision", text)
	}
	*r = revision(n)
	return nil
}

// Help shows an example.
func (diffVerb) Help() string {
	return "Examples:\n  wirewright diff lindenhof.wirewright 3\n  wirewright diff lindenhof.wirewright 3 5"
}

// Run says what differs.
func (v diffVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		d, err := j.Difference(c.ctx, job.Rev(v.From), job.Rev(v.To))
		if err != nil {
			return err
		}
		return c.answer(d)
	})
}

type undoVerb struct{ jobArg }

// Help shows an example.
func (undoVerb) Help() string { return "Example:\n  wirewright undo lindenhof.wirewright" }

// Run takes back the last edit of whoever works.
func (v undoVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		rev, err := j.Undo(c.ctx)
		if err != nil {
			return err
		}
		return c.answer(undone{rev})
	})
}

// undone is the answer of undo.
type undone struct {
	Rev job.Rev `json:"revision"`
}

// Lines implements job.Report.
func (u undone) Lines() []string { return []string{fmt.Sprintf("undone; revision %d", u.Rev)} }

type exportVerb struct {
	jobArg
	Folder string `arg:"" help:"Where to write the texts: a new folder."`
}

// Help shows an example.
func (exportVerb) Help() string {
	return "Writes house, behaviour, acceptance tests, own types, log and attachments as plain text and files. Secrets are never exported.\nimport brings the folder back: edited into the same job, or as a job of its own.\n\n" +
		"Example:\n  wirewright export lindenhof.wirewright lindenhof-text"
}

// Run exports.
func (v exportVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		r, err := j.Export(c.ctx, v.Folder)
		if err != nil {
			return err
		}
		return c.answer(r)
	})
}

type schemaVerb struct {
	Of string `arg:"" optional:"" enum:"house,catalogue" default:"house" help:"house or catalogue."`
}

// Help shows an example.
func (schemaVerb) Help() string {
	return "Example:\n  wirewright schema house > house.schema.json"
}

// Run prints a schema.
func (v schemaVerb) Run(c *call) error { return c.text(string(job.Schema(v.Of))) }
