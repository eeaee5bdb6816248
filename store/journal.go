package store

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"slices"
	"time"
	"unicode/utf8"

	"wirewright/house"
)

// Record is one record of the journal: what happened on site or to the job, in order. It is never altered or removed.
type Record struct {
	Seq     int64           `json:"seq"`               // counts from 1 without a gap; filled in by the store
	When    time.Time       `json:"at"`                // the clock of the store where zero
	What    string          `json:"what"`              // a short word for machines: "enrol", "load", "press", "output"
	Kind    string          `json:"kind,omitempty"`    // kind of the entity concerned, as in house.Change; empty: none
	ID      house.ID        `json:"id,omitempty"`      // the entity concerned
	Payload json.RawMessage `json:"payload,omitempty"` // the particulars as JSON; null where nil
}

const (
	sqlJournal    = "SELECT seq, at, what, kind, id, payload, sum FROM journal "
	sqlJournalPut = "INSERT INTO journal (seq, at, what, kind, id, payload, sum) VALUES (?, ?, ?, ?, ?, ?, ?)"
)

// Append adds records to the journal, all or none, and answers the number of the last one.
func (s *Store) Append(ctx context.Context, records ...Record) (seq int64, err error) {
	records = slices.Clone(records)
	for i := range records {
		if records[i], err = s.completeRecord(records[i]); err != nil {
			return 0, err
		}
	}
	err = s.write(ctx, func(t *txn) error {
		if _, err := t.one("SELECT coalesce(max(seq), 0) FROM journal", nil, &seq); err != nil {
			return err
		}
		for _, r := range records {
			seq++
			r.Seq = seq
			if err := t.putRecord(r); err != nil {
				return err
			}
		}
		return nil
	})
	return seq, err
}

func (s *Store) completeRecord(r Record) (Record, error) {
	if r.When.IsZero() {
		r.When = s.opt.Now()
	}
	if r.Payload == nil {
		r.Payload = json.RawMessage("null")
	}
	if r.What == "" || !utf8.ValidString(r.What) || !utf8.ValidString(r.Kind) || !utf8.ValidString(string(r.ID)) {
		return r, invalid("a record of the journal must say what happened, in UTF-8 text")
	}
	var err error
	if r.Payload, err = compact(r.Payload); err != nil {
		return r, invalid("the particulars of the record %q are not JSON", r.What)
	}
	return r, checkTime(r.When)
}

// compact brings JSON into the one form in which it is stored, so that a copy through text is the same to the byte.
func compact(text json.RawMessage) (json.RawMessage, error) {
	var b bytes.Buffer
	err := json.Compact(&b, text)
	if err == nil && !utf8.Valid(text) {
		err = errors.New("not UTF-8")
	}
	return b.Bytes(), err
}

func (t *txn) putRecord(r Record) error {
	_, err := t.exec(sqlJournalPut, r.Seq, stamp(r.When), r.What, r.Kind, string(r.ID), string(r.Payload), r.sum())
	return err
}

// Journal lists at most so many records after a number, oldest first; most 0 means all.
func (s *Store) Journal(ctx context.Context, after int64, most int) ([]Record, error) {
	if most <= 0 {
		most = -1 // SQLite: no limit
	}
	return s.journal(ctx, "WHERE seq > ? ORDER BY seq LIMIT ?", after, most)
}

// JournalOf lists the records about one entity, oldest first.
func (s *Store) JournalOf(ctx context.Context, kind string, id house.ID) ([]Record, error) {
	return s.journal(ctx, "WHERE kind = ? AND id = ? ORDER BY seq", kind, string(id))
}

func (s *Store) journal(ctx context.Context, where string, args ...any) (list []Record, err error) {
	err = s.read(ctx, func(t *txn) error {
		list = nil
		return t.eachRecord(where, args, func(r Record) error {
			list = append(list, r)
			return nil
		})
	})
	return list, err
}

func (t *txn) eachRecord(where string, args []any, f func(Record) error) error {
	return t.all(sqlJournal+where, args, func(scan func(...any) error) error {
		var r Record
		var at string
		var payload []byte
		var sum int64
		if err := scan(&r.Seq, &at, &r.What, &r.Kind, &r.ID, &payload, &sum); err != nil {
			return err
		}
		var err error
		if r.When, err = unstamp(at); err != nil {
			return err
		}
		r.Payload = payload
		if r.sum() != sum {
			return torn("record %d of the journal is damaged", r.Seq)
		}
		return f(r)
	})
}

func (r Record) sum() int64 {
	return newSum("journal").number(r.Seq).text(stamp(r.When), r.What, r.Kind, string(r.ID)).bytes(r.Payload).value()
}
