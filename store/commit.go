package store

import (
	"context"
	"fmt"
	"strings"
	"unicode/utf8"

	"wirewright/house"
)

// betweenMost is how many revisions a ConflictError carries; a base that lies farther back is told by number only.
const betweenMost = 1000

// Clash is one entity that two edits both changed.
type Clash struct {
	Kind   string
	ID     house.ID
	Mine   any // what the refused edit would have made of it; nil: removed; a house.Order: moved in its list
	Theirs any // what stands now; nil: removed
}

// ConflictError refuses an edit that was made on a revision that is not the newest, or an undo of what somebody else
// has changed since. It carries both sides; nothing was stored.
type ConflictError struct {
	Base    Rev        // the revision that the edit was made on
	Newest  Rev        // the newest revision
	Between []Revision // what came between, oldest first
	Earlier int        // revisions between that are not in Between, because there are too many
	Overlap []Clash    // the entities that both changed; empty: the edit can be made again on the newest as it is
}

// Error says who changed what in the meantime.
func (e *ConflictError) Error() string {
	var who []string
	for _, r := range e.Between {
		if name := r.Meta.Who; name != "" && !strings.Contains(strings.Join(who, ", "), name) {
			who = append(who, name)
		}
	}
	text := fmt.Sprintf("the edit was made on revision %d, but revision %d is the newest", e.Base, e.Newest)
	if len(who) > 0 {
		text += " (by " + strings.Join(who, ", ") + ")"
	}
	if len(e.Overlap) == 0 {
		return text + "; they change different things, so it can be made again on the newest"
	}
	names := make([]string, 0, 4)
	for i, c := range e.Overlap {
		if i == 3 {
			names = append(names, fmt.Sprintf("%d more", len(e.Overlap)-i))
			break
		}
		names = append(names, strings.TrimSpace(c.Kind+" "+string(c.ID)))
	}
	return text + "; both change " + strings.Join(names, ", ")
}

// Commit stores an edit that was made on revision base as the next revision and answers its number when it lies on the
// disk. A base that is not the newest is refused with a ConflictError. Each change must say what stands now as Before; a
// change that changes nothing is left out, and an edit without any change makes no revision and answers base.
func (s *Store) Commit(ctx context.Context, base Rev, changes []house.Change, meta Meta) (Rev, error) {
	return s.commit(ctx, base, changes, meta, ActEdit)
}

func (s *Store) commit(ctx context.Context, base Rev, changes []house.Change, meta Meta, act Act) (rev Rev, err error) {
	rows, err := encodeChanges(changes)
	if err != nil {
		return 0, err
	}
	if meta, err = s.complete(meta); err != nil {
		return 0, err
	}
	err = s.write(ctx, func(t *txn) error {
		if err := t.onNewest(base, rows); err != nil {
			return err
		}
		if rev = base; len(rows) == 0 {
			return nil
		}
		rev = base + 1
		return t.append(Entry{Rev: rev, Meta: meta, Act: act, undo: rev}, rows)
	})
	if err != nil {
		return 0, err
	}
	return rev, nil
}

// complete fills in the time and refuses words that could not be shown again.
func (s *Store) complete(meta Meta) (Meta, error) {
	if meta.When.IsZero() {
		meta.When = s.opt.Now()
	}
	if !utf8.ValidString(meta.Who) || !utf8.ValidString(meta.Why) {
		return meta, invalid("the name or the reason of the edit is not valid UTF-8 text")
	}
	return meta, checkTime(meta.When)
}

// onNewest refuses a base that is not the newest revision.
func (t *txn) onNewest(base Rev, rows []row) error {
	newest, err := t.newest()
	if err != nil || base == newest {
		return err
	}
	if base < 0 || base > newest {
		return missing("there is no revision %d; the newest is %d", base, newest)
	}
	return t.conflict(base, newest, rows)
}

// append stores a revision on top of the newest.
func (t *txn) append(e Entry, rows []row) error {
	before, err := t.entry(e.Rev - 1)
	if err != nil {
		return err
	}
	e.seal(before.digest, rows)
	if err := t.insert(e); err != nil {
		return err
	}
	places := t.placer()
	for i, r := range rows {
		if err := t.apply(e.Rev, int64(i), r, places); err != nil {
			return err
		}
	}
	return nil
}

// conflict gathers what a refused edit needs to be looked at beside what came between.
func (t *txn) conflict(base, newest Rev, rows []row) error {
	e := &ConflictError{Base: base, Newest: newest}
	from := base
	if newest-base > betweenMost {
		from = newest - betweenMost
		e.Earlier = int(from - base)
	}
	for rev := from + 1; rev <= newest; rev++ {
		r, err := t.revision(rev)
		if err != nil {
			return err
		}
		e.Between = append(e.Between, r)
	}
	var err error
	if e.Overlap, err = t.clashes(base, rows); err != nil {
		return err
	}
	return e
}

// clashes lists the changes whose entity was changed after base.
func (t *txn) clashes(base Rev, rows []row) (list []Clash, err error) {
	for _, r := range rows {
		last, ok, err := t.lookup(sqlLastOne, r.kind, r.id)
		if err != nil {
			return nil, err
		}
		if !ok || max(last.since, last.until) <= base {
			continue
		}
		theirs := row{kind: r.kind, id: r.id}
		if last.until == 0 {
			theirs.after = last.data
		}
		mine, err := decodeRow(r)
		if err != nil {
			return nil, err
		}
		c, err := decodeRow(theirs)
		if err != nil {
			return nil, err
		}
		list = append(list, Clash{Kind: r.kind, ID: mine.ID, Mine: mine.After, Theirs: c.After})
	}
	return list, nil
}

// revision reads an entry with its changes.
func (t *txn) revision(rev Rev) (Revision, error) {
	e, err := t.entry(rev)
	if err != nil {
		return Revision{}, err
	}
	rows, err := t.changed(rev)
	if err != nil {
		return Revision{}, err
	}
	changes, err := decodeRows(rows)
	return Revision{Entry: e, Changes: changes}, err
}

// Rebase answers the newest revision when an edit that was made on base can be made on it as it is, because nobody
// changed the same entities in the meantime; otherwise a ConflictError with both sides.
func (s *Store) Rebase(ctx context.Context, base Rev, changes []house.Change) (newest Rev, err error) {
	rows, err := encodeChanges(changes)
	if err != nil {
		return 0, err
	}
	err = s.read(ctx, func(t *txn) error {
		if err := t.known(base); err != nil {
			return err
		}
		clashes, err := t.clashes(base, rows)
		if err != nil {
			return err
		}
		if newest, err = t.newest(); err != nil {
			return err
		}
		if len(clashes) > 0 {
			return t.conflict(base, newest, rows)
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	return newest, nil
}
