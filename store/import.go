package store

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"sort"
	"strings"
	"unicode/utf8"

	"wirewright/house"
	"wirewright/internal/problem"
)

// Import is what a folder of text would change.
type Import struct {
	Base    Rev
	Changes []house.Change // from Base to the text; Commit takes them
	Dropped []Comment      // comments that the house does not keep
	Unread  []string       // files that were not looked at: the record, attachments, what is not known
}

// Comment is a comment in a text, which bringing it in would drop.
type Comment struct {
	problem.Place
	Text string // the line
}

// String says the comment in one line.
func (c Comment) String() string {
	return c.Place.String() + ": this comment will not be kept: " + strings.TrimSpace(c.Text)
}

// ImportText compares text files, as ExportText writes them and people edit them, with the house at a revision and
// answers what they would change; it stores nothing. A house that cannot be read is refused with every mistake
// (problem.List). Comments that would be dropped are told: show them before Commit.
func (s *Store) ImportText(ctx context.Context, base Rev, files map[string][]byte) (*Import, error) {
	was, err := s.House(ctx, base)
	if err != nil {
		return nil, err
	}
	documents, err := s.Documents(ctx, base)
	if err != nil {
		return nil, err
	}
	im := &Import{Base: base}
	// What was written by ExportText and not touched needs no reading: a house may be stored that Read would refuse, in
	// the middle of somebody's work.
	if !untouched(was, files) {
		now, err := readHouse(files)
		if err != nil {
			return nil, err
		}
		im.Changes = house.Diff(was, now)
	}
	changed, err := documentChanges(documents, files)
	if err != nil {
		return nil, err
	}
	im.Changes = append(im.Changes, changed...)
	im.tellDropped(files[FileHouse])
	im.tellUnread(files)
	return im, nil
}

// tellDropped lists the comments in the house's text.
func (im *Import) tellDropped(text []byte) {
	lines := strings.Split(string(text), "\n")
	for _, at := range house.Comments(text) {
		at.File = FileHouse
		c := Comment{Place: at}
		if at.Line >= 1 && at.Line <= len(lines) {
			c.Text = lines[at.Line-1]
		}
		im.Dropped = append(im.Dropped, c)
	}
}

func (im *Import) tellUnread(files map[string][]byte) {
	for name := range files {
		if name != FileHouse && name != FileBehaviour && name != FileAcceptance && !strings.HasPrefix(name, dirDocuments) {
			im.Unread = append(im.Unread, name)
		}
	}
	sort.Strings(im.Unread)
}

// untouched tells whether the files hold a house just as ExportText writes it.
func untouched(h *house.House, files map[string][]byte) bool {
	bare := *h
	bare.Behaviour, bare.Acceptance = "", ""
	return bytes.Equal(files[FileHouse], house.Write(&bare)) && string(files[FileBehaviour]) == h.Behaviour &&
		string(files[FileAcceptance]) == h.Acceptance
}

// readHouse puts the house together from its three files.
func readHouse(files map[string][]byte) (*house.House, error) {
	text, ok := files[FileHouse]
	if !ok {
		return nil, &Error{Kind: Missing, Path: FileHouse, Text: "there is no such file among them", Hint: "choose a folder that holds an exported job"}
	}
	h, err := house.Read(FileHouse, text)
	if err != nil {
		return nil, &Error{Kind: Invalid, Text: "the house cannot be read", Err: err}
	}
	for _, side := range []struct {
		name string
		into *string
	}{{FileBehaviour, &h.Behaviour}, {FileAcceptance, &h.Acceptance}} {
		text, ok := files[side.name]
		if !ok {
			continue
		}
		if *side.into != "" {
			return nil, &Error{Kind: Invalid, Path: FileHouse, Text: "this text stands in " + side.name + " as well", Hint: "keep one of them"}
		}
		text = bytes.TrimPrefix(text, []byte("\ufeff"))
		if !utf8.Valid(text) {
			return nil, &Error{Kind: Invalid, Path: side.name, Text: "this is not valid UTF-8 text", Hint: "save it as UTF-8"}
		}
		*side.into = string(text)
	}
	return h, nil
}

// documentChanges compares the documents with the files under documents/.
func documentChanges(documents map[string]string, files map[string][]byte) (list []house.Change, err error) {
	names := map[string]bool{}
	for name := range documents {
		names[name] = true
	}
	for name := range files {
		if rest, ok := strings.CutPrefix(name, dirDocuments); ok {
			names[rest] = true
		}
	}
	sorted := make([]string, 0, len(names))
	for name := range names {
		sorted = append(sorted, name)
	}
	sort.Strings(sorted)
	for _, name := range sorted {
		c := house.Change{Kind: KindDocument, ID: house.ID(name)}
		if was, ok := documents[name]; ok {
			c.Before = was
		}
		if now, ok := files[dirDocuments+name]; ok {
			c.After = string(now)
		}
		if c.Before == c.After {
			continue
		}
		if _, err := encodeDocument(c); err != nil {
			return nil, err
		}
		list = append(list, c)
	}
	return list, nil
}

// CreateFromText makes a new job file of text files, as ExportText wrote them: with all revisions, evidence, journal,
// results and attachments. Where people have edited the house since, that becomes a revision of its own on top. Each
// revision is compared with its digest, so a log that was altered is refused. What ImportText would tell is in the
// answer.
func CreateFromText(ctx context.Context, path string, opt Options, files map[string][]byte) (*Store, *Import, error) {
	_, abs, full, err := prepare(path, opt, nil)
	if err != nil {
		return nil, nil, err
	}
	draft, err := draftName(abs, full.Rand)
	if err != nil {
		return nil, nil, err
	}
	defer removeDraft(draft)
	im, err := fillFromText(ctx, draft, opt, files)
	if err != nil {
		return nil, nil, err
	}
	if err := settle(draft, abs); err != nil {
		return nil, nil, err
	}
	s, err := Open(ctx, abs, opt)
	return s, im, err
}

