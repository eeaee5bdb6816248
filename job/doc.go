// Package job is one open job: every stage of the work on one house as one call. The command line and the workbench both
// stand on it, and neither has logic of its own.
//
// A job is a file (package store). Each stage reads the house at the newest revision, asks the part whose business it is,
// and stores what came of it: changes of the house as a new revision, everything else as a result, evidence or journal
// record that names the revision it was derived from. A stage answers with a report: a value that prints as lines for
// people (Lines) and as JSON for machines.
//
// Errors are of three kinds, never mixed: a finding is in a report; an *Error says that a stage could not do its work,
// with a kind, a subject and what to do next; a broken invariant panics.
package job

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/internal/problem"
	"wirewright/store"
)

// Report is what a stage answers.
type Report interface {
	// Lines is the report for people, a line each, without line ends.
	Lines() []string
}

// Kind sorts errors for machines: exit codes and HTTP statuses.
type Kind string

// The kinds of error.
const (
	Invalid  Kind = "invalid"  // what was given is wrong
	Missing  Kind = "missing"  // what was named is not there
	Conflict Kind = "conflict" // somebody else changed it meanwhile
	Refused  Kind = "refused"  // it must not be done as things stand
	Failed   Kind = "failed"   // the machine, the disk or the network would not
)

// Error says that something could not be done.
type Error struct {
	Kind    Kind
	Subject string // what it is about: a file, an entity
	Hint    string // what to do next; may be empty
	Err     error
}

