package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"time"

	"wirewright/house"
)

// Rev is the number of a revision. Revision 0 is the empty house before the first edit; each edit makes the next number.
type Rev int64

// Act is how a revision came about.
type Act string

// The acts.
const (
	ActEdit   Act = "edit"   // somebody changed something
	ActUndo   Act = "undo"   // the inverse of Target
	ActRedo   Act = "redo"   // Target once more, after it was undone
	ActRevert Act = "revert" // the inverse of Target, some time later
	ActImport Act = "import" // brought in from text
)

// Meta is who made an edit, why, and when.
type Meta struct {
	Who  string    // the person; undo and redo go by it
	Why  string    // a few words: "move the hall keypad"
	When time.Time // the clock of the store where zero
}

// Entry is one revision in the log.
type Entry struct {
	Rev    Rev
	Meta   Meta
	Act    Act
	Target Rev    // what was undone, redone or reverted; 0 for an edit
	Digest string // SHA-256 over this revision, its changes and the digest before it: names the state of the whole job
	undo   Rev    // what Undo by the same person would take back next; 0 for nothing
	redo   Rev    // the undo that Redo by the same person would take back next; 0 for nothing
	digest []byte
}

// Revision is an entry with its changes.
type Revision struct {
	Entry
	Changes []house.Change
}

const (
	sqlNewest = "SELECT coalesce(max(rev), 0) FROM revision"
	sqlEntry  = "SELECT rev, at, who, why, act, target, undo, redo, digest, sum FROM revision "
	sqlInsert = "INSERT INTO revision (rev, at, who, why, act, target, undo, redo, digest, sum) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)

// Newest is the number of the newest revision, 0 for an empty job.
func (s *Store) Newest(ctx context.Context) (rev Rev, err error) {
	err = s.read(ctx, func(t *txn) error {
		rev, err = t.newest()
		return err
	})
	return rev, err
}

// Log lists all revisions, oldest first.
func (s *Store) Log(ctx context.Context) ([]Entry, error) { return s.LogAfter(ctx, 0) }

// LogAfter lists the revisions after one, oldest first: what a screen must still show.
func (s *Store) LogAfter(ctx context.Context, after Rev) (list []Entry, err error) {
	err = s.read(ctx, func(t *txn) error {
		return t.eachEntry("WHERE rev > ? ORDER BY rev", []any{after}, func(e Entry) error {
			list = append(list, e)
			return nil
		})
	})
	return list, err
}

// Changes lists what one revision changed, in the order in which the edit said it: house.Apply takes them as they are,
// documents apart (see HouseChanges).
func (s *Store) Changes(ctx context.Context, rev Rev) (changes []house.Change, err error) {
	err = s.read(ctx, func(t *txn) error {
		if err := t.known(rev); err != nil {
			return err
		}
		rows, err := t.changed(rev)
		if err != nil {
			return err
		}
		changes, err = decodeRows(rows)
		return err
	})
	return changes, err
}

// History lists the revisions that changed one entity, oldest first, each with that change alone.
func (s *Store) History(ctx context.Context, kind string, id house.ID) (list []Revision, err error) {
	err = s.read(ctx, func(t *txn) error {
		found, err := t.changesOf(kind, string(id))
		if err != nil {
			return err
		}
		for _, r := range found {
			c, err := decodeRow(r.row)
			if err != nil {
				return err
			}
			e, err := t.entry(r.rev)
			if err != nil {
				return err
			}
			list = append(list, Revision{Entry: e, Changes: []house.Change{c}})
		}
		return nil
	})
	return list, err
}

func (t *txn) newest() (rev Rev, err error) {
	_, err = t.one(sqlNewest, nil, &rev)
	return rev, err
}

// known refuses a revision that is not there; 0 is always there.
func (t *txn) known(rev Rev) error {
	newest, err := t.newest()
	if err == nil && (rev < 0 || rev > newest) {
		return missing("there is no revision %d; the newest is %d", rev, newest)
	}
	return err
}

// entry reads one revision; revision 0 is an empty entry.
func (t *txn) entry(rev Rev) (found Entry, err error) {
	if rev == 0 {
		return Entry{digest: make([]byte, sha256.Size)}, nil
	}
	err = t.eachEntry("WHERE rev = ?", []any{rev}, func(e Entry) error {
		found = e
		return nil
	})
	if err == nil && found.Rev != rev {
		err = missing("there is no revision %d", rev)
	}
	return found, err
}

// latest reads the newest revision of one person before a revision; an empty entry where there is none.
func (t *txn) latest(who string, before Rev) (found Entry, err error) {
	err = t.eachEntry("WHERE who = ? AND rev < ? ORDER BY rev DESC LIMIT 1", []any{who, before}, func(e Entry) error {
		found = e
		return nil
	})
	return found, err
}

// eachEntry reads revisions and compares them with their checksums.
func (t *txn) eachEntry(where string, args []any, f func(Entry) error) error {
	return t.all(sqlEntry+where, args, func(scan func(...any) error) error {
		var e Entry
		var at string
		var sum int64
		err := scan(&e.Rev, &at, &e.Meta.Who, &e.Meta.Why, &e.Act, &e.Target, &e.undo, &e.redo, &e.digest, &sum)
		if err != nil {
			return err
		}
		if e.sum(at) != sum {
			return torn("revision %d is damaged", e.Rev)
		}
		if e.Meta.When, err = unstamp(at); err != nil {
			return err
		}
		e.Digest = hex.EncodeToString(e.digest)
		return f(e)
	})
}

// insert stores a revision.
func (t *txn) insert(e Entry) error {
	at := stamp(e.Meta.When)
	_, err := t.exec(sqlInsert, e.Rev, at, e.Meta.Who, e.Meta.Why, e.Act, e.Target, e.undo, e.redo, e.digest, e.sum(at))
	return err
}

func (e Entry) sum(at string) int64 {
	return newSum("revision").text(at, e.Meta.Who, e.Meta.Why, string(e.Act)).
		number(int64(e.Rev), int64(e.Target), int64(e.undo), int64(e.redo)).bytes(e.digest).value()
}

// seal computes the digest of a revision over the digest before it, its own words and its changes in their order.
func (e *Entry) seal(before []byte, rows []row) {
	h := sha256.New()
	h.Write(before)
	field := func(b []byte, there bool) {
		n := int64(len(b))
		if !there {
			n = -1
		}
		h.Write(appendNumber(nil, n))
		h.Write(b)
	}
	for _, s := range []string{stamp(e.Meta.When), e.Meta.Who, e.Meta.Why, string(e.Act)} {
		field([]byte(s), true)
	}
	h.Write(appendNumber(appendNumber(nil, int64(e.Rev)), int64(e.Target)))
	for _, r := range rows {
		field([]byte(r.kind), true)
		field([]byte(r.id), true)
		field([]byte(r.follows), true)
		if r.move != nil {
			field([]byte(r.move.was), true)
			field([]byte(r.move.now), true)
		}
		field(r.before, r.before != nil)
		field(r.after, r.after != nil)
	}
	e.digest = h.Sum(nil)
	e.Digest = hex.EncodeToString(e.digest)
}
