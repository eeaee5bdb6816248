package job

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"

	"wirewright/behaviour"
	"wirewright/house"
	"wirewright/store"
)

// errOtherJob says that a folder of texts belongs to another job.
var errOtherJob = errors.New("these texts were exported from another job")

// Restored is the report of FromText.
type Restored struct {
	Edited
	Job string `json:"job"`
}

// Lines implements Report.
func (r Restored) Lines() []string {
	list := []string{fmt.Sprintf("made: %s, revision %d", r.Job, r.Rev)}
	if r.Changes > 0 {
		list = append(list, plural(r.Changes, "entity differs", "entities differ")+" from what was exported")
	}
	return append(list, r.lost()...)
}

// FromText makes a new job of a folder that Export wrote, with all of its revisions, types and records; what was edited
// in the texts since becomes a revision of its own. Secrets are not in the texts: modules have to be enrolled anew.
func FromText(ctx context.Context, path, dir string, opt Options) (*Job, Restored, error) {
	opt = filled(opt)
	files, err := store.ReadFolder(dir)
	if err != nil {
		return nil, Restored{}, err
	}
	s, im, err := store.CreateFromText(ctx, path, store.Options{Who: opt.Who, Now: opt.Now, Rand: opt.Rand}, files)
	if err != nil {
		return nil, Restored{}, err
	}
	e := Restored{Edited{Changes: len(im.Changes), Dropped: dropped(im.Dropped)}, path}
	if e.Rev, err = s.Newest(ctx); err != nil {
		return nil, e, errors.Join(err, s.Close())
	}
	j, err := start(ctx, s, opt)
	return j, e, err
}

// ReadText brings in a folder that Export wrote from this job and people have edited since. The edit counts as made on
// the revision that was exported: it is refused with both sides where the job has changed the same things meanwhile.
func (j *Job) ReadText(ctx context.Context, dir, why string) (Edited, error) {
	files, err := store.ReadFolder(dir)
	if err != nil {
		return Edited{}, err
	}
	base, err := j.exportedFrom(ctx, dir, files[store.FileManifest])
	if err != nil {
		return Edited{}, err
	}
	im, err := j.store.ImportText(ctx, base, files)
	if err != nil {
		return Edited{}, err
	}
	changes, err := j.missing(ctx, base, im.Changes)
	if err != nil {
		return Edited{}, err
	}
	newest, err := j.store.Rebase(ctx, base, changes)
	if err != nil {
		return Edited{}, err
	}
	e := Edited{Changes: len(changes), Dropped: dropped(im.Dropped)}
	e.Rev, err = j.Edit(ctx, newest, changes, why)
	return e, err
}

// missing leaves out of the changes that were made on a revision those that the job has made as well since: texts that
// were brought in before may be edited on and brought in again.
func (j *Job) missing(ctx context.Context, base store.Rev, changes []house.Change) ([]house.Change, error) {
	was, err := j.store.House(ctx, base)
	if err != nil {
		return nil, err
	}
	now, _, err := j.Head(ctx)
	if err != nil {
		return nil, err
	}
	theirs := house.Diff(was, now)
	return slices.DeleteFunc(slices.Clone(changes), func(c house.Change) bool {
		return slices.ContainsFunc(theirs, func(t house.Change) bool {
			return t.Kind == c.Kind && t.ID == c.ID && reflect.DeepEqual(t.After, c.After)
		})
	}), nil
}

// exportedFrom is the revision that a folder was exported at; the digest tells whether it is this job's.
func (j *Job) exportedFrom(ctx context.Context, dir string, manifest []byte) (store.Rev, error) {
	var m struct {
		Revision store.Rev
		Digest   string
	}
	if manifest == nil || json.Unmarshal(manifest, &m) != nil {
		return 0, &Error{Kind: Invalid, Subject: dir, Err: fmt.Errorf("there is no readable %s in it, so it is no exported job", store.FileManifest), Hint: "choose a folder that wirewright export wrote, or name the house text itself"}
	}
	log, err := j.store.LogAfter(ctx, max(m.Revision-1, 0))
	if err != nil {
		return 0, err
	}
	if len(log) == 0 || log[0].Rev != m.Revision || log[0].Digest != m.Digest {
		return 0, &Error{Kind: Refused, Subject: dir, Err: errOtherJob, Hint: "make a job of them: wirewright import NEW.wirewright " + shellWord(dir)}
	}
	return m.Revision, nil
}

func dropped(comments []store.Comment) []string {
	var list []string
	for _, c := range comments {
		list = append(list, fmt.Sprintf("line %d", c.Line))
	}
	return list
}

// Texts are the texts of the newest revision by the names that mistakes in them are told with.
func (j *Job) Texts(ctx context.Context) (map[string]string, error) {
	h, _, err := j.Head(ctx)
	if err != nil {
		return nil, err
	}
	return map[string]string{behaviour.TextName: h.Behaviour, "acceptance": h.Acceptance}, nil
}

// HintOf is what to do about an error, "" where there is nothing to say; Error does not print it where it is the
// error's own.
func HintOf(err error) string {
	var own *Error
	var stored *store.Error
	var conflict *store.ConflictError
	switch {
	case errors.As(err, &own):
		return own.Hint
	case errors.As(err, &conflict):
		return "look at what came between (wirewright log, wirewright diff), and make the edit again on the newest revision; of a folder of texts, on a fresh export"
	case errors.As(err, &stored):
		return stored.Hint
	}
	return ""
}
