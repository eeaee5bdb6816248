package store

import (
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"
	"time"

	"wirewright/house"
)

// The files of a job as text. The first three and what lies under documents/ are for people to edit; the rest is the
// record.
const (
	FileHouse      = "house.yaml"     // the house but for the two texts
	FileBehaviour  = "behaviour.txt"  // left out where empty
	FileAcceptance = "acceptance.txt" // left out where empty
	FileManifest   = "job.json"       // the edition of this form, the revision, the names of the secrets
	FileLog        = "log.jsonl"      // every revision with its changes, one a line
	FileEvidence   = "evidence.jsonl"
	FileJournal    = "journal.jsonl"
	FileResults    = "results.jsonl"
	FileAttached   = "attachments.jsonl" // what is known about the files under attachments/

	dirDocuments   = "documents/"
	dirAttachments = "attachments/"
	dirProofs      = "proofs/" // bytes that evidence rests on, by digest

	textEdition = "wirewright job text 1"
)

// manifest says what a folder of text is.
type manifest struct {
	Format   string   `json:"format"`
	Revision Rev      `json:"revision"`
	Digest   string   `json:"digest"`
	Secrets  []string `json:"secrets,omitempty"` // names only: secrets do not leave the job file
}

// logLine is one revision in the log.
type logLine struct {
	Rev     Rev          `json:"rev"`
	At      time.Time    `json:"at"`
	Who     string       `json:"who,omitempty"`
	Why     string       `json:"why,omitempty"`
	Act     Act          `json:"act"`
	Target  Rev          `json:"target,omitempty"`
	Undo    Rev          `json:"undo,omitempty"`
	Redo    Rev          `json:"redo,omitempty"`
	Digest  string       `json:"digest"`
	Changes []wireChange `json:"changes"`
}

// wireChange is a change with its entities still as text; it reads and writes as house.Change does.
type wireChange struct {
	Kind    string          `json:"kind"`
	ID      house.ID        `json:"id,omitempty"`
	Before  json.RawMessage `json:"before,omitempty"`
	After   json.RawMessage `json:"after,omitempty"`
	Follows house.ID        `json:"follows,omitempty"`
}

// orderText is house.Order as its text form has it.
type orderText struct {
	List    string `json:"list"`
	Follows string `json:"follows"`
}

