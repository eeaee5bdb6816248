package main

import (
	"strings"

	"wirewright/job"
)

type allotVerb struct {
	jobArg
	dryArg
	Budget int `help:"Most steps of search a part may take; 0 for the usual." placeholder:"N"`
}

// Help shows an example.
func (allotVerb) Help() string {
	return "A point is wired where it or its room has control wiring, else it goes by radio where its box has a neutral. What is\nthere already is kept; free channels are used first.\n\n" +
		"Examples:\n  wirewright allot lindenhof.wirewright --dry-run\n  wirewright allot lindenhof.wirewright"
}

// Run allots; exit code 1 where a point stays open.
func (v allotVerb) Run(c *call) error {
	open := 0
	err := c.tried(v.Job, v.DryRun, func(j *job.Job) (job.Report, error) {
		r, err := j.Allot(c.ctx, v.Budget)
		if err == nil {
			open = len(r.Result.Open)
		}
		return r, err
	})
	if err != nil {
		return err
	}
	if !v.DryRun {
		c.say("next: wirewright check " + v.Job)
	}
	return faultsIf(open > 0)
}

// faultsIf is the error for exit code 1, or none.
func faultsIf(bad bool) error {
	if bad {
		return errFaults
	}
	return nil
}

type checkVerb struct{ jobArg }

// Help shows an example.
func (checkVerb) Help() string {
	return "Examples:\n  wirewright check lindenhof.wirewright\n  wirewright check lindenhof.wirewright --json | jq '.findings[].slug'"
}

// Run checks; exit code 1 where there is a fault.
func (v checkVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		f, err := j.Check(c.ctx)
		if err != nil {
			return err
		}
		if err := c.answer(f); err != nil {
			return err
		}
		return faultsIf(f.Bad())
	})
}

type explainVerb struct {
	Slug   string `arg:"" optional:"" help:"Name of the finding, such as bus/too-long; all names are listed where it is left out."`
	Job    string `arg:"" optional:"" help:"Job file, to see what was found there with the figures put in."`
	Entity string `arg:"" optional:"" help:"The point, module, line, board or circuit that it was found of; all of them where left out."`
}

// Help shows an example.
func (explainVerb) Help() string {
	return "Examples:\n  wirewright explain channel/overload\n  wirewright explain\n  wirewright explain channel/overload lindenhof.wirewright hall.relay"
}

// Run explains.
func (v explainVerb) Run(c *call) error {
	switch {
	case v.Slug == "":
		return c.answer(slugs{job.Slugs()})
	case v.Job != "":
		return c.with(v.Job, func(j *job.Job) error {
			w, err := j.Explain(c.ctx, v.Slug, v.Entity)
			if err != nil {
				return err
			}
			return c.answer(w)
		})
	}
	lines, err := job.Explain(v.Slug)
	if err != nil {
		return err
	}
	return c.answer(explanation{v.Slug, strings.Join(lines, "\n")})
}

// slugs is the answer of explain without a name.
type slugs struct {
	Slugs []string `json:"slugs"`
}

// Lines implements job.Report.
func (s slugs) Lines() []string { return s.Slugs }

// explanation is the answer of explain.
type explanation struct {
	Slug string `json:"slug"`
	Text string `json:"text"`
}

// Lines implements job.Report.
func (e explanation) Lines() []string { return strings.Split(e.Text, "\n") }
