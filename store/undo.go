package store

import (
	"bytes"
	"context"
	"slices"
)

// Undo takes back the newest edit of one person (meta.Who) that is not taken back yet, as a new revision, on base. It
// goes back without end, over restarts. An edit that somebody else has built upon is refused with a ConflictError.
//
// Two people at one job each undo their own edits: pressing undo never takes back what the other one did.
func (s *Store) Undo(ctx context.Context, base Rev, meta Meta) (Rev, error) {
	return s.invert(ctx, base, meta, func(t *txn, last Entry) (Entry, Rev, error) {
		if last.undo == 0 {
			return Entry{}, 0, missing("there is nothing to undo")
		}
		below, err := t.latest(meta.Who, last.undo)
		// The new revision is the top of the redo stack; what was the top stands in the revision before it.
		return Entry{Act: ActUndo, Target: last.undo, undo: below.undo, redo: base + 1}, last.undo, err
	})
}

// Redo does once more what the same person's newest Undo took back, unless they have edited since.
func (s *Store) Redo(ctx context.Context, base Rev, meta Meta) (Rev, error) {
	return s.invert(ctx, base, meta, func(t *txn, last Entry) (Entry, Rev, error) {
		if last.redo == 0 {
			return Entry{}, 0, missing("there is nothing to redo")
		}
		undone, err := t.entry(last.redo)
		if err != nil {
			return Entry{}, 0, err
		}
		below, err := t.latest(meta.Who, undone.Rev)
		return Entry{Act: ActRedo, Target: undone.Target, undo: undone.Target, redo: below.redo}, undone.Rev, err
	})
}

// Revert takes back one revision, whoever made it and however long ago, as an edit of meta.Who. It is refused with a
// ConflictError when what it changed was changed again since.
func (s *Store) Revert(ctx context.Context, base, target Rev, meta Meta) (Rev, error) {
	return s.invert(ctx, base, meta, func(t *txn, _ Entry) (Entry, Rev, error) {
		if target == 0 {
			return Entry{}, 0, missing("revision 0 is the empty house and cannot be taken back")
		}
		return Entry{Act: ActRevert, Target: target, undo: base + 1}, target, t.known(target)
	})
}

// Undoable tells which revision Undo would take back next for a person, and which Redo would do once more; nil for
// none. Their Meta.Why names the step.
func (s *Store) Undoable(ctx context.Context, who string) (undo, redo *Entry, err error) {
	err = s.read(ctx, func(t *txn) error {
		newest, err := t.newest()
		if err != nil {
			return err
		}
		last, err := t.latest(who, newest+1)
		if err != nil {
			return err
		}
		if last.undo != 0 {
			e, err := t.entry(last.undo)
			if err != nil {
				return err
			}
			undo = &e
		}
		if last.redo == 0 {
			return nil
		}
		undone, err := t.entry(last.redo)
		if err != nil {
			return err
		}
		e, err := t.entry(undone.Target)
		redo = &e
		return err
	})
	return undo, redo, err
}

// invert stores the inverse of one revision as a new one. choose gets the person's newest entry and answers the new
// entry (without number and words) and the revision to invert.
func (s *Store) invert(ctx context.Context, base Rev, meta Meta, choose func(*txn, Entry) (Entry, Rev, error)) (rev Rev, err error) {
	if meta, err = s.complete(meta); err != nil {
		return 0, err
	}
	err = s.write(ctx, func(t *txn) error {
		if err := t.onNewest(base, nil); err != nil {
			return err
		}
		last, err := t.latest(meta.Who, base+1)
		if err != nil {
			return err
		}
		e, target, err := choose(t, last)
		if err != nil {
			return err
		}
		rows, err := t.inverse(target, base)
		if err != nil {
			return err
		}
		rev = base + 1
		e.Rev, e.Meta = rev, meta
		return t.append(e, rows)
	})
	if err != nil {
		return 0, err
	}
	return rev, nil
}

// inverse is what takes a revision back; a ConflictError where something of it was changed again since.
func (t *txn) inverse(target, newest Rev) ([]row, error) {
	rows, err := t.changed(target)
	if err != nil {
		return nil, err
	}
	slices.Reverse(rows)
	type name struct{ kind, id string }
	back := map[name]bool{} // what comes back with this very step may be moved in it
	for i := range rows {
		r := &rows[i]
		r.before, r.after = r.after, r.before
		now, there, err := t.lookup(sqlStandingOne, r.kind, r.id)
		if err != nil {
			return nil, err
		}
		free := bytes.Equal(now.data, r.before)
		if r.move != nil {
			r.move = &move{was: r.move.now, now: r.move.was}
			free = there || back[name{r.kind, r.id}]
		}
		if !free {
			return nil, t.conflict(target, newest, rows)
		}
		back[name{r.kind, r.id}] = r.after != nil
	}
	return rows, nil
}