// Error prints the subject and the cause; the hint is for whoever shows it.
func (e *Error) Error() string {
	if e.Subject == "" {
		return e.Err.Error()
	}
	return e.Subject + ": " + e.Err.Error()
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// KindOf is the kind of an error, whichever part it came from.
func KindOf(err error) Kind {
	var own *Error
	var problems problem.List
	switch {
	case errors.As(err, &own):
		return own.Kind
	case errors.As(err, &problems):
		return Invalid
	}
	switch store.KindOf(err) {
	case store.Conflict:
		return Conflict
	case store.Missing:
		return Missing
	case store.Invalid, store.Foreign, store.Torn, store.Newer, store.Exists:
		return Invalid
	case store.Locked, store.Denied, store.Outdated:
		return Refused
	}
	return Failed
}

// Options say who works and by what clock. The zero value takes the machine's clock and random source.
type Options struct {
	Who      string
	Now      func() time.Time
	Rand     io.Reader
	ReadOnly bool
	DryRun   bool           // what Import, ReadHouse, ReadText, Furnish and Allot would store is kept for Would instead
	Progress func(Progress) // called while long stages run; may be nil
}

// Progress is one step of a long stage.
type Progress struct {
	Stage string
	Text  string
	Done  int
	Of    int // 0 where the number of steps is not known
}

// Job is one open job.
type Job struct {
	store  *store.Store
	opt    Options
	cat    *catalogue.Catalogue
	would  []house.Change // of a dry run
	checks live           // findings of the house that was viewed last
}

// Create makes a new job file and opens it.
func Create(ctx context.Context, path string, opt Options) (*Job, error) {
	opt = filled(opt)
	s, err := store.Create(ctx, path, store.Options{Who: opt.Who, Now: opt.Now, Rand: opt.Rand})
	if err != nil {
		return nil, err
	}
	return start(ctx, s, opt)
}

// Open opens a job.
func Open(ctx context.Context, path string, opt Options) (*Job, error) {
	opt = filled(opt)
	s, err := store.Open(ctx, path, store.Options{Who: opt.Who, Now: opt.Now, Rand: opt.Rand, ReadOnly: opt.ReadOnly})
	if err != nil {
		return nil, err
	}
	return start(ctx, s, opt)
}

func filled(opt Options) Options {
	if opt.Now == nil {
		opt.Now = time.Now
	}
	if opt.Progress == nil {
		opt.Progress = func(Progress) {}
	}
	return opt
}

func start(ctx context.Context, s *store.Store, opt Options) (*Job, error) {
	j := &Job{store: s, opt: opt}
	if err := j.loadCatalogue(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return j, nil
}

// Close closes the job.
func (j *Job) Close() error { return j.store.Close() }

// Path is the job's file.
func (j *Job) Path() string { return j.store.Path() }

// Catalogue is the built-in catalogue with the job's own types.
func (j *Job) Catalogue() *catalogue.Catalogue { return j.cat }

// Head is the house at the newest revision.
func (j *Job) Head(ctx context.Context) (*house.House, store.Rev, error) {
	rev, err := j.store.Newest(ctx)
	if err != nil {
		return nil, 0, err
	}
	h, err := j.store.House(ctx, rev)
	return h, rev, err
}

// Edit stores changes that were made on a revision; it is refused with both versions when that is not the newest. In a
// dry run nothing is stored and the revision is 0.
func (j *Job) Edit(ctx context.Context, base store.Rev, changes []house.Change, why string) (store.Rev, error) {
	if j.opt.DryRun {
		j.would = append(j.would, changes...)
		return 0, nil
	}
	return j.store.Commit(ctx, base, changes, store.Meta{Who: j.opt.Who, Why: why, When: j.opt.Now()})
}

// become stores a house that a stage made of another one.
func (j *Job) become(ctx context.Context, base store.Rev, before, after *house.House, why string) (store.Rev, error) {
	if list := house.Validate(after); len(list) > 0 {
		return 0, list.Err()
	}
	return j.Edit(ctx, base, house.Diff(before, after), why)
}

// Log lists the revisions of the job, oldest first.
func (j *Job) Log(ctx context.Context) ([]store.Entry, error) { return j.store.Log(ctx) }

// Undo takes back the last edit of whoever works.
func (j *Job) Undo(ctx context.Context) (store.Rev, error) {
	rev, err := j.store.Newest(ctx)
	if err != nil {
		return 0, err
	}
	return j.store.Undo(ctx, rev, store.Meta{Who: j.opt.Who, Why: "undo", When: j.opt.Now()})
}

// save keeps what a stage computed, with the revision that it was derived from.
func (j *Job) save(ctx context.Context, stage string, rev store.Rev, what any) error {
	if j.opt.DryRun {
		return nil
	}
	b, err := json.Marshal(what)
	if err != nil {
		return fmt.Errorf("the result of stage %s cannot be kept: %w", stage, err)
	}
	return j.store.SaveResult(ctx, store.Result{Stage: stage, Rev: rev, Data: b})
}

// load reads back what a stage computed at a revision; false where there is nothing of just that revision.
func (j *Job) load(ctx context.Context, stage string, rev store.Rev, into any) (bool, error) {
	return j.result(ctx, stage, rev, rev, into)
}

// latest reads back what a stage computed last, up to a revision; the caller looks whether it still holds.
func (j *Job) latest(ctx context.Context, stage string, rev store.Rev, into any) (bool, error) {
	return j.result(ctx, stage, 0, rev, into)
}

// result reads back the newest result of a stage up to a revision; false where there is none that is as new as oldest.
func (j *Job) result(ctx context.Context, stage string, oldest, rev store.Rev, into any) (bool, error) {
	r, err := j.store.Result(ctx, stage, "", rev)
	if store.KindOf(err) == store.Missing || (err == nil && r.Rev < oldest) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	return true, json.Unmarshal(r.Data, into)
}

// digest names a house by its text.
func digest(h *house.House) string {
	sum := sha256.Sum256(house.Write(h))
	return hex.EncodeToString(sum[:])
}

func (j *Job) progress(stage string, done, of int, text string, args ...any) {
	j.opt.Progress(Progress{Stage: stage, Text: fmt.Sprintf(text, args...), Done: done, Of: of})
}

// Rev is the number of a revision of the job.
type Rev = store.Rev

// ID is the identity of an entity of the house.
type ID = house.ID
