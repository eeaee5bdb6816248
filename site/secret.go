package site

import (
	"errors"
	"fmt"
	"io"
	"sync"

	"wirewright/site/field/mqtt"
	"wirewright/site/wire"
)

// Secrets keeps secrets sealed; package store implements it. Names are "module/<controller>", "network", "site".
type Secrets interface {
	// Seal keeps a secret under a name, in place of one before.
	Seal(name, secret string) error
	// Open gives back what was sealed; the error is ErrNoSecret where there is none.
	Open(name string) (string, error)
}

// ErrNoSecret is what Open answers where nothing was sealed.
var ErrNoSecret = errors.New("no such secret")

// SecretLength is how many characters a new secret has; secretLeast is the least that is ever made.
const (
	SecretLength = 16
	secretLeast  = 8
)

// secretLetters leaves out what is easily mistaken when a person must read it: 0 O o, 1 l I. Sixteen of these 56 letters
// are 92 bits (NIST SP 800-63B asks for 64 of a secret that may do without a throttle).
const secretLetters = "ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnpqrstuvwxyz23456789"

// NewSecret makes a secret of n characters from the system's random source, which the caller passes in.
func NewSecret(random io.Reader, n int) (string, error) {
	if n < secretLeast {
		return "", fmt.Errorf("a secret of %d characters is too short: at least %d", n, secretLeast)
	}
	// Bytes from the largest multiple of the alphabet on are thrown away, so that every letter is equally likely. A
	// source that gives only such bytes is broken; the bound finds that out.
	const fair = 256 / len(secretLetters) * len(secretLetters)
	out := make([]byte, 0, n)
	buf := make([]byte, 1)
	for tries := 0; len(out) < n; tries++ {
		if tries > 100*n {
			return "", errors.New("the random source repeats itself")
		}
		if _, err := io.ReadFull(random, buf); err != nil {
			return "", fmt.Errorf("random source: %w", err)
		}
		if int(buf[0]) < fair {
			out = append(out, secretLetters[int(buf[0])%len(secretLetters)])
		}
	}
	return string(out), nil
}

// moduleSecret is the name under which a controller's secret is sealed.
func moduleSecret(id string) string { return "module/" + id }

// The names of the other secrets.
const (
	networkSecret = "network" // password of the Wi-Fi network
	siteSecret    = "site"    // secret of the commissioning side for the broker
)

// secretFor opens the secret of a name, or makes and seals one that no controller of the plan has.
func secretFor(p *Plan, s Secrets, random io.Reader, name string) (string, error) {
	secret, err := s.Open(name)
	if !errors.Is(err, ErrNoSecret) {
		return secret, err
	}
	if secret, err = NewSecret(random, SecretLength); err != nil {
		return "", err
	}
	names := []string{networkSecret, siteSecret}
	for i := range p.Controllers {
		names = append(names, moduleSecret(p.Controllers[i].ID))
	}
	for _, other := range names {
		if used, err := s.Open(other); err == nil && used == secret {
			return "", fmt.Errorf("the random source gave the secret of %s again: it is broken", other)
		}
	}
	return secret, s.Seal(name, secret)
}

// Accounts lets in who stands in the plan and has its sealed secret. It implements mqtt.Accounts.
type Accounts struct {
	plan    *Plan
	secrets Secrets

	mu     sync.Mutex
	opened map[string]mqtt.Account
}

// NewAccounts makes the accounts of a plan, and the secret of the commissioning side where there is none yet.
func NewAccounts(p *Plan, s Secrets, random io.Reader) (*Accounts, error) {
	if _, err := secretFor(p, s, random, siteSecret); err != nil {
		return nil, err
	}
	return &Accounts{plan: p, secrets: s, opened: map[string]mqtt.Account{}}, nil
}

// Account implements mqtt.Accounts.
func (a *Accounts) Account(user string) (mqtt.Account, bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if v, ok := a.opened[user]; ok {
		return v, true
	}
	name := siteSecret
	if user != wire.SiteUser {
		if a.plan.Controller(user) == nil {
			return mqtt.Account{}, false
		}
		name = moduleSecret(user)
	}
	secret, err := a.secrets.Open(name)
	if err != nil {
		return mqtt.Account{}, false
	}
	a.opened[user] = mqtt.Account{Secret: secret}
	return a.opened[user], true
}

// Forget opens the secret of a user anew the next time: after it was changed.
func (a *Accounts) Forget(user string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	delete(a.opened, user)
}
