package job

import (
	"context"
	"fmt"
	"path"
	"strings"

	"wirewright/catalogue"
	"wirewright/internal/yamldoc"
	"wirewright/store"
)

// catalogueMedia marks the attachments that hold the job's own types.
const catalogueMedia = "application/yaml"

// cataloguePrefix is the folder of the job's own types among its attachments.
const cataloguePrefix = "catalogue/"

// loadCatalogue reads the built-in catalogue and the job's own types on top.
func (j *Job) loadCatalogue(ctx context.Context) error {
	c, err := catalogue.Builtin()
	if err != nil {
		return err
	}
	list, err := j.store.Attachments(ctx)
	if err != nil {
		return err
	}
	for _, a := range list {
		if !strings.HasPrefix(a.Name, cataloguePrefix) {
			continue
		}
		full, err := j.store.Attachment(ctx, a.Name)
		if err != nil {
			return err
		}
		if c, err = catalogue.Load(c, a.Name, full.Data); err != nil {
			return err
		}
	}
	j.cat = c
	return nil
}

// attach stores a file with the job; in a dry run it does not.
func (j *Job) attach(ctx context.Context, a store.Attachment) error {
	if j.opt.DryRun {
		return nil
	}
	_, err := j.store.Attach(ctx, a)
	return err
}

// AddTypes adds the user's own module types from a YAML text; a wrong one is refused with its reason, and nothing of the
// file is taken.
func (j *Job) AddTypes(ctx context.Context, file string, text []byte) (Report, error) {
	before := len(j.cat.Types)
	c, err := catalogue.Load(j.cat, file, text)
	if err != nil {
		return nil, err
	}
	name := cataloguePrefix + path.Base(strings.ReplaceAll(file, "\\", "/"))
	if err := j.attach(ctx, store.Attachment{Name: name, Media: catalogueMedia, Who: j.opt.Who, Data: text}); err != nil {
		return nil, err
	}
	j.cat = c
	return typesAdded{len(c.Types) - before, name}, nil
}

type typesAdded struct {
	Added int    `json:"added"`
	As    string `json:"as"`
}

// Lines implements Report.
func (t typesAdded) Lines() []string {
	return []string{plural(t.Added, "module type", "module types") + " added to the job's catalogue as " + t.As}
}

// Catalogue is module types, cables and materials.
type Catalogue = catalogue.Catalogue

// BuiltinCatalogue is the catalogue that comes with the program.
func BuiltinCatalogue() (*Catalogue, error) { return catalogue.Builtin() }

// Types is the report that lists the module types of a catalogue.
type Types struct {
	Catalogue *Catalogue
}

// Lines implements Report: a type a line.
func (t Types) Lines() []string {
	var list []string
	for i := range t.Catalogue.Types {
		x := &t.Catalogue.Types[i]
		list = append(list, fmt.Sprintf("%-24s %-8s %-8s %8s  %s", x.ID, x.Medium, x.Mount, x.Price, x.Title))
	}
	return list
}

// MarshalJSON writes the whole catalogue in the form of its text.
func (t Types) MarshalJSON() ([]byte, error) { return yamldoc.JSON(t.Catalogue), nil }
