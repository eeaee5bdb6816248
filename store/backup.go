package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// copiesMost bounds the search for a free name of a copy.
const copiesMost = 100

// Backup writes a copy of the job as it stands now to a new file, while work goes on. The copy appears under its name
// only when it is complete and was looked over; a file that is there already is never written over. It works also after
// the job file itself was deleted or moved away: it copies what is open.
func (s *Store) Backup(ctx context.Context, to string) error {
	to, err := filepath.Abs(to)
	if err != nil {
		return &Error{Kind: Invalid, Path: to, Text: "this is no usable path", Err: err}
	}
	if _, err := os.Lstat(to); !errors.Is(err, fs.ErrNotExist) {
		return &Error{Kind: Exists, Path: to, Text: "a file of that name is there already", Hint: "choose another name"}
	}
	draft, err := draftName(to, s.opt.Rand)
	if err != nil {
		return err
	}
	defer removeDraft(draft)
	if err := s.db.copyTo(ctx, draft); err != nil {
		return err
	}
	return settle(draft, to)
}

// copyTo writes a compact copy into a new file and looks it over. VACUUM INTO reads one state and blocks nobody
// (sqlite.org/lang_vacuum.html).
func (d *database) copyTo(ctx context.Context, to string) error {
	from, err := d.borrow(ctx, d.reader)
	if err != nil {
		return err
	}
	defer func() { d.reader.idle <- from }()
	if _, err := from.conn.ExecContext(ctx, "VACUUM INTO ?", to); err != nil {
		return classify(err, to)
	}
	c := newDatabase(to, 0)
	err = c.fill(ctx, c.writer, connection{write: true})
	if err == nil {
		err = c.write(ctx, func(t *txn) error {
			if _, err := t.exec("DELETE FROM opener"); err != nil {
				return err
			}
			return t.integrity()
		})
	}
	return errors.Join(err, classify(c.close(), to))
}

// keepCopy puts a copy of a file of an older format beside it before it is brought up to date.
func (s *Store) keepCopy(ctx context.Context, format int) error {
	for n := 1; n <= copiesMost; n++ {
		name := fmt.Sprintf("%s.format%d", s.place.path, format)
		if n > 1 {
			name += fmt.Sprintf(".%d", n)
		}
		err := s.Backup(ctx, name)
		if KindOf(err) == Exists {
			continue
		}
		return err
	}
	return &Error{Kind: Exists, Path: s.place.path, Text: fmt.Sprintf("there are %d copies of the older format beside the job already", copiesMost),
		Hint: "move some of them away"}
}
