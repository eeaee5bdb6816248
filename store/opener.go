package store

import (
	"context"
	"encoding/hex"
	"io"
	"os"
	"time"
)

// Opener is somebody who has the job open.
type Opener struct {
	Who   string    // as they named themselves
	Host  string    // the machine
	PID   int       // the program on that machine
	Since time.Time // when they opened it
	Sure  bool      // the program was seen running just now; on another machine that cannot be seen
}

// Others tells who else had the job open when this store opened it. Several may work on one job; the newest revision
// decides between their edits.
func (s *Store) Others() []Opener { return s.others }

// Openers tells who else has the job open now.
func (s *Store) Openers(ctx context.Context) (others []Opener, err error) {
	err = s.read(ctx, func(t *txn) error {
		others, _, err = s.openers(t)
		return err
	})
	return others, err
}

// announce sweeps openers that are gone, notes the others and enters this one.
func (s *Store) announce(ctx context.Context) error {
	b := make([]byte, 12)
	if _, err := io.ReadFull(s.opt.Rand, b); err != nil {
		return &Error{Kind: Broken, Text: "the random source gives nothing", Err: err}
	}
	token := hex.EncodeToString(b)
	err := s.db.write(ctx, func(t *txn) error {
		others, gone, err := s.openers(t)
		if err != nil {
			return err
		}
		for _, g := range gone {
			if _, err := t.exec(sqlOpenerDrop, g); err != nil {
				return err
			}
		}
		if s.opt.Alone && len(others) > 0 {
			return &Error{Kind: Busy, Path: s.place.path, Text: "the job is open already: " + others[0].String(), Hint: "close it there first"}
		}
		s.others = others
		_, err = t.exec(sqlOpenerPut, token, s.place.path, hostName(), os.Getpid(), s.opt.Who, stamp(s.opt.Now()))
		return err
	})
	if err == nil {
		s.token = token
	}
	return err
}

const (
	sqlOpeners    = "SELECT token, path, host, pid, who, since FROM opener ORDER BY since, token"
	sqlOpenerPut  = "INSERT INTO opener (token, path, host, pid, who, since) VALUES (?, ?, ?, ?, ?, ?)"
	sqlOpenerDrop = "DELETE FROM opener WHERE token = ?"
)

// hostName names this machine; where it has no name, all openers seem to be on one.
func hostName() string {
	host, err := os.Hostname()
	if err != nil {
		return "this machine"
	}
	return host
}

// openers lists who else has the job open, and the tokens of openers that are gone: programs that run no more, and
// openers of the file at another place, which a copy of it brings along.
func (s *Store) openers(t *txn) (others []Opener, gone []string, err error) {
	host := hostName()
	err = t.all(sqlOpeners, nil, func(scan func(...any) error) error {
		var token, path, since string
		var o Opener
		if err := scan(&token, &path, &o.Host, &o.PID, &o.Who, &since); err != nil || token == s.token {
			return err
		}
		o.Sure = o.Host == host
		if path != s.place.path || o.Sure && !running(o.PID) {
			gone = append(gone, token)
			return nil
		}
		when, err := unstamp(since)
		o.Since = when
		others = append(others, o)
		return err
	})
	return others, gone, err
}

// leave takes this opener's row away again.
func (s *Store) leave() error {
	if s.token == "" || s.here(stepNotDone) != nil {
		return nil
	}
	return s.db.write(context.Background(), func(t *txn) error {
		_, err := t.exec(sqlOpenerDrop, s.token)
		return err
	})
}

// String says who it is in a few words.
func (o Opener) String() string {
	who := o.Who
	if who == "" {
		who = "somebody"
	}
	text := who + " on " + o.Host + " since " + o.Since.Format("2006-01-02 15:04 MST")
	if !o.Sure {
		text += " (whether still cannot be seen from here)"
	}
	return text
}
