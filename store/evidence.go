package store

import (
	"context"
	"encoding/hex"
	"fmt"
	"time"
	"unicode/utf8"

	"wirewright/house"
)

// Source says how a value came about; they never look the same.
type Source string

// The sources of evidence.
const (
	Measured  Source = "measured"  // with an instrument, or seen, on site
	Simulated Source = "simulated" // in a rehearsal or by a calculation
	Assumed   Source = "assumed"   // taken for granted for now
)

// Evidence is one thing that was measured, seen, simulated or assumed about one entity. It is never altered or removed;
// what was wrong is answered by newer evidence.
type Evidence struct {
	Seq    int64     `json:"seq"` // counts from 1 through the job; filled in by the store
	When   time.Time `json:"at"`  // the clock of the store where zero
	Who    string    `json:"who,omitempty"`
	Kind   string    `json:"kind,omitempty"` // kind of the entity, as in house.Change; empty: the house as a whole
	ID     house.ID  `json:"id,omitempty"`   // the entity
	Rev    Rev       `json:"rev"`            // the revision of the house that it was measured on
	Source Source    `json:"source"`
	What   string    `json:"what"`            // "insulation resistance L1-PE", "acceptance: hall key 1 switches the hall lamp"
	Value  string    `json:"value,omitempty"` // as read off: "> 500", "0.42", "passed"
	Unit   string    `json:"unit,omitempty"`  // "MΩ"; empty where there is none
	Note   string    `json:"note,omitempty"`
	Proof  string    `json:"proof,omitempty"` // digest of bytes that it rests on (see AddEvidence)
}

const (
	sqlEvidence    = "SELECT seq, at, who, kind, id, rev, source, what, value, unit, note, proof, sum FROM evidence "
	sqlEvidencePut = "INSERT INTO evidence (seq, at, who, kind, id, rev, source, what, value, unit, note, proof, sum) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)

// AddEvidence stores evidence and answers its number. Proof bytes (a photograph, an instrument's file), where given, are
// stored with it and stay as long as it does.
func (s *Store) AddEvidence(ctx context.Context, e Evidence, proof []byte) (seq int64, err error) {
	if e.When.IsZero() {
		e.When = s.opt.Now()
	}
	if err := checkEvidence(e, proof); err != nil {
		return 0, err
	}
	err = s.write(ctx, func(t *txn) error {
		if err := t.known(e.Rev); err != nil {
			return err
		}
		if proof != nil {
			if err := t.putBlob(proof); err != nil {
				return err
			}
			e.Proof = Attachment{Data: proof}.digest()
		}
		if _, err := t.one("SELECT coalesce(max(seq), 0) + 1 FROM evidence", nil, &e.Seq); err != nil {
			return err
		}
		seq = e.Seq
		return t.putEvidence(e)
	})
	return seq, err
}

func checkEvidence(e Evidence, proof []byte) error {
	switch e.Source {
	case Measured, Simulated, Assumed:
	default:
		return invalid("%q is no source of evidence; it is measured, simulated or assumed", e.Source)
	}
	if e.What == "" {
		return invalid("evidence must say what was measured or seen")
	}
	if len(proof) > AttachmentMost {
		return invalid("the proof has %d bytes; the most is %d", len(proof), AttachmentMost)
	}
	for _, text := range []string{e.Who, e.Kind, string(e.ID), e.What, e.Value, e.Unit, e.Note} {
		if !utf8.ValidString(text) {
			return invalid("evidence %q is not valid UTF-8 text", e.What)
		}
	}
	return checkTime(e.When)
}

func (t *txn) putEvidence(e Evidence) error {
	var proof []byte
	if e.Proof != "" {
		var err error
		if proof, err = hex.DecodeString(e.Proof); err != nil {
			return invalid("%q is no digest; it has 64 hexadecimal digits", e.Proof)
		}
		var n int
		if found, err := t.one("SELECT 1 FROM blob WHERE digest = ?", []any{proof}, &n); err != nil || !found {
			return missing("there are no bytes with the digest %s", e.Proof)
		}
	}
	_, err := t.exec(sqlEvidencePut, e.Seq, stamp(e.When), e.Who, e.Kind, string(e.ID), e.Rev, string(e.Source),
		e.What, e.Value, e.Unit, e.Note, proof, e.sum())
	return err
}

// AllEvidence lists all evidence, oldest first.
func (s *Store) AllEvidence(ctx context.Context) ([]Evidence, error) {
	return s.evidence(ctx, "ORDER BY seq")
}

// EvidenceOf lists the evidence about one entity, oldest first.
func (s *Store) EvidenceOf(ctx context.Context, kind string, id house.ID) ([]Evidence, error) {
	return s.evidence(ctx, "WHERE kind = ? AND id = ? ORDER BY seq", kind, string(id))
}

func (s *Store) evidence(ctx context.Context, where string, args ...any) (list []Evidence, err error) {
	err = s.read(ctx, func(t *txn) error {
		list = nil
		return t.eachEvidence(where, args, func(e Evidence) error {
			list = append(list, e)
			return nil
		})
	})
	return list, err
}

func (t *txn) eachEvidence(where string, args []any, f func(Evidence) error) error {
	return t.all(sqlEvidence+where, args, func(scan func(...any) error) error {
		var e Evidence
		var at string
		var proof []byte
		var sum int64
		err := scan(&e.Seq, &at, &e.Who, &e.Kind, &e.ID, &e.Rev, &e.Source, &e.What, &e.Value, &e.Unit, &e.Note, &proof, &sum)
		if err != nil {
			return err
		}
		if e.When, err = unstamp(at); err != nil {
			return err
		}
		e.Proof = hex.EncodeToString(proof)
		if e.sum() != sum {
			return torn("evidence %d is damaged", e.Seq)
		}
		return f(e)
	})
}

func (e Evidence) sum() int64 {
	return newSum("evidence").number(e.Seq, int64(e.Rev)).
		text(stamp(e.When), e.Who, e.Kind, string(e.ID), string(e.Source), e.What, e.Value, e.Unit, e.Note, e.Proof).value()
}

// String says the evidence in one line.
func (e Evidence) String() string {
	text := fmt.Sprintf("%s %s (revision %d): %s = %s", e.Kind, e.ID, e.Rev, e.What, e.Value)
	if e.Unit != "" {
		text += " " + e.Unit
	}
	return text + ", " + string(e.Source)
}
