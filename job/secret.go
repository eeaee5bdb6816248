package job

import (
	"context"
	"fmt"
	"os"

	"wirewright/site"
	"wirewright/store"
)

// Keyhole says how the job's secrets are opened: by a key file, or by a passphrase.
type Keyhole struct {
	File       string // key file; made where it is not there and the job has no key yet
	Passphrase string
}

// unlock opens the job's secrets, and protects them the first time.
func (j *Job) unlock(ctx context.Context, k Keyhole) error {
	ways, err := j.store.Ways(ctx)
	if err != nil {
		return err
	}
	fresh := len(ways) == 0
	key, err := k.key(fresh)
	if err != nil {
		return err
	}
	if fresh {
		return j.store.Protect(ctx, key)
	}
	return j.store.Unlock(ctx, key)
}

func (k Keyhole) key(fresh bool) (store.Key, error) {
	switch {
	case k.Passphrase != "":
		return store.Passphrase(k.Passphrase)
	case k.File == "":
		return store.Key{}, &Error{Kind: Refused, Err: errNoKey, Hint: "name a key file with --key FILE; it is made the first time. Keep it apart from the job"}
	}
	if _, err := os.Stat(k.File); os.IsNotExist(err) && fresh {
		return store.NewKeyFile(k.File)
	}
	return store.ReadKeyFile(k.File)
}

// sealed is the job's store as site.Secrets.
type sealed struct {
	ctx context.Context
	s   *store.Store
}

// Seal implements site.Secrets.
func (s sealed) Seal(name, secret string) error {
	return s.s.Seal(s.ctx, name, store.NewSecretText(secret))
}

// Open implements site.Secrets.
func (s sealed) Open(name string) (string, error) {
	secret, err := s.s.Open(s.ctx, name)
	if store.KindOf(err) == store.Missing {
		return "", fmt.Errorf("%s: %w", name, site.ErrNoSecret)
	}
	return secret.Reveal(), err
}
