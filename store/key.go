package store

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"unicode/utf8"

	"filippo.io/age"
)

// Way is a kind of key that opens the job's secrets.
type Way string

// The ways in.
const (
	ByPassphrase Way = "passphrase"
	ByKeyFile    Way = "keyfile"
)

// passphraseLeast is the shortest passphrase that is taken, in characters: NIST SP 800-63B section 5.1.1.2 asks eight of
// a secret that a person chooses. There are no rules about what it is made of, and no upper bound that a person meets.
const passphraseLeast = 8

// factorMost is the highest scrypt work factor that is tried when opening, so that a forged file cannot keep the machine
// busy for hours.
const factorMost = 22

// keyFileMost is the size in bytes up to which a key file is read.
const keyFileMost = 1 << 16

// Key is a passphrase or a key file. It never shows what it holds, however it is printed.
type Key struct {
	passphrase string
	identity   *age.X25519Identity
}

// Passphrase makes a key of what a person types.
func Passphrase(text string) (Key, error) {
	if !utf8.ValidString(text) || utf8.RuneCountInString(text) < passphraseLeast {
		return Key{}, invalid("the passphrase is too short; use at least %d characters, a few words are best", passphraseLeast)
	}
	return Key{passphrase: text}, nil
}

// NewKeyFile makes a key file: a random secret key that whoever holds the file can use. It is readable by its owner
// only and never written over.
func NewKeyFile(path string) (Key, error) {
	identity, err := age.GenerateX25519Identity()
	if err != nil {
		return Key{}, &Error{Kind: Broken, Text: "the random source gives nothing", Err: err}
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return Key{}, &Error{Kind: Exists, Path: path, Text: "a file of that name is there already", Hint: "choose another name"}
	}
	if err != nil {
		return Key{}, &Error{Kind: Denied, Path: path, Text: "the key file cannot be written", Err: err}
	}
	_, err = fmt.Fprintf(f, "# key file of a job; whoever has it can read the job's secrets\n# public key: %s\n%s\n",
		identity.Recipient(), identity)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return Key{}, &Error{Kind: Broken, Path: path, Text: "the key file cannot be written", Err: err}
	}
	return Key{identity: identity}, nil
}

// ReadKeyFile reads a key file: the first secret key in it; lines that begin with # are left out.
func ReadKeyFile(path string) (Key, error) {
	f, err := os.Open(path)
	if err != nil {
		return Key{}, &Error{Kind: Denied, Path: path, Text: "the key file cannot be read", Err: err}
	}
	defer f.Close()
	lines := bufio.NewScanner(io.LimitReader(f, keyFileMost))
	for lines.Scan() {
		line := strings.TrimSpace(lines.Text())
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		// The cause is left out: it could quote the line.
		identity, err := age.ParseX25519Identity(line)
		if err != nil {
			break
		}
		return Key{identity: identity}, nil
	}
	return Key{}, &Error{Kind: Invalid, Path: path, Text: "there is no secret key in this file", Hint: "choose the key file of the job"}
}

// Way tells which kind of key this is.
func (k Key) Way() Way {
	if k.identity != nil {
		return ByKeyFile
	}
	return ByPassphrase
}

// Format prints the kind of key for every verb, never the key.
func (k Key) Format(f fmt.State, _ rune) { _, _ = io.WriteString(f, string(k.Way())+" (not shown)") }

// MarshalText refuses to write a key.
func (k Key) MarshalText() ([]byte, error) { return nil, errors.New("a key is not written anywhere") }

// lock encrypts the job's secret key for this key.
func (k Key) lock(secret string, factor int) ([]byte, error) {
	if k.identity != nil {
		return encrypt([]byte(secret), k.identity.Recipient())
	}
	r, err := age.NewScryptRecipient(k.passphrase)
	if err != nil {
		return nil, invalid("the passphrase cannot be used")
	}
	r.SetWorkFactor(factor)
	return encrypt([]byte(secret), r)
}

// unlock decrypts the job's secret key.
func (k Key) unlock(locked []byte) (*age.X25519Identity, error) {
	wrong := &Error{Kind: Locked, Text: "the " + string(k.Way()) + " does not fit this job", Hint: "try another one"}
	var identity age.Identity = k.identity
	if k.identity == nil {
		s, err := age.NewScryptIdentity(k.passphrase)
		if err != nil {
			return nil, wrong
		}
		s.SetMaxWorkFactor(factorMost)
		identity = s
	}
	text, err := decrypt(locked, identity)
	if err != nil {
		return nil, wrong
	}
	found, err := age.ParseX25519Identity(string(text))
	if err != nil {
		return nil, torn("the job's secret key is damaged")
	}
	return found, nil
}

func encrypt(plain []byte, to age.Recipient) ([]byte, error) {
	var b bytes.Buffer
	w, err := age.Encrypt(&b, to)
	if err == nil {
		_, err = w.Write(plain)
		err = errors.Join(err, w.Close())
	}
	if err != nil {
		return nil, &Error{Kind: Broken, Text: "it cannot be sealed", Err: err}
	}
	return b.Bytes(), nil
}

func decrypt(sealed []byte, identity age.Identity) ([]byte, error) {
	r, err := age.Decrypt(bytes.NewReader(sealed), identity)
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}
