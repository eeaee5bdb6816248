package store

import (
	"context"
	"sort"

	"wirewright/house"
)

// row is one change as it is stored: the entity as text before and after; nil where it was not there or is gone.
type row struct {
	kind, id      string
	before, after []byte
}

// version is one state of one entity: it stands from revision since until revision until (0: to this day).
type version struct {
	kind, id     string
	since, until Rev
	place        int64 // orders the entities of a house; kept when an entity is changed, or removed and brought back
	data         []byte
}

const (
	sqlVersion      = "SELECT kind, id, since, until, place, data, sum FROM entity "
	sqlStanding     = sqlVersion + "WHERE until IS NULL ORDER BY place"
	sqlAt           = sqlVersion + "WHERE since <= ?1 AND (until IS NULL OR until > ?1) ORDER BY place"
	sqlStandingOne  = sqlVersion + "WHERE kind = ? AND id = ? AND until IS NULL"
	sqlLastOne      = sqlVersion + "WHERE kind = ? AND id = ? ORDER BY since DESC LIMIT 1"
	sqlVersionsOf   = sqlVersion + "WHERE kind = ? AND id = ? ORDER BY since"
	sqlBorn         = sqlVersion + "WHERE since = ?"
	sqlEnded        = sqlVersion + "WHERE until = ?"
	sqlEnd          = "UPDATE entity SET until = ?, sum = ? WHERE kind = ? AND id = ? AND until IS NULL"
	sqlBear         = "INSERT INTO entity (kind, id, since, until, place, data, sum) VALUES (?, ?, ?, NULL, ?, ?, ?)"
	placesPerCommit = 1 << 24 // entities that one revision may add
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

// eachVersionOf reads the versions of one entity, oldest first.
func (t *txn) eachVersionOf(kind, id string, f func(version) error) error {
	return t.versions(sqlVersionsOf, []any{kind, id}, f)
}

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
	s := newSum("entity").text(v.kind, v.id).number(int64(v.since), v.place).bytes(v.data)
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

// changed lists what a revision changed, by kind and identity: the versions that it bore, beside those that it ended.
func (t *txn) changed(rev Rev) ([]row, error) {
	type name struct{ kind, id string }
	rows := map[name]*row{}
	at := func(v version) *row {
		n := name{v.kind, v.id}
		if rows[n] == nil {
			rows[n] = &row{kind: v.kind, id: v.id}
		}
		return rows[n]
	}
	err := t.versions(sqlEnded, []any{rev}, func(v version) error {
		at(v).before = v.data
		return nil
	})
	if err != nil {
		return nil, err
	}
	err = t.versions(sqlBorn, []any{rev}, func(v version) error {
		at(v).after = v.data
		return nil
	})
	list := make([]row, 0, len(rows))
	for _, r := range rows {
		list = append(list, *r)
	}
	sortRows(list)
	return list, err
}

// sortRows puts changes into their stored order: by kind, then identity.
func sortRows(list []row) {
	sort.Slice(list, func(i, j int) bool {
		if list[i].kind != list[j].kind {
			return list[i].kind < list[j].kind
		}
		return list[i].id < list[j].id
	})
}

// apply stores one change of a revision: it ends the version that stands and bears the next one.
func (t *txn) apply(rev Rev, n int, r row) error {
	place := int64(rev)*placesPerCommit + int64(n)
	old, ok, err := t.lookup(sqlLastOne, r.kind, r.id)
	if err != nil {
		return err
	}
	if ok {
		place = old.place
	}
	if r.before != nil {
		old.until = rev
		if _, err := t.exec(sqlEnd, rev, old.sum(), r.kind, r.id); err != nil {
			return err
		}
	}
	if r.after == nil {
		return nil
	}
	v := version{kind: r.kind, id: r.id, since: rev, place: place, data: r.after}
	_, err = t.exec(sqlBear, v.kind, v.id, v.since, v.place, string(v.data), v.sum())
	return err
}

// numbered is a change with the revision that made it.
type numbered struct {
	rev Rev
	row row
}

// versionChanges turns the versions of one entity, oldest first, into the changes between them.
func versionChanges(versions []version) []numbered {
	var list []numbered
	for i, v := range versions {
		change := numbered{v.since, row{kind: v.kind, id: v.id, after: v.data}}
		if i > 0 && versions[i-1].until == v.since {
			change.row.before = versions[i-1].data
		}
		list = append(list, change)
		if v.until != 0 && (i+1 == len(versions) || versions[i+1].since != v.until) {
			list = append(list, numbered{v.until, row{kind: v.kind, id: v.id, before: v.data}})
		}
	}
	return list
}
