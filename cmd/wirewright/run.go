package main

import (
	"context"
	"errors"
	"fmt"
	"os/user"
	"strings"

	"github.com/alecthomas/kong"
	"github.com/fatih/color"

	"wirewright/job"
)

// The exit codes.
const (
	codeGood   = 0
	codeFaults = 1
	codeCould  = 2
)

// errFaults says that the work was done and faults were found; it is never printed.
var errFaults = errors.New("faults were found")

// command is the whole command line: one field a verb, in the order of the job.
type command struct {
	JSON bool   `name:"json" help:"Print the answer as JSON."`
	Who  string `help:"Who works; stands in the log. Your user name where left out." placeholder:"NAME"`

	Demo       demoVerb       `cmd:"" help:"Make the example house and take it through the whole job."`
	New        newVerb        `cmd:"" help:"Begin a job."`
	Import     importVerb     `cmd:"" help:"Bring in building models (IFC) or a house text (YAML)."`
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
	Undo       undoVerb       `cmd:"" help:"Take back your last edit."`
	Export     exportVerb     `cmd:"" help:"Write a job as plain text."`
	Schema     schemaVerb     `cmd:"" help:"Print the JSON Schema of a text form."`
	Completion completionVerb `cmd:"" help:"Print a completion script for your shell."`

	Virtual virtualVerb `cmd:"" name:"virtual-module" hidden:"" help:"Be a software module; started by commission --virtual."`
}

// run parses and runs one command line and returns the exit code.
func run(ctx context.Context, args []string, s *streams) int {
	var c command
	exit := -1
	parser, err := kong.New(&c, kong.Name("wirewright"), kong.Writers(s.out, s.err), kong.Exit(func(code int) { exit = code }),
		kong.Description("Takes a house with a control system from survey to handover: computed before anything is bought, rehearsed before anyone drives out, commissioned as a list that empties itself, documented by itself."),
		kong.UsageOnError(), kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 110}))
	if err != nil {
		panic("invariant: the command line is not well formed: " + err.Error())
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	k, err := parser.Parse(args)
	if exit >= 0 {
		return exit
	}
	if err != nil {
		fmt.Fprintf(s.err, "wirewright: %v\nhint: wirewright --help lists the verbs; wirewright VERB --help shows an example\n", err)
		return codeCould
	}
	s.json = c.JSON
	err = k.Run(&call{ctx: ctx, streams: s, who: worker(c.Who)})
	s.progressDone()
	return s.code(err)
}

// worker is who works, the user's name where nobody was given.
func worker(who string) string {
	if who != "" {
		return who
	}
	if u, err := user.Current(); err == nil && u.Username != "" {
		return u.Username
	}
	return "somebody"
}

// code prints an error for the person and maps it to the exit code.
func (s *streams) code(err error) int {
	switch {
	case err == nil:
		return codeGood
	case errors.Is(err, errFaults):
		return codeFaults
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(s.err, "wirewright: stopped")
		return codeCould
	}
	lines := strings.Split(err.Error(), "\n")
	for i, l := range lines {
		if i == 0 && len(lines) == 1 {
			l = "wirewright: " + l
		}
		fmt.Fprintln(s.err, l)
	}
	var own *job.Error
	if errors.As(err, &own) && own.Hint != "" {
		fmt.Fprintln(s.err, "hint: "+own.Hint)
	}
	return codeCould
}

// call is what every verb gets.
type call struct {
	*streams
	ctx context.Context
	who string
}

// open opens a job for a verb; the caller closes it.
func (c *call) open(path string) (*job.Job, error) {
	return job.Open(c.ctx, path, c.options())
}

func (c *call) options() job.Options {
	return job.Options{Who: c.who, Progress: func(p job.Progress) {
		text := p.Stage + "  "
		if p.Of > 0 {
			text += fmt.Sprintf("%d/%d  ", p.Done, p.Of)
		}
		c.progress(text + p.Text)
	}}
}

// with opens a job, does something with it and closes it.
func (c *call) with(path string, do func(*job.Job) error) (err error) {
	j, err := c.open(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, j.Close()) }()
	return do(j)
}

// verdict paints the one word that sums a stage up.
func (c *call) verdict(good bool) string {
	if good {
		return c.paint(color.FgGreen, "good")
	}
	return c.paint(color.FgRed, "faults")
}
