package main

import (
	"fmt"
	"net"
	"os"
	"path/filepath"

	"wirewright/job"
	"wirewright/workbench"
)

type proveVerb struct {
	jobArg
	States int `help:"Most states a question may store; 0 for the usual."`
}

// Help shows an example.
func (proveVerb) Help() string {
	return "Answers are proved, refuted (with the shortest story that shows it) or undecided (with how far it came).\n\nExample:\n  wirewright prove lindenhof.wirewright"
}

// Run proves; exit code 1 where something is refuted.
func (v proveVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		p, err := j.Prove(c.ctx, job.ProveOptions{States: v.States})
		if err != nil {
			return err
		}
		c.progressDone()
		if err := c.answer(p); err != nil {
			return err
		}
		if !p.Good() {
			return errFaults
		}
		return nil
	})
}

type commissionVerb struct {
	jobArg
	Only    []string `arg:"" optional:"" help:"Only tests with these words in their name, of this rule or wish."`
	Virtual bool     `help:"Against software modules on this machine, one process each."`
	Key     string   `help:"Key file that opens the job's secrets; made the first time. Keep it apart from the job." placeholder:"FILE"`
}

// Help shows an example.
func (commissionVerb) Help() string {
	return "Every module gets its network, name and a secret of its own; then it is found, matched to the plan, loaded, read back and\ntried. Secrets are sealed in the job and never printed.\n\nExample:\n  wirewright commission lindenhof.wirewright --virtual --key lindenhof.key"
}

// Run commissions; exit code 1 where anything is left to do.
func (v commissionVerb) Run(c *call) error {
	if !v.Virtual {
		return job.ErrOnlyVirtual
	}
	return c.with(v.Job, func(j *job.Job) error {
		r, err := j.CommissionVirtual(c.ctx, job.CommissionOptions{Key: job.Keyhole{File: v.Key}, Only: v.Only})
		if err != nil {
			return err
		}
		c.progressDone()
		if err := c.answer(r); err != nil {
			return err
		}
		if !r.Good() {
			return errFaults
		}
		return nil
	})
}

type virtualVerb struct{}

// Run is the body of a software module's process.
func (virtualVerb) Run(c *call) error {
	os.Exit(job.VirtualModule(os.Stdin, os.Stdout, os.Stderr))
	return nil
}

type handoverVerb struct {
	jobArg
	Folder string `arg:"" optional:"" help:"Where to write the papers; handover beside the job where left out."`
}

// Help shows an example.
func (handoverVerb) Help() string {
	return "Writes the papers as PDF, every schedule as a spreadsheet, the plans as SVG and DXF, and the house as text.\n\nExample:\n  wirewright handover lindenhof.wirewright papers"
}

// Run writes the papers.
func (v handoverVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		if v.Folder == "" {
			v.Folder = filepath.Join(filepath.Dir(v.Job), "handover")
		}
		r, err := j.WriteHandover(c.ctx, v.Folder)
		if err != nil {
			return err
		}
		return c.answer(r)
	})
}

type workbenchVerb struct {
	jobArg
	Listen string `help:"Address to serve on; this machine only where left out." default:"127.0.0.1:0"`
}

// Help shows an example.
func (workbenchVerb) Help() string {
	return "Prints an address with a token for your browser; without the token nobody gets in.\n\nExample:\n  wirewright workbench lindenhof.wirewright"
}

// Run serves until it is stopped.
func (v workbenchVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error { return c.serve(j, v.Listen) })
}

// serve serves the workbench until the context ends.
func (c *call) serve(j *job.Job, listen string) error {
	l, err := net.Listen("tcp", listen)
	if err != nil {
		return &job.Error{Kind: job.Failed, Subject: listen, Err: err, Hint: "another program has the address: choose another port with --listen"}
	}
	s, err := workbench.New(j, workbench.Options{})
	if err != nil {
		return err
	}
	c.say("", "workbench: "+s.URL(l.Addr()), "stop it with Ctrl+C")
	return s.Serve(c.ctx, l)
}

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

type undoVerb struct{ jobArg }

// Help shows an example.
func (undoVerb) Help() string { return "Example:\n  wirewright undo lindenhof.wirewright" }

// Run takes back the last edit.
func (v undoVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		rev, err := j.Undo(c.ctx)
		if err != nil {
			return err
		}
		c.say(fmt.Sprintf("undone; revision %d", rev))
		return nil
	})
}

type exportVerb struct {
	jobArg
	Folder string `arg:"" help:"Where to write the texts."`
}

// Help shows an example.
func (exportVerb) Help() string {
	return "Writes house, behaviour, acceptance tests, own types, log and attachments as plain text and files. Secrets are never exported.\n\nExample:\n  wirewright export lindenhof.wirewright lindenhof-text"
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
func (v schemaVerb) Run(c *call) error {
	_, err := c.out.Write(job.Schema(v.Of))
	return err
}