// fillFromText makes the job under a draft name, so that it appears complete or not at all.
func fillFromText(ctx context.Context, draft string, opt Options, files map[string][]byte) (im *Import, err error) {
	s, err := Create(ctx, draft, opt)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	if err := s.write(ctx, func(t *txn) error { return t.restore(files) }); err != nil {
		return nil, err
	}
	newest, err := s.Newest(ctx)
	if err != nil {
		return nil, err
	}
	if im, err = s.ImportText(ctx, newest, files); err != nil {
		return nil, err
	}
	_, err = s.commit(ctx, newest, im.Changes, Meta{Who: opt.Who, Why: "edited as text"}, ActImport)
	return im, err
}

// restore stores the record again.
func (t *txn) restore(files map[string][]byte) error {
	err := eachLine(files, FileLog, func(l logLine) error { return t.restoreRevision(l) })
	if err != nil {
		return err
	}
	for name, data := range files {
		if strings.HasPrefix(name, dirProofs) {
			if err := t.putBlob(data); err != nil {
				return err
			}
		}
	}
	if err := t.restoreRecords(files); err != nil {
		return err
	}
	return eachLine(files, FileAttached, func(a Attachment) error {
		data, ok := files[dirAttachments+a.Name]
		if !ok {
			return missing("%s names %q, but the file is not there", FileAttached, a.Name)
		}
		a.Data = data
		if err := checkAttachment(a); err != nil {
			return err
		}
		if a.digest() != a.Digest {
			return torn("the attachment %q is not the one that %s names", a.Name, FileAttached)
		}
		return t.attach(a)
	})
}

func (t *txn) restoreRecords(files map[string][]byte) error {
	err := eachLine(files, FileEvidence, func(e Evidence) error {
		if err := checkEvidence(e, nil); err != nil {
			return err
		}
		if err := t.known(e.Rev); err != nil {
			return err
		}
		return t.putEvidence(e)
	})
	if err != nil {
		return err
	}
	err = eachLine(files, FileJournal, func(r Record) error {
		if r.What == "" || r.Payload == nil {
			return invalid("a record of the journal must say what happened")
		}
		if err := checkTime(r.When); err != nil {
			return err
		}
		return t.putRecord(r)
	})
	if err != nil {
		return err
	}
	return eachLine(files, FileResults, func(r Result) error {
		if r.Stage == "" || r.Data == nil {
			return invalid("a result must name its stage")
		}
		if err := checkTime(r.When); err != nil {
			return err
		}
		if err := t.known(r.Rev); err != nil {
			return err
		}
		return t.putResult(r)
	})
}

func (t *txn) restoreRevision(l logLine) error {
	newest, err := t.newest()
	if err != nil {
		return err
	}
	if l.Rev != newest+1 || min(l.Target, l.Undo, l.Redo) < 0 || max(l.Target, l.Undo, l.Redo) > l.Rev {
		return invalid("revision %d cannot come after revision %d", l.Rev, newest)
	}
	rows := make([]row, len(l.Changes))
	for i, w := range l.Changes {
		if rows[i], err = w.row(); err != nil {
			return err
		}
	}
	if err := readable(rows); err != nil {
		return err
	}
	if err := checkTime(l.At); err != nil {
		return err
	}
	e := Entry{Rev: l.Rev, Meta: Meta{Who: l.Who, Why: l.Why, When: l.At}, Act: l.Act, Target: l.Target, undo: l.Undo, redo: l.Redo}
	if err := t.append(e, rows); err != nil {
		return err
	}
	stored, err := t.entry(l.Rev)
	if err == nil && stored.Digest != l.Digest {
		err = torn("revision %d is not what its digest says: the log was altered", l.Rev)
	}
	return err
}

// row turns a change of the log into its stored form.
func (w wireChange) row() (row, error) {
	if w.Kind != kindOrder {
		r := row{kind: w.Kind, id: string(w.ID), before: absent(w.Kind, w.Before), after: absent(w.Kind, w.After), follows: string(w.Follows)}
		if w.Kind == KindDocument {
			return r, checkName(r.id)
		}
		return r, nil
	}
	var was, now orderText
	if err := errors.Join(json.Unmarshal(w.Before, &was), json.Unmarshal(w.After, &now)); err != nil || was.List != now.List || !ordered(now.List) {
		return row{}, invalid("the move of %s does not say where it stood and where it goes", w.ID)
	}
	return row{kind: now.List, id: string(w.ID), move: &move{was.Follows, now.Follows}}, nil
}

// eachLine reads a file of JSON lines; one that is not there has none.
func eachLine[T any](files map[string][]byte, name string, f func(T) error) error {
	n := 0
	for line := range bytes.Lines(files[name]) {
		n++
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		var v T
		d := json.NewDecoder(bytes.NewReader(line))
		d.DisallowUnknownFields()
		err := d.Decode(&v)
		if err != nil {
			err = invalid("this line cannot be read: %v", err)
		} else {
			err = f(v)
		}
		if err != nil {
			return at(err, name, n)
		}
	}
	return nil
}

// at says in which line of which file an error was found.
func at(err error, name string, line int) error {
	var own *Error
	if !errors.As(err, &own) {
		return err
	}
	told := *own
	told.Path = problem.Place{File: name, Line: line}.String()
	return &told
}
