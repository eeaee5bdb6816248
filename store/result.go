package store

import (
	"context"
	"encoding/json"
	"time"
	"unicode/utf8"
)

// resultsKept is how many results of one stage and name are kept beside those marked Keep. A result can be computed
// again from its revision; without a bound a workbench that checks after each edit would fill the disk.
const resultsKept = 20

// Result is what a stage computed from one revision: a report of the allotment, the findings, a proof.
type Result struct {
	Stage string          `json:"stage"`          // "allot", "check", "prove"
	Name  string          `json:"name,omitempty"` // tells results of one stage apart
	Rev   Rev             `json:"rev"`            // the revision that it was derived from
	When  time.Time       `json:"at"`             // the clock of the store where zero
	Keep  bool            `json:"keep,omitempty"` // never dropped for newer ones: what was handed over or commissioned
	Data  json.RawMessage `json:"data"`           // as the stage wrote it, without white space between
}

const (
	sqlResult    = "SELECT stage, name, rev, at, keep, data, sum FROM result "
	sqlResultPut = `INSERT INTO result (stage, name, rev, at, keep, data, sum) VALUES (?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (stage, name, rev) DO UPDATE SET at = excluded.at, keep = excluded.keep, data = excluded.data, sum = excluded.sum`
	sqlResultPrune = `DELETE FROM result WHERE stage = ?1 AND name = ?2 AND keep = 0 AND rev NOT IN
		(SELECT rev FROM result WHERE stage = ?1 AND name = ?2 AND keep = 0 ORDER BY rev DESC LIMIT ?3)`
)

// SaveResult stores a result in place of an earlier one of the same stage, name and revision. Of those not marked Keep
// the newest twenty of a stage and name stay.
func (s *Store) SaveResult(ctx context.Context, r Result) error {
	if r.When.IsZero() {
		r.When = s.opt.Now()
	}
	if r.Stage == "" || !utf8.ValidString(r.Stage) || !utf8.ValidString(r.Name) {
		return invalid("a result must name its stage, in UTF-8 text")
	}
	var err error
	if r.Data, err = compact(r.Data); err != nil {
		return invalid("the result of stage %q is not JSON", r.Stage)
	}
	if err := checkTime(r.When); err != nil {
		return err
	}
	return s.write(ctx, func(t *txn) error {
		if err := t.known(r.Rev); err != nil {
			return err
		}
		if err := t.putResult(r); err != nil {
			return err
		}
		_, err := t.exec(sqlResultPrune, r.Stage, r.Name, resultsKept)
		return err
	})
}

func (t *txn) putResult(r Result) error {
	_, err := t.exec(sqlResultPut, r.Stage, r.Name, r.Rev, stamp(r.When), bit(r.Keep), string(r.Data), r.sum())
	return err
}

// Result gives the newest result of a stage and name that was derived from revision rev or an earlier one. Its Rev tells
// whether it still holds: a result of an earlier revision is stale.
func (s *Store) Result(ctx context.Context, stage, name string, rev Rev) (Result, error) {
	list, err := s.results(ctx, "WHERE stage = ? AND name = ? AND rev <= ? ORDER BY rev DESC LIMIT 1", stage, name, rev)
	if err != nil {
		return Result{}, err
	}
	if len(list) == 0 {
		return Result{}, missing("stage %s has no result %q up to revision %d", stage, name, rev)
	}
	return list[0], nil
}

// Results lists all results by stage, name and revision.
func (s *Store) Results(ctx context.Context) ([]Result, error) {
	return s.results(ctx, "ORDER BY stage, name, rev")
}

func (s *Store) results(ctx context.Context, where string, args ...any) (list []Result, err error) {
	err = s.read(ctx, func(t *txn) error {
		list = nil
		return t.eachResult(where, args, func(r Result) error {
			list = append(list, r)
			return nil
		})
	})
	return list, err
}

func (t *txn) eachResult(where string, args []any, f func(Result) error) error {
	return t.all(sqlResult+where, args, func(scan func(...any) error) error {
		var r Result
		var at string
		var data []byte
		var keep, sum int64
		if err := scan(&r.Stage, &r.Name, &r.Rev, &at, &keep, &data, &sum); err != nil {
			return err
		}
		var err error
		if r.When, err = unstamp(at); err != nil {
			return err
		}
		r.Keep, r.Data = keep == 1, data
		if r.sum() != sum {
			return torn("the result %q of stage %s at revision %d is damaged", r.Name, r.Stage, r.Rev)
		}
		return f(r)
	})
}

func (r Result) sum() int64 {
	return newSum("result").text(r.Stage, r.Name, stamp(r.When)).number(int64(r.Rev), bit(r.Keep)).bytes(r.Data).value()
}

// bit stores a yes or no.
func bit(yes bool) int64 {
	if yes {
		return 1
	}
	return 0
}
