package store

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"filippo.io/age"
)

// Secret is a password, a key or the like. It never shows what it holds, however it is printed; Reveal does.
type Secret struct{ text string }

// NewSecretText makes a Secret of what a person or a program brought.
func NewSecretText(text string) Secret { return Secret{text} }

// Reveal gives the text itself, for the one place that needs it.
func (s Secret) Reveal() string { return s.text }

// Format prints that it is a secret for every verb, never the secret.
func (s Secret) Format(f fmt.State, _ rune) { _, _ = io.WriteString(f, "secret (not shown)") }

// MarshalText refuses to write a secret.
func (s Secret) MarshalText() ([]byte, error) {
	return nil, errors.New("a secret is not written anywhere but sealed")
}

// What a secret that NewSecret makes is like. Wi-Fi takes 8 to 63 characters (IEEE 802.11, pass-phrase).
const (
	SecretLeast   = 8  // characters
	SecretMost    = 63 // characters
	SecretDefault = 16 // characters: 92.9 bits

	// alphabet leaves out what looks alike: 0 O o, 1 l I. 56 characters, 5.807 bits each.
	alphabet = "23456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnpqrstuvwxyz"
)

const (
	drawsMost    = 64 // bytes drawn for one character before the random source is given up
	triesMost    = 16 // secrets made before the random source is given up
	paddingStep  = 64
	secretLimit  = 1 << 16
	sqlSeal      = "INSERT INTO secret (name, at, sealed, sum) VALUES (?, ?, ?, ?) ON CONFLICT (name) DO UPDATE SET at = excluded.at, sealed = excluded.sealed, sum = excluded.sum"
	sqlIssue     = "INSERT INTO issued (tag) VALUES (?) ON CONFLICT (tag) DO NOTHING"
	sqlKeyhole   = "INSERT INTO keyhole (way, locked, sum) VALUES (?, ?, ?) ON CONFLICT (way) DO UPDATE SET locked = excluded.locked, sum = excluded.sum"
	sqlKeypair   = "INSERT INTO keypair (one, recipient, tagkey, sum) VALUES (1, ?, ?, ?)"
	sqlKeypairOf = "SELECT recipient, tagkey, sum FROM keypair WHERE one = 1"
)

// jobKey is the unlocked key pair of a job with the key of the hashes that tell whether a secret was there before.
type jobKey struct {
	identity *age.X25519Identity
	tagKey   []byte
}

// Protect sets how the job's secrets are opened. The first call makes the job's key pair and leaves it unlocked; later
// ones add another way in or replace the passphrase or key file, and need the secrets unlocked.
func (s *Store) Protect(ctx context.Context, k Key) error {
	s.secrets.Lock()
	defer s.secrets.Unlock()
	key := s.key
	made := key == nil
	if made {
		var err error
		if key, err = s.makeKey(); err != nil {
			return err
		}
	}
	locked, err := k.lock(key.identity.String(), s.opt.WorkFactor)
	if err != nil {
		return err
	}
	err = s.write(ctx, func(t *txn) error {
		if made {
			if err := t.putKeypair(key); err != nil {
				return err
			}
		}
		_, err := t.exec(sqlKeyhole, string(k.Way()), locked, newSum("keyhole").text(string(k.Way())).bytes(locked).value())
		return err
	})
	if err != nil {
		return err
	}
	s.key = key
	s.settleLog() // the lock that it replaces goes from the write-ahead log too
	return nil
}

func (s *Store) makeKey() (*jobKey, error) {
	identity, err := age.GenerateX25519Identity()
	if err != nil {
		return nil, &Error{Kind: Broken, Text: "the random source gives nothing", Err: err}
	}
	tagKey := make([]byte, sha256.Size)
	if _, err := io.ReadFull(s.opt.Rand, tagKey); err != nil {
		return nil, &Error{Kind: Broken, Text: "the random source gives nothing", Err: err}
	}
	return &jobKey{identity: identity, tagKey: tagKey}, nil
}

func (t *txn) putKeypair(key *jobKey) error {
	_, _, found, err := t.keypair()
	if err != nil {
		return err
	}
	if found {
		return locked()
	}
	tagKey, err := encrypt(key.tagKey, key.identity.Recipient())
	if err != nil {
		return err
	}
	recipient := key.identity.Recipient().String()
	_, err = t.exec(sqlKeypair, recipient, tagKey, newSum("keypair").text(recipient).bytes(tagKey).value())
	return err
}

