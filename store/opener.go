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

// announce sweeps openers that are gone, notes the others and enters this one.
func (s *Store) announce(ctx context.Context) error {
	token := make([]byte, 12)
	if _, err := io.ReadFull(s.opt.Rand, token); err != nil {
		return &Error{Kind: Broken, Text: "the random source gives nothing", Err: err}
	}
	host, err := os.Hostname()
	if err != nil {
		host = "unknown"
	}
	return s.db.write(ctx, func(t *txn) error {
		gone, err := s.listOthers(t, host)
		if err != nil {
			return err
		}
		for _, g := range gone {
			if _, err := t.exec("DELETE FROM opener WHERE token = ?", g); err != nil {
				return err
			}
		}
		if s.opt.Alone && len(s.others) > 0 {
			o := s.others[0]
			return &Error{Kind: Busy, Path: s.place.path, Text: "the job is open already: " + o.String(), Hint: "close it there first"}
		}
		s.token = hex.EncodeToString(token)
		_, err = t.exec("INSERT INTO opener (token, path, host, pid, who, since) VALUES (?, ?, ?, ?, ?, ?)",
			s.token, s.place.path, host, os.Getpid(), s.opt.Who, stamp(s.opt.Now()))
		return err
	})
}

// findOthers notes the others without entering this one.
func (s *Store) findOthers(ctx context.Context) error {
	host, err := os.Hostname()
	if err != nil {
		host = "unknown"
	}
	return s.db.read(ctx, func(t *txn) error {
		_, err := s.listOthers(t, host)
		return err
	})
}

// listOthers fills s.others and answers the tokens of openers that are gone: programs that run no more, and openers of
// the file at another place, which a copy of it brings along.
func (s *Store) listOthers(t *txn, host string) (gone []string, err error) {
	err = t.all("SELECT token, path, host, pid, who, since FROM opener ORDER BY since, token", nil, func(scan func(...any) error) error {
		var token, path, since string
		var o Opener
		if err := scan(&token, &path, &o.Host, &o.PID, &o.Who, &since); err != nil {
			return err
		}
		here := o.Host == host
		if path != s.place.path || here && !running(o.PID) {
			gone = append(gone, token)
			return nil
		}
		o.Sure = here
		if o.Since, err = unstamp(since); err != nil {
			return err
		}
		s.others = append(s.others, o)
		return nil
	})
	return gone, err
}

// leave takes this opener's row away again.
func (s *Store) leave() error {
	if s.token == "" || s.here() != nil {
		return nil
	}
	token := s.token
	s.token = ""
	return s.db.write(context.Background(), func(t *txn) error {
		_, err := t.exec("DELETE FROM opener WHERE token = ?", token)
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