// ExportText writes the whole job as it stood at a revision as text files, by name: nothing is lost but the secrets,
// which stay in the job file; their names are told. The same job gives the same bytes.
func (s *Store) ExportText(ctx context.Context, rev Rev) (map[string][]byte, error) {
	files := map[string][]byte{}
	err := s.read(ctx, func(t *txn) error {
		if err := t.known(rev); err != nil {
			return err
		}
		for _, write := range []func(Rev, map[string][]byte) error{
			t.exportHouse, t.exportLog, t.exportEvidence, t.exportRecords, t.exportAttachments, t.exportManifest,
		} {
			if err := write(rev, files); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return files, nil
}

func (t *txn) exportHouse(rev Rev, files map[string][]byte) error {
	versions, err := t.standing(rev)
	if err != nil {
		return err
	}
	h, err := decodeHouse(versions)
	if err != nil {
		return err
	}
	for name, text := range map[string]*string{FileBehaviour: &h.Behaviour, FileAcceptance: &h.Acceptance} {
		if *text != "" {
			files[name] = []byte(*text)
			*text = ""
		}
	}
	files[FileHouse] = house.Write(h)
	for _, v := range versions {
		if v.kind != KindDocument {
			continue
		}
		var text string
		if err := json.Unmarshal(v.data, &text); err != nil {
			return torn("document %s cannot be read: %v", v.id, err)
		}
		files[dirDocuments+v.id] = []byte(text)
	}
	return nil
}

func (t *txn) exportLog(rev Rev, files map[string][]byte) error {
	var out bytes.Buffer
	for n := Rev(1); n <= rev; n++ {
		e, err := t.entry(n)
		if err != nil {
			return err
		}
		rows, err := t.changed(n)
		if err != nil {
			return err
		}
		line := logLine{Rev: e.Rev, At: e.Meta.When.UTC(), Who: e.Meta.Who, Why: e.Meta.Why, Act: e.Act, Target: e.Target,
			Undo: e.undo, Redo: e.redo, Digest: e.Digest, Changes: make([]wireChange, len(rows))}
		for i, r := range rows {
			if line.Changes[i], err = r.wire(); err != nil {
				return err
			}
		}
		if err := writeLine(&out, line); err != nil {
			return err
		}
	}
	files[FileLog] = out.Bytes()
	return nil
}

// wire writes a change as text.
func (r row) wire() (wireChange, error) {
	if r.move == nil {
		return wireChange{Kind: r.kind, ID: house.ID(r.id), Before: r.before, After: r.after, Follows: house.ID(r.follows)}, nil
	}
	was, err := json.Marshal(orderText{r.kind, r.move.was})
	if err != nil {
		return wireChange{}, err
	}
	now, err := json.Marshal(orderText{r.kind, r.move.now})
	return wireChange{Kind: kindOrder, ID: house.ID(r.id), Before: was, After: now}, err
}

// writeLine appends one value as a line of JSON.
func writeLine(out *bytes.Buffer, v any) error {
	e := json.NewEncoder(out)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

func (t *txn) exportEvidence(rev Rev, files map[string][]byte) error {
	var out bytes.Buffer
	var proofs []string
	err := t.eachEvidence("WHERE rev <= ? ORDER BY seq", []any{rev}, func(e Evidence) error {
		if e.Proof != "" {
			proofs = append(proofs, e.Proof)
		}
		return writeLine(&out, e)
	})
	if err != nil {
		return err
	}
	for _, digest := range proofs {
		if files[dirProofs+digest], err = t.blob(digest); err != nil {
			return err
		}
	}
	return put(files, FileEvidence, out)
}

func (t *txn) exportRecords(rev Rev, files map[string][]byte) error {
	var journal, results bytes.Buffer
	err := t.eachRecord("ORDER BY seq", nil, func(r Record) error { return writeLine(&journal, r) })
	if err != nil {
		return err
	}
	err = t.eachResult("WHERE rev <= ? ORDER BY stage, name, rev", []any{rev}, func(r Result) error { return writeLine(&results, r) })
	if err != nil {
		return err
	}
	if err := put(files, FileJournal, journal); err != nil {
		return err
	}
	return put(files, FileResults, results)
}

func (t *txn) exportAttachments(_ Rev, files map[string][]byte) error {
	var out bytes.Buffer
	var list []Attachment
	err := t.attachments("ORDER BY name", nil, func(a Attachment) error {
		list = append(list, a)
		return writeLine(&out, a)
	})
	if err != nil {
		return err
	}
	for _, a := range list {
		if files[dirAttachments+a.Name], err = t.blob(a.Digest); err != nil {
			return err
		}
	}
	return put(files, FileAttached, out)
}

func (t *txn) exportManifest(rev Rev, files map[string][]byte) error {
	e, err := t.entry(rev)
	if err != nil {
		return err
	}
	m := manifest{Format: textEdition, Revision: rev, Digest: hex.EncodeToString(e.digest)}
	err = t.all("SELECT name FROM secret ORDER BY name", nil, func(scan func(...any) error) error {
		var name string
		err := scan(&name)
		m.Secrets = append(m.Secrets, name)
		return err
	})
	if err != nil {
		return err
	}
	text, err := json.MarshalIndent(m, "", "  ")
	files[FileManifest] = append(text, '\n')
	return err
}

// put keeps a file that has something in it.
func put(files map[string][]byte, name string, out bytes.Buffer) error {
	if out.Len() > 0 {
		files[name] = out.Bytes()
	}
	return nil
}
