package store

import (
	"bytes"
	"context"

	"wirewright/house"
)

// row is one change as it is stored: the entity as text before and after; nil where it was not there or is gone. A row
// with move set moves the entity in its list and has no texts.
type row struct {
	kind, id      string
	before, after []byte
	follows       string
	move          *move
}

// move is what an entity stood behind, and stands behind now.
type move struct{ was, now string }

// version is one state of one entity: it stands from revision since until revision until (0: to this day).
type version struct {
	kind, id     string
	since, until Rev
	place        string // orders the entities of a kind
	data         []byte
}

const (
	sqlVersion     = "SELECT kind, id, since, until, place, data, sum FROM entity "
	sqlStanding    = sqlVersion + "WHERE until IS NULL ORDER BY kind, place"
	sqlAt          = sqlVersion + "WHERE since <= ?1 AND (until IS NULL OR until > ?1) ORDER BY kind, place"
	sqlStandingOne = sqlVersion + "WHERE kind = ? AND id = ? AND until IS NULL"
	sqlLastOne     = sqlVersion + "WHERE kind = ? AND id = ? ORDER BY since DESC LIMIT 1"
	sqlVersionsOf  = sqlVersion + "WHERE kind = ? AND id = ? ORDER BY since"
	sqlBorn        = sqlVersion + "WHERE since = ?"
	sqlEnded       = sqlVersion + "WHERE until = ?"
	sqlEnd         = "UPDATE entity SET until = ?, sum = ? WHERE kind = ? AND id = ? AND until IS NULL"
	sqlBear        = "INSERT INTO entity (kind, id, since, until, place, data, sum) VALUES (?, ?, ?, NULL, ?, ?, ?)"
	sqlRewrite     = "UPDATE entity SET place = ?, data = ?, sum = ? WHERE kind = ? AND id = ? AND until IS NULL"
	sqlUnbear      = "DELETE FROM entity WHERE kind = ? AND id = ? AND until IS NULL"
	sqlChange      = "SELECT rev, seq, kind, id, follows, was, now, sum FROM change "
	sqlSay         = "INSERT INTO change (rev, seq, kind, id, follows, was, now, sum) VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
)

// House builds the house as it stood at a revision. The newest is as quick as any other: the entities that stand at a
// revision are one query, without replay.
func (s *Store) House(ctx context.Context, rev Rev) (*house.House, error) {
	versions, err := s.standing(ctx, rev)
	if err != nil {
		return nil, err
	}
	return decodeHouse(versions)
}

// standing reads what stands at a revision, in the order of the house.
func (s *Store) standing(ctx context.Context, rev Rev) (list []version, err error) {
	err = s.read(ctx, func(t *txn) error {
		if err := t.known(rev); err != nil {
			return err
		}
		list, err = t.standing(rev)
		return err
	})
	return list, err
}

func (t *txn) standing(rev Rev) (list []version, err error) {
	newest, err := t.newest()
	if err != nil {
		return nil, err
	}
	keep := func(v version) error {
		list = append(list, v)
		return nil
	}
	if rev == newest {
		return list, t.versions(sqlStanding, nil, keep)
	}
	return list, t.versions(sqlAt, []any{rev}, keep)
}

// eachVersion reads every version of every entity.
func (t *txn) eachVersion(f func(version) error) error { return t.versions(sqlVersion, nil, f) }

// versions reads versions and compares them with their checksums.
func (t *txn) versions(query string, args []any, f func(version) error) error {
	return t.all(query, args, func(scan func(...any) error) error {
		var v version
		var until *int64
		var sum int64
		if err := scan(&v.kind, &v.id, &v.since, &until, &v.place, &v.data, &sum); err != nil {
			return err
		}
		if until != nil {
			v.until = Rev(*until)
		}
		if v.sum() != sum {
			return torn("%s %s of revision %d is damaged", v.kind, v.id, v.since)
		}
		return f(v)
	})
}

// sum is the checksum of a version. It grows when the version ends, so that ending one needs no second look at its data.
func (v version) sum() int64 {
	s := newSum("entity").text(v.kind, v.id, v.place).number(int64(v.since)).bytes(v.data)
	if v.until != 0 {
		s.number(int64(v.until))
	}
	return s.value()
}

// lookup reads one version; false where there is none.
func (t *txn) lookup(query, kind, id string) (found version, ok bool, err error) {
	err = t.versions(query, []any{kind, id}, func(v version) error {
		found, ok = v, true
		return nil
	})
	return found, ok, err
}

// changed lists what a revision changed, in the order in which it was said.
func (t *txn) changed(rev Rev) ([]row, error) {
	states, err := t.states(sqlEnded, sqlBorn, rev)
	if err != nil {
		return nil, err
	}
	list, err := t.said("WHERE rev = ? ORDER BY seq", []any{rev}, states)
	rows := make([]row, len(list))
	for i, n := range list {
		rows[i] = n.row
	}
	return rows, err
}