func (t *txn) keypair() (recipient string, tagKey []byte, found bool, err error) {
	var sum int64
	found, err = t.one(sqlKeypairOf, nil, &recipient, &tagKey, &sum)
	if err == nil && found && newSum("keypair").text(recipient).bytes(tagKey).value() != sum {
		err = torn("the job's key pair is damaged")
	}
	return recipient, tagKey, found, err
}

// Unlock opens the secrets until Lock or Close.
func (s *Store) Unlock(ctx context.Context, k Key) error {
	var recipient string
	var sealedTag, hole []byte
	err := s.read(ctx, func(t *txn) error {
		var found bool
		var err error
		if recipient, sealedTag, found, err = t.keypair(); err != nil {
			return err
		}
		if !found {
			return missing("this job has no passphrase or key file yet; set one first")
		}
		hole, err = t.keyhole(k.Way())
		return err
	})
	if err != nil {
		return err
	}
	identity, err := k.unlock(hole)
	if err != nil {
		return err
	}
	tagKey, err := decrypt(sealedTag, identity)
	if err != nil || identity.Recipient().String() != recipient {
		return torn("the job's key pair is damaged")
	}
	s.secrets.Lock()
	defer s.secrets.Unlock()
	s.key = &jobKey{identity: identity, tagKey: tagKey}
	return nil
}

func (t *txn) keyhole(way Way) (hole []byte, err error) {
	var sum int64
	found, err := t.one("SELECT locked, sum FROM keyhole WHERE way = ?", []any{string(way)}, &hole, &sum)
	if err != nil {
		return nil, err
	}
	if !found {
		return nil, missing("no %s opens this job's secrets", way)
	}
	if newSum("keyhole").text(string(way)).bytes(hole).value() != sum {
		return nil, torn("the job's %s lock is damaged", way)
	}
	return hole, nil
}

// Ways lists the ways in that were set.
func (s *Store) Ways(ctx context.Context) (list []Way, err error) {
	err = s.read(ctx, func(t *txn) error {
		list = nil
		return t.all("SELECT way FROM keyhole ORDER BY way", nil, func(scan func(...any) error) error {
			var w Way
			err := scan(&w)
			list = append(list, w)
			return err
		})
	})
	return list, err
}

// Lock forgets the unlocked key.
func (s *Store) Lock() {
	s.secrets.Lock()
	defer s.secrets.Unlock()
	s.key = nil
}

// unlocked gives the key while it is unlocked.
func (s *Store) unlocked() (*jobKey, error) {
	s.secrets.Lock()
	defer s.secrets.Unlock()
	if s.key == nil {
		return nil, locked()
	}
	return s.key, nil
}

func locked() error {
	return &Error{Kind: Locked, Text: "the job's secrets are locked", Hint: "give the passphrase or the key file"}
}

// Seal keeps a secret under a name, in place of an earlier one of that name. Only sealed bytes reach the disk.
func (s *Store) Seal(ctx context.Context, name string, secret Secret) error {
	key, err := s.unlocked()
	if err != nil {
		return err
	}
	if name == "" || len(name) > nameMost || !utf8.ValidString(name) || strings.ContainsFunc(name, func(r rune) bool { return r < ' ' }) {
		return invalid("%q cannot be the name of a secret; use up to %d bytes of text on one line", name, nameMost)
	}
	if secret.text == "" || len(secret.text) > secretLimit {
		return invalid("the secret for %q is empty or longer than %d bytes", name, secretLimit)
	}
	sealed, err := encrypt(pad(name, secret.text), key.identity.Recipient())
	if err != nil {
		return err
	}
	at := stamp(s.opt.Now())
	err = s.write(ctx, func(t *txn) error {
		if _, err := t.exec(sqlIssue, key.tag(secret.text)); err != nil {
			return err
		}
		_, err := t.exec(sqlSeal, name, at, sealed, newSum("secret").text(name, at).bytes(sealed).value())
		return err
	})
	if err == nil {
		s.settleLog() // the one that it replaces goes from the write-ahead log too
	}
	return err
}

// Open gives a secret by its name.
func (s *Store) Open(ctx context.Context, name string) (Secret, error) {
	key, err := s.unlocked()
	if err != nil {
		return Secret{}, err
	}
	var at string
	var sealed []byte
	err = s.read(ctx, func(t *txn) error {
		var sum int64
		found, err := t.one("SELECT at, sealed, sum FROM secret WHERE name = ?", []any{name}, &at, &sealed, &sum)
		switch {
		case err != nil:
			return err
		case !found:
			return missing("there is no secret %q", name)
		case newSum("secret").text(name, at).bytes(sealed).value() != sum:
			return torn("the sealed secret %q is damaged", name)
		}
		return nil
	})
	if err != nil {
		return Secret{}, err
	}
	plain, err := decrypt(sealed, key.identity)
	if err != nil {
		return Secret{}, torn("the sealed secret %q is damaged", name)
	}
	text, ok := unpad(name, plain)
	if !ok {
		return Secret{}, torn("what is sealed as %q belongs to another name", name)
	}
	return Secret{text}, nil
}

