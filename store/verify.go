package store

import (
	"context"
	"fmt"
)

// inspect answers the format of the file and refuses one that is not as a job of its format must be. With whole, every
// page and every row but the bytes of attachments is read and compared with its checksum.
func (d *database) inspect(ctx context.Context, list []migration, whole bool) (int, error) {
	have, err := d.format(ctx, d.reader)
	if err != nil {
		return 0, err
	}
	if have > len(list) {
		return 0, newer(d.path, have, len(list))
	}
	want, err := expectedPrint(ctx, list, have)
	if err != nil {
		return 0, err
	}
	return have, d.read(ctx, func(t *txn) error {
		print, err := t.schemaPrint()
		if err != nil {
			return err
		}
		if print != want || have == 0 {
			return &Error{Kind: Torn, Path: d.path, Text: fmt.Sprintf("the tables in this file are not those of a job of format %d", have),
				Hint: "take the newest backup copy; this file was not touched"}
		}
		if !whole {
			return nil
		}
		if err := t.integrity(); err != nil {
			return err
		}
		return t.sums()
	})
}

// integrity asks SQLite to look over every page.
func (t *txn) integrity() error {
	var found string
	if _, err := t.one("PRAGMA integrity_check(1)", nil, &found); err != nil {
		return err
	}
	if found != "ok" {
		return torn("the job file is damaged (%s)", found)
	}
	return nil
}

// sums reads every row with a checksum once.
func (t *txn) sums() error {
	for _, look := range []func() error{
		func() error { return t.eachVersion(func(version) error { return nil }) },
		func() error { return t.eachEntry("", nil, func(Entry) error { return nil }) },
	} {
		if err := look(); err != nil {
			return err
		}
	}
	return nil
}
