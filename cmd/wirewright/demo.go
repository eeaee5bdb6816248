package main

import (
	"encoding/json"
	"fmt"
	"os"

	"github.com/fatih/color"

	"wirewright/job"
)

type demoVerb struct {
	Folder string `arg:"" optional:"" help:"Where to make the job; wirewright-demo in this folder where left out, numbered if that is taken."`
	Once   bool   `help:"End after the papers are written instead of serving the workbench."`
	Listen string `help:"Address of the workbench; this machine only where left out." default:"127.0.0.1:0"`
}

// Help shows an example.
func (demoVerb) Help() string {
	return "Survey, design, programme, proof, rehearsal, commissioning on a virtual site, handover, workbench: on an invented house.\n\nExamples:\n  wirewright demo\n  wirewright demo /tmp/house --once"
}

// Run takes the example house through the whole job; exit code 1 where a stage found faults.
func (v demoVerb) Run(c *call) error {
	folder := v.Folder
	if folder == "" {
		folder = freeFolder("wirewright-demo")
	}
	var stages []job.Stage
	good := true
	j, err := job.Demo(c.ctx, folder, c.options(), func(s job.Stage) {
		c.progressDone()
		stages, good = append(stages, s), good && s.Good
		c.stage(s)
	})
	if err != nil {
		return err
	}
	defer j.Close()
	if c.json {
		e := json.NewEncoder(c.out)
		e.SetIndent("", "  ")
		if err := e.Encode(stages); err != nil {
			return err
		}
	}
	c.say("", "the job: "+j.Path())
	if !v.Once && !c.json {
		if err := c.serve(j, v.Listen); err != nil {
			return err
		}
	}
	if !good {
		return errFaults
	}
	return nil
}

// stage prints what one stage found.
func (c *call) stage(s job.Stage) {
	if c.json {
		return
	}
	fmt.Fprintf(c.out, "\n%s  %s  %.2f s\n", c.paint(color.Bold, s.Name), c.verdict(s.Good), s.Took)
	for _, l := range s.Report.Lines() {
		fmt.Fprintln(c.out, "  "+l)
	}
}

// freeFolder is a name that nothing has yet.
func freeFolder(stem string) string {
	name := stem
	for n := 2; ; n++ {
		if _, err := os.Stat(name); os.IsNotExist(err) {
			return name
		}
		name = fmt.Sprintf("%s-%d", stem, n)
	}
}
