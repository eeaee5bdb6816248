package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"mime"
	"strings"
	"time"
	"unicode/utf8"
)

// AttachmentMost is the size in bytes up to which something may be attached.
const AttachmentMost = 256 << 20

// Attachment is a file kept with the job: a picture, a model, a signed record.
type Attachment struct {
	Name   string    `json:"name"`  // a file name, with / between folders; unique in the job, capitals apart
	Media  string    `json:"media"` // media type (RFC 6838), "image/png"
	Who    string    `json:"who,omitempty"`
	When   time.Time `json:"at"` // the clock of the store where zero
	Note   string    `json:"note,omitempty"`
	Digest string    `json:"digest"` // SHA-256 of the bytes in hexadecimal; filled in by the store
	Data   []byte    `json:"-"`      // left out in lists
}

const (
	sqlBlobPut    = "INSERT INTO blob (digest, data) VALUES (?, ?) ON CONFLICT (digest) DO NOTHING"
	sqlBlobGet    = "SELECT data FROM blob WHERE digest = ?"
	sqlBlobSweep  = "DELETE FROM blob WHERE digest = ?1 AND NOT EXISTS (SELECT 1 FROM attachment WHERE digest = ?1) AND NOT EXISTS (SELECT 1 FROM evidence WHERE proof = ?1)"
	sqlAttach     = "INSERT INTO attachment (name, fold, media, digest, at, who, note, sum) VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
	sqlAttachment = "SELECT name, media, digest, at, who, note, sum FROM attachment "
	sqlDetach     = "DELETE FROM attachment WHERE name = ?"
)

// Attach keeps a file with the job and answers its digest. The same bytes are stored once, however often and under
// whatever names they are attached. A name that stands for other bytes already is refused.
func (s *Store) Attach(ctx context.Context, a Attachment) (digest string, err error) {
	if a.When.IsZero() {
		a.When = s.opt.Now()
	}
	if err := checkAttachment(a); err != nil {
		return "", err
	}
	return a.digest(), s.write(ctx, func(t *txn) error { return t.attach(a) })
}

func (t *txn) attach(a Attachment) error {
	sum := sha256.Sum256(a.Data)
	fold := strings.ToLower(a.Name)
	var name string
	var had []byte
	found, err := t.one("SELECT name, digest FROM attachment WHERE fold = ?", []any{fold}, &name, &had)
	switch {
	case err != nil:
		return err
	case found && name == a.Name && bytes.Equal(had, sum[:]): // the same once more, perhaps with other words
		if _, err := t.exec(sqlDetach, name); err != nil {
			return err
		}
	case found:
		return &Error{Kind: Exists, Text: "something else is attached as " + name, Hint: "choose another name, or detach it first"}
	}
	if err := t.putBlob(a.Data); err != nil {
		return err
	}
	a.Digest = string(sum[:])
	_, err = t.exec(sqlAttach, a.Name, fold, a.Media, sum[:], stamp(a.When), a.Who, a.Note, a.sum())
	return err
}

// checkAttachment refuses what could not be stored or given back.
func checkAttachment(a Attachment) error {
	if err := checkName(a.Name); err != nil {
		return err
	}
	if len(a.Data) > AttachmentMost {
		return invalid("%s has %d bytes; the most that can be attached is %d", a.Name, len(a.Data), AttachmentMost)
	}
	if _, _, err := mime.ParseMediaType(a.Media); err != nil || !strings.Contains(a.Media, "/") {
		return invalid("%s: %q is no media type; give one such as image/png", a.Name, a.Media)
	}
	if !utf8.ValidString(a.Who) || !utf8.ValidString(a.Note) || !utf8.ValidString(a.Media) {
		return invalid("%s: the words that go with it are not valid UTF-8 text", a.Name)
	}
	return checkTime(a.When)
}

func (a Attachment) digest() string {
	sum := sha256.Sum256(a.Data)
	return hex.EncodeToString(sum[:])
}

// sum is the checksum of the row; Digest holds the raw bytes here.
func (a Attachment) sum() int64 {
	return newSum("attachment").text(a.Name, a.Media, a.Digest, stamp(a.When), a.Who, a.Note).value()
}

// Attachments lists what is attached, by name, without the bytes.
func (s *Store) Attachments(ctx context.Context) (list []Attachment, err error) {
	err = s.read(ctx, func(t *txn) error {
		return t.attachments("ORDER BY name", nil, func(a Attachment) error {
			list = append(list, a)
			return nil
		})
	})
	return list, err
}

// Attachment gives one attachment with its bytes, which are compared with their digest.
func (s *Store) Attachment(ctx context.Context, name string) (a Attachment, err error) {
	err = s.read(ctx, func(t *txn) error {
		err := t.attachments("WHERE name = ?", []any{name}, func(found Attachment) error {
			a = found
			return nil
		})
		if err != nil {
			return err
		}
		if a.Name == "" {
			return missing("nothing is attached as %q", name)
		}
		a.Data, err = t.blob(a.Digest)
		return err
	})
	return a, err
}

// Blob gives bytes by their digest: those of an attachment, or those that evidence rests on.
func (s *Store) Blob(ctx context.Context, digest string) (data []byte, err error) {
	err = s.read(ctx, func(t *txn) error {
		data, err = t.blob(digest)
		return err
	})
	return data, err
}

// Detach removes an attachment. Its bytes go with it unless another attachment or evidence needs them.
func (s *Store) Detach(ctx context.Context, name string) error {
	return s.write(ctx, func(t *txn) error {
		var digest []byte
		found, err := t.one("SELECT digest FROM attachment WHERE name = ?", []any{name}, &digest)
		if err != nil {
			return err
		}
		if !found {
			return missing("nothing is attached as %q", name)
		}
		if _, err := t.exec(sqlDetach, name); err != nil {
			return err
		}
		_, err = t.exec(sqlBlobSweep, digest)
		return err
	})
}

func (t *txn) attachments(where string, args []any, f func(Attachment) error) error {
	return t.all(sqlAttachment+where, args, func(scan func(...any) error) error {
		var a Attachment
		var at string
		var digest []byte
		var sum int64
		if err := scan(&a.Name, &a.Media, &digest, &at, &a.Who, &a.Note, &sum); err != nil {
			return err
		}
		var err error
		if a.When, err = unstamp(at); err != nil {
			return err
		}
		a.Digest = string(digest)
		if a.sum() != sum {
			return torn("the entry of attachment %s is damaged", a.Name)
		}
		a.Digest = hex.EncodeToString(digest)
		return f(a)
	})
}

// putBlob stores bytes once.
func (t *txn) putBlob(data []byte) error {
	sum := sha256.Sum256(data)
	if data == nil {
		data = []byte{}
	}
	_, err := t.exec(sqlBlobPut, sum[:], data)
	return err
}

// blob reads bytes and compares them with their digest.
func (t *txn) blob(digest string) ([]byte, error) {
	key, err := hex.DecodeString(digest)
	if err != nil || len(key) != sha256.Size {
		return nil, invalid("%q is no digest; it has 64 hexadecimal digits", digest)
	}
	data := []byte{}
	found, err := t.one(sqlBlobGet, []any{key}, &data)
	if err != nil {
		return nil, err
	}
	if !found {
		return nil, missing("there are no bytes with the digest %s", digest)
	}
	if sum := sha256.Sum256(data); !bytes.Equal(sum[:], key) {
		return nil, torn("the bytes with the digest %s are damaged", digest)
	}
	return data, nil
}
