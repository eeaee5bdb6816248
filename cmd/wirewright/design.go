package main

import (
	"wirewright/job"
)

type allotVerb struct {
	jobArg
	Budget int `help:"Most steps of search a part may take; 0 for the usual."`
}

// Help shows an example.
func (allotVerb) Help() string {
	return "A point is wired where it or its room has control wiring, else it goes by radio where its box has a neutral. What is\nthere already is kept; free channels are used first.\n\nExample:\n  wirewright allot lindenhof.wirewright"
}

// Run allots.
func (v allotVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		r, err := j.Allot(c.ctx, v.Budget)
		if err != nil {
			return err
		}
		if err := c.answer(r); err != nil {
			return err
		}
		c.say("next: wirewright check " + v.Job)
		if len(r.Result.Open) > 0 {
			return errFaults
		}
		return nil
	})
}

type checkVerb struct{ jobArg }

// Help shows an example.
func (checkVerb) Help() string {
	return "Example:\n  wirewright check lindenhof.wirewright\n  wirewright check lindenhof.wirewright --json | jq '.findings[].slug'"
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
		if f.Bad() {
			return errFaults
		}
		return nil
	})
}

type explainVerb struct {
	Slug string `arg:"" optional:"" help:"Name of the finding, e.g. bus/too-long."`
	List bool   `help:"List the names of all findings."`
}

// Help shows an example.
func (explainVerb) Help() string {
	return "Examples:\n  wirewright explain channel/overload\n  wirewright explain --list"
}

// Run explains.
func (v explainVerb) Run(c *call) error {
	if v.List || v.Slug == "" {
		c.say(job.Slugs()...)
		return nil
	}
	lines, err := job.Explain(v.Slug)
	if err != nil {
		return err
	}
	c.say(lines...)
	return nil
}

type writeVerb struct {
	jobArg
	Behaviour  string `help:"File with the behaviour text; - for standard input." placeholder:"FILE"`
	Acceptance string `help:"File with acceptance tests; - for standard input." placeholder:"FILE"`
}

// Help shows an example.
func (writeVerb) Help() string {
	return "Example:\n  wirewright write lindenhof.wirewright --behaviour behaviour.txt"
}

// Run sets the texts.
func (v writeVerb) Run(c *call) error {
	behaviour, acceptance := "", ""
	var err error
	if v.Behaviour != "" {
		if behaviour, err = c.readText(v.Behaviour); err != nil {
			return err
		}
	}
	if v.Acceptance != "" {
		if acceptance, err = c.readText(v.Acceptance); err != nil {
			return err
		}
	}
	return c.with(v.Job, func(j *job.Job) error {
		r, err := j.SetTexts(c.ctx, behaviour, acceptance, "write the behaviour")
		if err != nil {
			return err
		}
		return c.answer(r)
	})
}

type fmtVerb struct {
	File string `arg:"" help:"File with a behaviour text; - for standard input."`
}

// Help shows an example.
func (fmtVerb) Help() string { return "Example:\n  wirewright fmt behaviour.txt" }

// Run formats.
func (v fmtVerb) Run(c *call) error {
	text, err := c.readText(v.File)
	if err != nil {
		return err
	}
	out, err := job.Format(v.File, text)
	if err != nil {
		return err
	}
	_, err = c.out.Write([]byte(out))
	return err
}

type programmeVerb struct {
	jobArg
	Listing bool `help:"Print where each rule lives and what crosses the network."`
}

// Help shows an example.
func (programmeVerb) Help() string {
	return "Example:\n  wirewright programme lindenhof.wirewright --listing"
}

// Run compiles.
func (v programmeVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		p, err := j.Programme(c.ctx)
		if err != nil {
			return err
		}
		if v.Listing && !c.json {
			_, err := c.out.Write([]byte(p.Listing))
			return err
		}
		return c.answer(p)
	})
}

type rehearseVerb struct {
	jobArg
	Only  []string `arg:"" optional:"" help:"Only tests with these words in their name, of this rule or wish."`
	Seed  uint64   `help:"Seed of the network and the random days." default:"1"`
	Days  int      `help:"Random days to live through after the tests."`
	Story bool     `help:"Print what happened, event by event."`
}

// Help shows an example.
func (rehearseVerb) Help() string {
	return "Examples:\n  wirewright rehearse lindenhof.wirewright --days 3\n  wirewright rehearse lindenhof.wirewright storm --story"
}

// Run rehearses; exit code 1 where a test fails.
func (v rehearseVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		o := job.RehearseOptions{Seed: v.Seed, Only: v.Only, Days: v.Days}
		story := ""
		if v.Story {
			o.Trace = func(s string) { story = s }
		}
		t, err := j.Rehearse(c.ctx, o)
		if err != nil {
			return err
		}
		c.progressDone()
		if story != "" && !c.json {
			c.say(story)
		}
		if err := c.answer(t); err != nil {
			return err
		}
		if !t.Good() {
			return errFaults
		}
		return nil
	})
}
