package main

import (
	"errors"

	"wirewright/internal/problem"
	"wirewright/job"
)

type writeVerb struct {
	jobArg
	Behaviour  string `help:"File with the behaviour text; - for standard input." placeholder:"FILE"`
	Acceptance string `help:"File with acceptance tests; - for standard input." placeholder:"FILE"`
}

// Help shows an example.
func (writeVerb) Help() string {
	return "A text with mistakes is stored as well, since work on it goes on; they are told, and the exit code is 1.\n\n" +
		"Example:\n  wirewright write lindenhof.wirewright --behaviour behaviour.txt"
}

// Run sets the texts; exit code 1 where there are mistakes in what the job then holds.
func (v writeVerb) Run(c *call) error {
	switch {
	case v.Behaviour == "" && v.Acceptance == "":
		return &job.Error{Kind: job.Invalid, Err: errors.New("there is nothing to write"), Hint: "name a file with --behaviour or --acceptance"}
	case v.Behaviour == dash && v.Acceptance == dash:
		return &job.Error{Kind: job.Invalid, Err: errors.New("standard input cannot be both texts"), Hint: "name a file for one of them"}
	}
	behaviour, err := v.text(c, v.Behaviour)
	if err != nil {
		return err
	}
	acceptance, err := v.text(c, v.Acceptance)
	if err != nil {
		return err
	}
	return c.with(v.Job, func(j *job.Job) error {
		r, err := j.SetTexts(c.ctx, behaviour, acceptance, "write the behaviour")
		if err != nil {
			return err
		}
		_, err = j.Tests(c.ctx)
		left := problems(err)
		if err != nil && len(left) == 0 {
			return err
		}
		if err := c.answer(written{r, left}); err != nil {
			return err
		}
		if len(left) > 0 {
			_ = c.withTexts(j, left)
			c.mistakes(left)
		}
		return faultsIf(len(left) > 0)
	})
}

// text reads one of the texts; an empty one would be no edit, so it is refused.
func (v writeVerb) text(c *call, name string) (string, error) {
	if name == "" {
		return "", nil
	}
	text, err := c.readText(name)
	if err == nil && text == "" {
		err = &job.Error{Kind: job.Invalid, Subject: name, Err: errors.New("the text is empty")}
	}
	return text, err
}

// written is the answer of write.
type written struct {
	job.Edited
	Mistakes problem.List `json:"mistakes"`
}

// Lines implements job.Report.
func (w written) Lines() []string {
	list := w.Edited.Lines()
	if n := len(w.Mistakes); n > 0 {
		return append(list, count(n, "mistake is", "mistakes are")+" left in the texts:")
	}
	return list
}

type fmtVerb struct {
	File string `arg:"" help:"File with a behaviour text; - for standard input."`
}

// Help shows an example.
func (fmtVerb) Help() string {
	return "Example:\n  wirewright fmt behaviour.txt"
}

// Run formats.
func (v fmtVerb) Run(c *call) error {
	text, err := c.readText(v.File)
	if err != nil {
		return err
	}
	name := v.File
	if name == dash {
		name = inputName
	}
	out, err := job.Format(name, text)
	if err != nil {
		return err
	}
	return c.answerText("text", out)
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
			return c.text(p.Listing)
		}
		return c.answer(p)
	})
}

type proveVerb struct {
	jobArg
	States int `help:"Most states a question may store; 0 for the usual." placeholder:"N"`
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
		if err := c.answer(p); err != nil {
			return err
		}
		return faultsIf(!p.Good())
	})
}

type rehearseVerb struct {
	jobArg
	Only    []string `arg:"" optional:"" help:"Only tests with these words in their name, or of this rule or wish."`
	Seed    uint64   `help:"Seed of the network and the random days." default:"1" placeholder:"N"`
	Test    string   `help:"Only the test of this name." placeholder:"NAME"`
	Story   bool     `help:"Print what happened in the tests, event by event."`
	Days    int      `help:"Random days to live through after the tests." placeholder:"N"`
	Presses int      `help:"Of the random days: presses a day for each key; 0 for the usual." placeholder:"N"`
	Outages int      `help:"Of the random days: outages a day." placeholder:"N"`
}

// Help shows an example.
func (rehearseVerb) Help() string {
	return "The same seed lives the same days: a fault is told with the command that repeats it.\n\n" +
		"Examples:\n  wirewright rehearse lindenhof.wirewright --days 3 --outages 4\n  wirewright rehearse lindenhof.wirewright storm --story"
}

// Run rehearses; exit code 1 where a test fails or the random days bring a fault.
func (v rehearseVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		t, err := j.Rehearse(c.ctx, job.RehearseOptions{Seed: v.Seed, Only: v.Only, Test: v.Test, Story: v.Story, Days: v.Days, Presses: v.Presses, Outages: v.Outages})
		if err != nil {
			return err
		}
		if err := c.answer(t); err != nil {
			return err
		}
		return faultsIf(!t.Good())
	})
}
