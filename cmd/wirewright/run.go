package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"github.com/alecthomas/kong"

	"wirewright/job"
)

// command is the whole command line: one field a verb, in the order of the job.
type command struct {
	JSON bool   `name:"json" help:"Print the answer as JSON."`
	Who  string `help:"Who works; stands in the log. Your user name where left out." placeholder:"NAME"`

	Demo       demoVerb       `cmd:"" help:"Make the example house and take it through the whole job."`
	New        newVerb        `cmd:"" help:"Begin a job."`
	Import     importVerb     `cmd:"" help:"Bring in building models (IFC), a house text (YAML), or a folder that export wrote."`
	Furnish    furnishVerb    `cmd:"" help:"Give every room the points of its room data sheet."`
	Types      typesVerb      `cmd:"" help:"Add module types of your own, or list the catalogue."`
	Allot      allotVerb      `cmd:"" help:"Choose modules and land every point at least cost."`
	Check      checkVerb      `cmd:"" help:"Say what is wrong, where, by which rule, and what would mend it."`
	Explain    explainVerb    `cmd:"" help:"Print the reasoning behind a finding."`
	Write      writeVerb      `cmd:"" help:"Set the behaviour text, or the acceptance tests, of a job."`
	Fmt        fmtVerb        `cmd:"" name:"fmt" help:"Print a behaviour text in its one form."`
	Programme  programmeVerb  `cmd:"" help:"Compile the behaviour: which rule lives where, and what it needs."`
	Prove      proveVerb      `cmd:"" help:"Explore the compiled programs for what must never happen."`
	Rehearse   rehearseVerb   `cmd:"" help:"Try every acceptance test in a simulated house."`
	Commission commissionVerb `cmd:"" help:"Enrol, find, load, attest and try every controller."`
	Handover   handoverVerb   `cmd:"" help:"Write the handover papers."`
	Workbench  workbenchVerb  `cmd:"" help:"Serve the workbench to a browser on this machine."`
	Show       showVerb       `cmd:"" help:"Print the passport of a point, module, room or circuit."`
	Log        logVerb        `cmd:"" help:"List the revisions of a job."`
	Diff       diffVerb       `cmd:"" name:"diff" help:"Say what differs between two revisions."`
	Undo       undoVerb       `cmd:"" help:"Take back your last edit."`
	Export     exportVerb     `cmd:"" help:"Write a job as plain text."`
	Schema     schemaVerb     `cmd:"" help:"Print the JSON Schema of a text form."`
	Completion completionVerb `cmd:"" help:"Print a completion script for your shell."`

	Virtual virtualVerb `cmd:"" name:"virtual-module" hidden:"" help:"Be a software module; started by commission --virtual."`
}

// parser makes the parser of a command line; exit is called where parsing itself ends the run, as --help does.
func parser(c *command, s *streams, exit func(int)) *kong.Kong {
	p, err := kong.New(c, kong.Name("wirewright"), kong.Writers(s.out, s.err), kong.Exit(exit),
		kong.Description("Takes a house with a control system from survey to handover: computed before anything is bought, rehearsed before anyone drives out, commissioned as a list that empties itself, documented by itself."),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 110}))
	if err != nil {
		panic("invariant: the command line is not well formed: " + err.Error())
	}
	return p
}

// run parses and runs one command line and returns the exit code.
func run(ctx context.Context, args []string, s *streams) (code int) {
	defer s.rescue(&code)
	var c command
	exit := -1
	if len(args) == 0 {
		args = []string{"--help"}
	}
	k, err := parser(&c, s, func(code int) { exit = code }).Parse(args)
	switch {
	case exit >= 0:
		return exit
	case err != nil:
		return s.misused(err)
	}
	s.json = c.JSON
	who := c.Who
	if who == "" {
		who = s.user()
	}
	err = k.Run(&call{ctx: ctx, streams: s, who: who})
	s.progressDone()
	return s.code(ctx, err)
}

// call is what every verb gets.
type call struct {
	*streams
	ctx context.Context
	who string
}

// options are how a verb opens a job.
func (c *call) options() job.Options {
	return job.Options{Who: c.who, Now: c.now, Progress: func(p job.Progress) {
		text := p.Text
		if p.Of > 0 {
			text = fmt.Sprintf("%d/%d  %s", p.Done, p.Of, p.Text)
		}
		c.progress(p.Stage, text)
	}}
}

// with opens a job, does something with it and closes it.
func (c *call) with(path string, do func(*job.Job) error) error {
	return c.opened(path, c.options(), do)
}

// tried does the same and stores nothing where it is a dry run: the report is then followed by what it would change.
func (c *call) tried(path string, dry bool, do func(*job.Job) (job.Report, error)) error {
	o := c.options()
	o.DryRun = dry
	return c.opened(path, o, func(j *job.Job) error {
		report, err := do(j)
		if err != nil {
			return err
		}
		return c.answerTried(j, dry, report)
	})
}

// answerTried prints a report, after a dry run with what would change.
func (c *call) answerTried(j *job.Job, dry bool, report job.Report) error {
	if !dry {
		return c.answer(report)
	}
	would, err := j.Would(c.ctx)
	if err != nil {
		return err
	}
	return c.answer(dryRun{true, report, would.List, would})
}

// dryRun is the answer of a verb that stored nothing.
type dryRun struct {
	DryRun  bool             `json:"dry_run"`
	Report  job.Report       `json:"report"`
	Changes []job.Difference `json:"differences"`
	would   job.Differences
}

// Lines implements job.Report.
func (d dryRun) Lines() []string {
	return append(append([]string{"dry run: nothing is stored"}, d.Report.Lines()...), d.would.Lines()...)
}

func (c *call) opened(path string, o job.Options, do func(*job.Job) error) (err error) {
	j, err := job.Open(c.ctx, path, o)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, j.Close()) }()
	return c.withTexts(j, do(j))
}

// withTexts keeps the texts of the job at hand where an error points into one of them.
func (c *call) withTexts(j *job.Job, err error) error {
	if len(problems(err)) > 0 {
		if texts, unread := j.Texts(c.ctx); unread == nil {
			for name, text := range texts {
				c.note(name, text)
			}
		}
	}
	return err
}

// withNew opens a job, or begins it where no file of that name is there; what was begun goes again if it comes to
// nothing.
func (c *call) withNew(path string, do func(*job.Job) error) (err error) {
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
		return c.with(path, do)
	}
	j, err := job.Create(c.ctx, path, c.options())
	if err != nil {
		return err
	}
	defer func() {
		if err = errors.Join(err, j.Close()); err != nil {
			err = errors.Join(err, os.Remove(path))
		}
	}()
	return do(j)
}