// changesOf lists the changes to one entity, oldest first.
func (t *txn) changesOf(kind, id string) ([]numbered, error) {
	states, err := t.states(sqlVersionsOf, sqlVersionsOf, kind, id)
	if err != nil {
		return nil, err
	}
	return t.said("WHERE kind = ? AND id = ? ORDER BY rev, seq", []any{kind, id}, states)
}

// numbered is a change with the revision that made it.
type numbered struct {
	rev Rev
	row row
}

// stateKey names the state of an entity on one side of a revision.
type stateKey struct {
	kind, id string
	rev      Rev
	after    bool
}

// states reads the texts on both sides of the revisions that two queries find.
func (t *txn) states(ended, born string, args ...any) (map[stateKey][]byte, error) {
	found := map[stateKey][]byte{}
	err := t.versions(ended, args, func(v version) error {
		found[stateKey{v.kind, v.id, v.until, false}] = v.data
		return nil
	})
	if err != nil {
		return nil, err
	}
	return found, t.versions(born, args, func(v version) error {
		found[stateKey{v.kind, v.id, v.since, true}] = v.data
		return nil
	})
}

// said reads changes and fills in the states on both sides.
func (t *txn) said(where string, args []any, states map[stateKey][]byte) (list []numbered, err error) {
	err = t.all(sqlChange+where, args, func(scan func(...any) error) error {
		var n numbered
		var seq, sum int64
		var was, now *string
		r := &n.row
		if err := scan(&n.rev, &seq, &r.kind, &r.id, &r.follows, &was, &now, &sum); err != nil {
			return err
		}
		if was != nil && now != nil {
			r.move = &move{*was, *now}
		} else {
			r.before = states[stateKey{r.kind, r.id, n.rev, false}]
			r.after = states[stateKey{r.kind, r.id, n.rev, true}]
		}
		if r.sum(n.rev, seq) != sum {
			return torn("change %d of revision %d is damaged", seq, n.rev)
		}
		if r.move == nil && r.before == nil && r.after == nil {
			return torn("%s %s of revision %d is lost", r.kind, r.id, n.rev)
		}
		list = append(list, n)
		return nil
	})
	return list, err
}

// sum is the checksum of a change; the states have their own.
func (r *row) sum(rev Rev, seq int64) int64 {
	s := newSum("change").number(int64(rev), seq).text(r.kind, r.id, r.follows)
	if r.move != nil {
		s.text(r.move.was, r.move.now)
	}
	return s.value()
}

// apply stores one change of a revision. It ends the version that stands and bears the next; a change that does not meet
// what it was made on is refused.
func (t *txn) apply(rev Rev, seq int64, r row, places *placer) error {
	now, ok, err := t.lookup(sqlStandingOne, r.kind, r.id)
	if err != nil {
		return err
	}
	if err := r.fits(now, ok); err != nil {
		return err
	}
	next := version{kind: r.kind, id: r.id, since: rev, place: now.place, data: r.after}
	switch {
	case r.move != nil:
		next.data = now.data
		places.forget(r.kind)
		next.place, err = places.put(r.kind, r.id, r.move.now)
	case !ok:
		next.place, err = places.put(r.kind, r.id, r.follows)
	case r.after == nil:
		places.forget(r.kind)
	}
	if err == nil {
		err = t.replace(now, ok, next)
	}
	if err != nil {
		return err
	}
	var was, behind any
	if r.move != nil {
		was, behind = r.move.was, r.move.now
	}
	_, err = t.exec(sqlSay, rev, seq, r.kind, r.id, r.follows, was, behind, r.sum(rev, seq))
	return err
}

// fits refuses a change whose state before is not what stands.
func (r *row) fits(now version, ok bool) error {
	switch {
	case r.move != nil && ok:
		return nil
	case ok && r.before == nil:
		return invalid("%s %s is there already; change it instead of adding it", r.kind, r.id)
	case !ok && (r.before != nil || r.move != nil):
		return invalid("%s %s is not there; it can be added, not changed, moved or removed", r.kind, r.id)
	case ok && !bytes.Equal(now.data, r.before):
		return invalid("%s %s does not stand as the edit says it did; read the house again", r.kind, r.id)
	}
	return nil
}

// replace lets next stand in place of now. What began with the same revision is written over: a revision has one state
// of each entity.
func (t *txn) replace(now version, ok bool, next version) (err error) {
	again := ok && now.since == next.since
	switch {
	case again && next.data == nil:
		_, err = t.exec(sqlUnbear, now.kind, now.id)
	case again:
		_, err = t.exec(sqlRewrite, next.place, string(next.data), next.sum(), next.kind, next.id)
	case ok:
		now.until = next.since
		_, err = t.exec(sqlEnd, now.until, now.sum(), now.kind, now.id)
	}
	if err != nil || again || next.data == nil {
		return err
	}
	_, err = t.exec(sqlBear, next.kind, next.id, next.since, next.place, string(next.data), next.sum())
	return err
}