// SecretNames lists the names of the secrets; it needs no key.
func (s *Store) SecretNames(ctx context.Context) (list []string, err error) {
	err = s.read(ctx, func(t *txn) error {
		list = nil
		return t.all("SELECT name FROM secret ORDER BY name", nil, func(scan func(...any) error) error {
			var name string
			err := scan(&name)
			list = append(list, name)
			return err
		})
	})
	return list, err
}

// Forget removes a secret from the file for good: its place is overwritten. Copies made earlier still hold it.
func (s *Store) Forget(ctx context.Context, name string) error {
	err := s.write(ctx, func(t *txn) error {
		n, err := t.exec("DELETE FROM secret WHERE name = ?", name)
		if err == nil && n == 0 {
			err = missing("there is no secret %q", name)
		}
		return err
	})
	if err == nil {
		s.settleLog()
	}
	return err
}

// NewSecret makes a random secret of so many characters (SecretLeast to SecretMost), drawn evenly from an alphabet
// without look-alikes, and never one that this job has had before (ETSI EN 303 645 provision 5.1-1: unique to the
// device; 5.1-2: not guessable from its data). It is not kept: Seal does that.
func (s *Store) NewSecret(ctx context.Context, length int) (Secret, error) {
	if length < SecretLeast || length > SecretMost {
		return Secret{}, invalid("a secret has %d to %d characters, not %d", SecretLeast, SecretMost, length)
	}
	key, err := s.unlocked()
	if err != nil {
		return Secret{}, err
	}
	var made Secret
	err = s.write(ctx, func(t *txn) error {
		for range triesMost {
			text, err := draw(s.opt.Rand, length)
			if err != nil {
				return err
			}
			fresh, err := t.exec(sqlIssue, key.tag(text))
			if err != nil {
				return err
			}
			if fresh == 1 {
				made = Secret{text}
				return nil
			}
		}
		return &Error{Kind: Broken, Text: "the random source repeats itself", Hint: "use the system's random source"}
	})
	return made, err
}

// draw draws characters evenly: a byte at or above the largest multiple of the alphabet's size is thrown away, since
// taking it in would favour the first letters.
func draw(random io.Reader, length int) (string, error) {
	limit := byte(256 / len(alphabet) * len(alphabet))
	text := make([]byte, 0, length)
	var one [1]byte
	for range length * drawsMost {
		if _, err := io.ReadFull(random, one[:]); err != nil {
			return "", &Error{Kind: Broken, Text: "the random source gives nothing", Err: err}
		}
		if one[0] >= limit {
			continue
		}
		text = append(text, alphabet[int(one[0])%len(alphabet)])
		if len(text) == length {
			return string(text), nil
		}
	}
	return "", &Error{Kind: Broken, Text: "the random source gives nothing useful", Hint: "use the system's random source"}
}

// tag is the keyed hash by which a secret is known again. Its key is sealed, so that the file alone cannot be used to
// try out guesses.
func (k *jobKey) tag(secret string) []byte {
	h := hmac.New(sha256.New, k.tagKey)
	io.WriteString(h, secret)
	return h.Sum(nil)
}

// pad puts name and secret together, so that sealed bytes cannot be moved to another name, and fills up with zeros, so
// that their length does not tell the secret's.
func pad(name, secret string) []byte {
	b := binary.AppendUvarint(nil, uint64(len(name)))
	b = append(b, name...)
	b = binary.AppendUvarint(b, uint64(len(secret)))
	b = append(b, secret...)
	return append(b, make([]byte, (paddingStep-len(b)%paddingStep)%paddingStep)...)
}

// unpad takes the secret out again; false where it was sealed under another name.
func unpad(name string, plain []byte) (string, bool) {
	var parts [2]string
	for i := range parts {
		n, used := binary.Uvarint(plain)
		if used <= 0 || n > uint64(len(plain)-used) {
			return "", false
		}
		parts[i], plain = string(plain[used:used+int(n)]), plain[used+int(n):]
	}
	return parts[1], parts[0] == name
}
