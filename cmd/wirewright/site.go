package main

import (
	"net"
	"os"
	"path/filepath"

	"wirewright/job"
	"wirewright/workbench"
)

type commissionVerb struct {
	jobArg
	Only    []string `arg:"" optional:"" help:"Only tests with these words in their name, or of this rule or wish."`
	Virtual bool     `help:"Against software modules on this machine, one process each."`
	Key     string   `help:"Key file that opens the job's secrets; made the first time. Keep it apart from the job." placeholder:"FILE"`
}

// Help shows an example.
func (commissionVerb) Help() string {
	return "Every module gets its network, name and a secret of its own; then it is found, matched to the plan, loaded, read back and\ntried. Secrets are sealed in the job and never printed.\n\n" +
		"Example:\n  wirewright commission lindenhof.wirewright --virtual --key lindenhof.key"
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
		if err := c.answer(r); err != nil {
			return err
		}
		return faultsIf(!r.Good())
	})
}

type virtualVerb struct{}

// Run is the body of a software module's process.
func (virtualVerb) Run(*call) error {
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
	Open   bool   `help:"Let other machines in: whoever has the address with its token may read and change the job."`
}

// Help shows an example.
func (workbenchVerb) Help() string {
	return "Prints an address with a token for your browser; without the token nobody gets in.\n\nExample:\n  wirewright workbench lindenhof.wirewright"
}

// Run serves until it is stopped.
func (v workbenchVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error { return c.serve(j, v.Listen, v.Open) })
}

// serve serves the workbench until the context ends.
func (c *call) serve(j *job.Job, listen string, open bool) error {
	l, err := net.Listen("tcp", listen)
	if err != nil {
		return &job.Error{Kind: job.Failed, Subject: listen, Err: err, Hint: "choose another address or port with --listen"}
	}
	s, err := workbench.New(j, workbench.Options{Open: open})
	if err != nil {
		return err
	}
	if err := c.answer(serving{s.URL(l.Addr())}); err != nil {
		return err
	}
	return s.Serve(c.ctx, l)
}

// serving is the answer of workbench.
type serving struct {
	Address string `json:"address"`
}

// Lines implements job.Report.
func (s serving) Lines() []string {
	return []string{"workbench: " + s.Address, "stop it with Ctrl+C"}
}
