package main

import (
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
	return "Survey, design, programme, proof, rehearsal, commissioning on a virtual site, handover, workbench: on an invented house.\n\n" +
		"Examples:\n  wirewright demo\n  wirewright demo house-at-the-weir --once"
}

// Run takes the example house through the whole job; exit code 1 where a stage found faults.
func (v demoVerb) Run(c *call) error {
	folder := v.Folder
	if folder == "" {
		folder = freeFolder("wirewright-demo")
	}
	told := demonstration{}
	j, err := job.Demo(c.ctx, folder, c.options(), func(s job.Stage) {
		told.Stages = append(told.Stages, s)
		c.tellStage(s)
	})
	if err != nil {
		return err
	}
	defer j.Close()
	told.Job = j.Path()
	if c.json {
		if err := c.answerJSON(told); err != nil {
			return err
		}
	}
	c.say("", "the job: "+told.Job)
	if !v.Once && !c.json {
		if err := c.serve(j, v.Listen, false); err != nil {
			return err
		}
	}
	return faultsIf(!told.good())
}

// demonstration is the answer of demo as JSON.
type demonstration struct {
	Job    string      `json:"job"`
	Stages []job.Stage `json:"stages"`
}

func (d *demonstration) good() bool {
	for _, s := range d.Stages {
		if !s.Good {
			return false
		}
	}
	return true
}

// tellStage prints what one stage found.
func (c *call) tellStage(s job.Stage) {
	c.say("", fmt.Sprintf("%s  %s  %.2f s", c.paint(color.Bold, s.Name), c.verdict(s.Good), s.Took))
	for _, l := range s.Report.Lines() {
		c.say("  " + c.severity(l))
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
