package store

import (
	"context"
	"encoding/hex"
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
		func() error { return t.eachEvidence("", nil, func(Evidence) error { return nil }) },
		func() error { return t.eachRecord("", nil, func(Record) error { return nil }) },
		func() error { return t.eachResult("", nil, func(Result) error { return nil }) },
		func() error { return t.attachments("", nil, func(Attachment) error { return nil }) },
		t.sealedSums,
	} {
		if err := look(); err != nil {
			return err
		}
	}
	return nil
}

// sealedSums reads what is sealed without opening it.
func (t *txn) sealedSums() error {
	if _, _, _, err := t.keypair(); err != nil {
		return err
	}
	for _, way := range []Way{ByPassphrase, ByKeyFile} {
		if _, err := t.keyhole(way); err != nil && KindOf(err) != Missing {
			return err
		}
	}
	return t.all("SELECT name, at, sealed, sum FROM secret", nil, func(scan func(...any) error) error {
		var name, at string
		var sealed []byte
		var sum int64
		if err := scan(&name, &at, &sealed, &sum); err != nil {
			return err
		}
		if newSum("secret").text(name, at).bytes(sealed).value() != sum {
			return torn("the sealed secret %q is damaged", name)
		}
		return nil
	})
}

// Verify looks the whole job over: every page, every row, the bytes of every attachment, and the chain of digests that
// binds each revision to all before it.
func (s *Store) Verify(ctx context.Context) error {
	return s.read(ctx, func(t *txn) error {
		if err := t.integrity(); err != nil {
			return err
		}
		if err := t.sums(); err != nil {
			return err
		}
		if err := t.blobs(); err != nil {
			return err
		}
		return t.chain()
	})
}

// blobs reads all attached bytes.
func (t *txn) blobs() error {
	var digests []string
	err := t.all("SELECT digest FROM blob ORDER BY digest", nil, func(scan func(...any) error) error {
		var digest []byte
		err := scan(&digest)
		digests = append(digests, hex.EncodeToString(digest))
		return err
	})
	for _, d := range digests {
		if err == nil {
			_, err = t.blob(d)
		}
	}
	return err
}

// chain computes the digest of every revision again.
func (t *txn) chain() error {
	newest, err := t.newest()
	if err != nil {
		return err
	}
	before, err := t.entry(0)
	if err != nil {
		return err
	}
	for rev := Rev(1); rev <= newest; rev++ {
		e, err := t.entry(rev)
		if err != nil {
			return err
		}
		rows, err := t.changed(rev)
		if err != nil {
			return err
		}
		was := e.Digest
		if e.seal(before.digest, rows); e.Digest != was {
			return torn("revision %d is not what its digest says", rev)
		}
		before = e
	}
	return nil
}
