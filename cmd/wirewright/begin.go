package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"wirewright/job"
)

// jobArg is the job that a verb works on.
type jobArg struct {
	Job string `arg:"" help:"The job file." placeholder:"JOB"`
}

type newVerb struct {
	jobArg
	Title string `help:"What people call the job." placeholder:"TEXT"`
}

// Help shows an example.
func (newVerb) Help() string {
	return "Example:\n  wirewright new lindenhof.wirewright --title \"House on the hill\""
}

// Run begins a job.
func (v newVerb) Run(c *call) error {
	j, err := job.Create(c.ctx, v.Job, c.options())
	if err != nil {
		return err
	}
	defer j.Close()
	if err := j.Begin(c.ctx, v.Title); err != nil {
		return err
	}
	c.say("begun: "+v.Job, "next: wirewright import "+v.Job+" MODEL.ifc, or wirewright import "+v.Job+" house.yaml")
	return nil
}

type importVerb struct {
	jobArg
	Files []string `arg:"" help:"IFC models that share one set of coordinates, or one house text in YAML." type:"existingfile"`
}

// Help shows an example.
func (importVerb) Help() string {
	return "Examples:\n  wirewright import lindenhof.wirewright architecture.ifc electrical.ifc\n  wirewright import lindenhof.wirewright house.yaml"
}

// Run brings files in. A job that is not there yet is begun.
func (v importVerb) Run(c *call) error {
	files, err := read(v.Files)
	if err != nil {
		return err
	}
	return c.withNew(v.Job, func(j *job.Job) error {
		if len(files) == 1 && isText(files[0].Name) {
			report, err := j.ReadHouse(c.ctx, files[0].Name, files[0].Data, "bring in "+filepath.Base(files[0].Name))
			if err != nil {
				return err
			}
			return c.answer(report)
		}
		report, err := j.Import(c.ctx, files)
		if err != nil {
			return err
		}
		if err := c.answer(report); err != nil {
			return err
		}
		c.say("next: wirewright furnish " + v.Job)
		return nil
	})
}

func isText(name string) bool {
	ext := strings.ToLower(filepath.Ext(name))
	return ext == ".yaml" || ext == ".yml"
}

func read(names []string) ([]job.File, error) {
	var list []job.File
	for _, n := range names {
		b, err := os.ReadFile(n)
		if err != nil {
			return nil, &job.Error{Kind: job.Missing, Subject: n, Err: err}
		}
		list = append(list, job.File{Name: n, Data: b})
	}
	return list, nil
}

// withNew opens a job, or begins it where no file of that name is there.
func (c *call) withNew(path string, do func(*job.Job) error) error {
	if _, err := os.Stat(path); !os.IsNotExist(err) {
		return c.with(path, do)
	}
	j, err := job.Create(c.ctx, path, c.options())
	if err != nil {
		return err
	}
	defer j.Close()
	return do(j)
}

type furnishVerb struct{ jobArg }

// Help shows an example.
func (furnishVerb) Help() string {
	return "Rooms are known by their use (bedroom, kitchen, …). What a room has already is kept.\n\nExample:\n  wirewright furnish lindenhof.wirewright"
}

// Run furnishes the rooms.
func (v furnishVerb) Run(c *call) error {
	return c.with(v.Job, func(j *job.Job) error {
		r, err := j.Furnish(c.ctx)
		if err != nil {
			return err
		}
		if err := c.answer(r); err != nil {
			return err
		}
		c.say("next: wirewright allot " + v.Job)
		return nil
	})
}

type typesVerb struct {
	Job  string `arg:"" optional:"" help:"The job file; the built-in catalogue alone where left out."`
	File string `arg:"" optional:"" help:"YAML file with module types to add." type:"existingfile"`
}

// Help shows an example.
func (typesVerb) Help() string {
	return "Examples:\n  wirewright types                              list the built-in catalogue\n  wirewright types lindenhof.wirewright own.yaml   add types of your own to the job"
}

// Run lists or adds types.
func (v typesVerb) Run(c *call) error {
	if v.Job == "" {
		text, err := job.CatalogueTable()
		if err != nil {
			return err
		}
		c.say(strings.TrimRight(text, "\n"))
		return nil
	}
	return c.with(v.Job, func(j *job.Job) error {
		if v.File == "" {
			c.say(strings.TrimRight(j.CatalogueTable(), "\n"))
			return nil
		}
		files, err := read([]string{v.File})
		if err != nil {
			return err
		}
		r, err := j.AddTypes(c.ctx, files[0].Name, files[0].Data)
		if err != nil {
			return err
		}
		return c.answer(r)
	})
}

// readText reads a file, or standard input for "-".
func (c *call) readText(name string) (string, error) {
	if name == "-" {
		b, err := io.ReadAll(c.in)
		if err != nil {
			return "", fmt.Errorf("standard input could not be read: %w", err)
		}
		return string(b), nil
	}
	files, err := read([]string{name})
	if err != nil {
		return "", err
	}
	return string(files[0].Data), nil
}
