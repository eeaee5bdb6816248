package main

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"wirewright/job"
)

// jobArg is the job that a verb works on.
type jobArg struct {
	Job string `arg:"" help:"The job file." placeholder:"JOB"`
}

// dryArg is for verbs that can say what they would do.
type dryArg struct {
	DryRun bool `name:"dry-run" help:"Say what would change and store nothing."`
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
	if err := errors.Join(j.Begin(c.ctx, v.Title), j.Close()); err != nil {
		return err
	}
	return c.answer(begun{Job: v.Job, Title: v.Title})
}

// begun is the answer of new.
type begun struct {
	Job   string `json:"job"`
	Title string `json:"title"`
}

// Lines implements job.Report.
func (b begun) Lines() []string {
	return []string{"begun: " + b.Job, "next: wirewright import " + b.Job + " MODEL.ifc, or wirewright import " + b.Job + " house.yaml"}
}

type importVerb struct {
	jobArg
	dryArg
	Files []string `arg:"" help:"IFC models that share one set of coordinates, or one house text in YAML, or one folder that export wrote."`
}

// Help shows an example.
func (importVerb) Help() string {
	return "A job that is not there yet is begun. A house text, or a folder of texts, replaces what the job holds: what differs becomes\none revision.\n\n" +
		"Examples:\n  wirewright import lindenhof.wirewright architecture.ifc electrical.ifc\n  wirewright import lindenhof.wirewright house.yaml --dry-run\n  wirewright import lindenhof.wirewright lindenhof-text"
}

// Run brings files in.
func (v importVerb) Run(c *call) error {
	if len(v.Files) == 1 && isFolder(v.Files[0]) {
		return v.folder(c)
	}
	files, err := read(v.Files)
	if err != nil {
		return err
	}
	bring := func(j *job.Job) (job.Report, error) {
		if len(files) == 1 && isText(files[0].Name) {
			c.note(files[0].Name, string(files[0].Data))
			return j.ReadHouse(c.ctx, files[0].Name, files[0].Data, "bring in "+filepath.Base(files[0].Name))
		}
		return j.Import(c.ctx, files)
	}
	if v.DryRun {
		return c.tried(v.Job, true, bring)
	}
	return c.withNew(v.Job, func(j *job.Job) error {
		report, err := bring(j)
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

// folder brings in a folder of texts: into the job that they were exported from, or as a new job.
func (v importVerb) folder(c *call) error {
	dir := v.Files[0]
	for _, name := range []string{"house.yaml", "behaviour.txt", "acceptance.txt"} {
		if b, err := os.ReadFile(filepath.Join(dir, name)); err == nil {
			c.note(name, string(b))
		}
	}
	if _, err := os.Stat(v.Job); v.DryRun || err == nil {
		return c.tried(v.Job, v.DryRun, func(j *job.Job) (job.Report, error) {
			return j.ReadText(c.ctx, dir, "bring in "+filepath.Base(dir))
		})
	}
	j, report, err := job.FromText(c.ctx, v.Job, dir, c.options())
	if err != nil {
		return err
	}
	defer j.Close()
	return c.answer(report)
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}

func isText(name string) bool {
	ext := strings.ToLower(filepath.Ext(name))
	return ext == ".yaml" || ext == ".yml"
}

// read reads files whole.
func read(names []string) ([]job.File, error) {
	var list []job.File
	for _, n := range names {
		b, err := os.ReadFile(n)
		if err != nil {
			return nil, unreadable(n, err)
		}
		list = append(list, job.File{Name: n, Data: b})
	}
	return list, nil
}

// unreadable says in plain words why a file could not be read.
func unreadable(name string, err error) error {
	e := &job.Error{Kind: job.Missing, Subject: name, Err: errors.New("there is no such file"), Hint: "check the name"}
	if !errors.Is(err, fs.ErrNotExist) {
		e.Kind, e.Err, e.Hint = job.Failed, errors.New("the file cannot be read"), "check that it is a file and that you may read it"
	}
	return e
}

type furnishVerb struct {
	jobArg
	dryArg
}

// Help shows an example.
func (furnishVerb) Help() string {
	return "Rooms are known by their use (bedroom, kitchen, …). What a room has already is kept. Where the house has no behaviour yet, an\nordinary one is drafted.\n\n" +
		"Examples:\n  wirewright furnish lindenhof.wirewright --dry-run\n  wirewright furnish lindenhof.wirewright"
}

// Run furnishes the rooms.
func (v furnishVerb) Run(c *call) error {
	err := c.tried(v.Job, v.DryRun, func(j *job.Job) (job.Report, error) { return j.Furnish(c.ctx) })
	if err == nil && !v.DryRun {
		c.say("next: wirewright allot " + v.Job)
	}
	return err
}

type typesVerb struct {
	Job  string `arg:"" optional:"" help:"The job file; the built-in catalogue alone where left out."`
	File string `arg:"" optional:"" help:"YAML file with module types to add."`
}

// Help shows an example.
func (typesVerb) Help() string {
	return "Examples:\n  wirewright types\n  wirewright types lindenhof.wirewright\n  wirewright types lindenhof.wirewright own.yaml\n\n" +
		"The first lists the built-in catalogue, the second that of the job, the third adds types of your own to the job."
}

// Run lists or adds types.
func (v typesVerb) Run(c *call) error {
	if v.Job == "" {
		built, err := job.BuiltinCatalogue()
		if err != nil {
			return err
		}
		return c.answer(job.Types{Catalogue: built})
	}
	return c.with(v.Job, func(j *job.Job) error {
		if v.File == "" {
			return c.answer(job.Types{Catalogue: j.Catalogue()})
		}
		files, err := read([]string{v.File})
		if err != nil {
			return err
		}
		c.note(v.File, string(files[0].Data))
		r, err := j.AddTypes(c.ctx, v.File, files[0].Data)
		if err != nil {
			return err
		}
		return c.answer(r)
	})
}

// dash stands for standard input where a file is named, and inputName for it in messages.
const (
	dash      = "-"
	inputName = "standard input"
)

// readText reads a file, or standard input for "-", and keeps the text at hand for mistakes in it.
func (c *call) readText(name string) (string, error) {
	if name != dash {
		files, err := read([]string{name})
		if err != nil {
			return "", err
		}
		c.note(name, string(files[0].Data))
		return string(files[0].Data), nil
	}
	b, err := io.ReadAll(c.in)
	if err != nil {
		return "", &job.Error{Kind: job.Failed, Subject: inputName, Err: err}
	}
	c.note(inputName, string(b))
	return string(b), nil
}
