package job

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"wirewright/store"
)

// errOtherJob says that a folder of texts belongs to another job.
var errOtherJob = errors.New("these texts were exported from another job")

// FromText makes a new job of a folder that Export wrote, with all of its revisions, types and records; what was edited
// in the texts since becomes a revision of its own. Secrets are not in the texts: modules have to be enrolled anew.
func FromText(ctx context.Context, path, dir string, opt Options) (*Job, Edited, error) {
	opt = filled(opt)
	files, err := store.ReadFolder(dir)
	if err != nil {
		return nil, Edited{}, err
	}
	s, im, err := store.CreateFromText(ctx, path, store.Options{Who: opt.Who, Now: opt.Now, Rand: opt.Rand}, files)
	if err != nil {
		return nil, Edited{}, err
	}
	e := Edited{Changes: len(im.Changes), Dropped: dropped(im.Dropped)}
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
	e := Edited{Changes: len(im.Changes), Dropped: dropped(im.Dropped)}
	newest, err := j.store.Rebase(ctx, base, im.Changes)
	if err != nil {
		return Edited{}, err
	}
	e.Rev, err = j.Edit(ctx, newest, im.Changes, why)
	return e, err
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
	return map[string]string{"behaviour": h.Behaviour, "acceptance": h.Acceptance}, nil
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
		return "look at what came between (wirewright log, wirewright diff), then make the edit again on the newest revision"
	case errors.As(err, &stored):
		return stored.Hint
	}
	return ""
}
