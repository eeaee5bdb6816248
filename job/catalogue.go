package job

import (
	"context"
	"path"
	"strings"

	"wirewright/catalogue"
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

// AddTypes adds the user's own module types from a YAML text; a wrong one is refused with its reason, and nothing of the
// file is taken.
func (j *Job) AddTypes(ctx context.Context, file string, text []byte) (Report, error) {
	before := len(j.cat.Types)
	c, err := catalogue.Load(j.cat, file, text)
	if err != nil {
		return nil, err
	}
	name := cataloguePrefix + path.Base(strings.ReplaceAll(file, "\\", "/"))
	if _, err := j.store.Attach(ctx, store.Attachment{Name: name, Media: catalogueMedia, Who: j.opt.Who, Data: text}); err != nil {
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

// CatalogueTable is the built-in catalogue as a table (Markdown).
func CatalogueTable() (string, error) {
	c, err := catalogue.Builtin()
	if err != nil {
		return "", err
	}
	return catalogue.Table(c), nil
}

// CatalogueTable is the job's catalogue as a table (Markdown), its own types included.
func (j *Job) CatalogueTable() string { return catalogue.Table(j.cat) }
