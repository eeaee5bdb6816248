package store

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// Options say how a job is opened. The zero value is right for a person at work. Now and Rand are called by whichever
// goroutine is at work.
type Options struct {
	Now  func() time.Time // the clock; the machine's where nil
	Rand io.Reader        // the random source for secrets and tokens; the system's where nil
	Who  string           // how the opener is named to others who open the same job

	ReadOnly  bool // nothing is written, not even that the job is open
	Alone     bool // refuse to open while another program has the job open
	Unchecked bool // leave out the look over the whole file; for measuring and for files that were looked over just now

	WorkFactor int // scrypt work factor (log2 N) for a passphrase; 18 where 0
	MaxPages   int // the file may not grow over so many pages of 4096 bytes; 0 is no limit
}

// Store is one open job. Its methods may be called from several goroutines and the same file may be open in several
// programs: readers see one state, and of several writers on the same revision exactly one wins.
type Store struct {
	db     *database
	place  place
	opt    Options
	token  string // names this opening in the table of openers; set once
	others []Opener
	ended  sync.Once

	secrets sync.Mutex
	key     *jobKey // nil while locked
}

// Create makes a new job file and opens it. The file appears under its name only when it is complete.
func Create(ctx context.Context, path string, opt Options) (*Store, error) {
	return create(ctx, path, opt, nil)
}

// Open opens a job. A file that is no job, is torn, or comes from a newer program is refused whole and is not touched; a
// file of an older format is brought up to date after a copy of it was put beside it.
func Open(ctx context.Context, path string, opt Options) (*Store, error) {
	return open(ctx, path, opt, nil)
}

// create is Create with the migrations to use, nil for the built-in ones.
func create(ctx context.Context, path string, opt Options, list []migration) (*Store, error) {
	list, path, opt, err := prepare(path, opt, list)
	if err != nil {
		return nil, err
	}
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return nil, &Error{Kind: Exists, Path: path, Text: "a file of that name is there already",
			Hint: "open it, or choose another name"}
	}
	draft, err := draftName(path, opt.Rand)
	if err != nil {
		return nil, err
	}
	defer removeDraft(draft)
	if err := makeEmpty(ctx, draft, list); err != nil {
		return nil, err
	}
	if err := settle(draft, path); err != nil {
		return nil, err
	}
	return open(ctx, path, opt, list)
}

// makeEmpty writes an empty job of the newest format.
func makeEmpty(ctx context.Context, path string, list []migration) error {
	d := newDatabase(path, 0)
	err := d.fill(ctx, d.writer, connection{write: true, create: true})
	if err == nil {
		err = d.migrate(ctx, list)
	}
	return errors.Join(err, classify(d.close(), path))
}

// prepare fills in the defaults.
func prepare(path string, opt Options, list []migration) ([]migration, string, Options, error) {
	if opt.Now == nil {
		opt.Now = time.Now
	}
	if opt.Rand == nil {
		opt.Rand = rand.Reader
	}
	if opt.WorkFactor == 0 {
		opt.WorkFactor = 18
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, path, opt, &Error{Kind: Invalid, Path: path, Text: "this is no usable path", Err: err}
	}
	if kind := shared(abs); kind != "" {
		return nil, abs, opt, &Error{Kind: Denied, Path: abs, Text: "the job lies on a network share (" + kind +
			"), where an edit cannot be stored safely", Hint: "copy it to a disk of this machine"}
	}
	if list == nil {
		list, err = migrations()
	}
	return list, abs, opt, err
}

// open is Open with the migrations to use, nil for the built-in ones.
func open(ctx context.Context, path string, opt Options, list []migration) (*Store, error) {
	list, path, opt, err := prepare(path, opt, list)
	if err != nil {
		return nil, err
	}
	have, err := probe(path)
	if err != nil {
		return nil, err
	}
	if have > len(list) {
		return nil, newer(path, have, len(list))
	}
	info, err := os.Stat(path)
	if err != nil {
		return nil, &Error{Kind: Denied, Path: path, Text: "the job file cannot be looked at", Err: err}
	}
	s := &Store{opt: opt, place: place{path: path, info: info}, db: newDatabase(path, readers)}
	if err := s.start(ctx, list); err != nil {
		_ = s.db.close() // the first error is the one to tell
		return nil, classify(err, path)
	}
	return s, nil
}

// start looks the file over through readers only, and lets a writer at it when it is known to be a job and whole.
func (s *Store) start(ctx context.Context, list []migration) error {
	if err := s.db.fill(ctx, s.db.reader, connection{}); err != nil {
		return err
	}
	have, err := s.db.inspect(ctx, list, !s.opt.Unchecked)
	if err != nil {
		return err
	}
	if s.opt.ReadOnly {
		if have < len(list) {
			return &Error{Kind: Outdated, Path: s.place.path, Text: "an older program wrote this job and it must be brought up to date first",
				Hint: "open it for writing once; a copy of it is kept"}
		}
		others, err := s.Openers(ctx)
		s.others = others
		return err
	}
	if have < len(list) {
		if err := s.keepCopy(ctx, have); err != nil {
			return err
		}
	}
	if err := s.db.fill(ctx, s.db.writer, connection{write: true, pages: s.opt.MaxPages}); err != nil {
		return err
	}
	if err := s.db.migrate(ctx, list); err != nil {
		return err
	}
	return s.announce(ctx)
}

// Path is where the job file lies.
func (s *Store) Path() string { return s.place.path }

// Close ends the work on the job: what still stands in the write-ahead log goes into the file, so that one file remains.
// Secrets are locked again.
func (s *Store) Close() (err error) {
	s.ended.Do(func() {
		s.Lock()
		err = s.leave()
		if e := classify(s.db.close(), s.place.path); err == nil {
			err = e
		}
	})
	return err
}

// write runs one writing step. A file that was moved away is noticed before the step and after it: nothing is
// acknowledged that might not be where the person believes it to be.
func (s *Store) write(ctx context.Context, f func(*txn) error) error {
	if s.opt.ReadOnly {
		return &Error{Kind: Denied, Path: s.place.path, Text: "the job was opened for reading only"}
	}
	if err := s.here(stepNotDone); err != nil {
		return err
	}
	err := s.db.write(ctx, f)
	if KindOf(err) == Busy {
		return s.nameWriter(ctx, err)
	}
	if err != nil {
		return err
	}
	return s.here(stepInOld)
}

// nameWriter says who may be keeping the job busy.
func (s *Store) nameWriter(ctx context.Context, err error) error {
	others, fault := s.Openers(ctx)
	if fault != nil || len(others) == 0 {
		return err
	}
	names := make([]string, len(others))
	for i, o := range others {
		names[i] = o.String()
	}
	return &Error{Kind: Busy, Path: s.place.path, Text: "another program is writing to the job; open it have " + strings.Join(names, ", "),
		Hint: "wait for it and repeat", Err: err}
}

// read runs one reading step on one state of the file.
func (s *Store) read(ctx context.Context, f func(*txn) error) error {
	if err := s.place.check(stepNotDone); err != nil {
		return err
	}
	return s.db.read(ctx, f)
}

// here checks that the file is where it was. If it is not, what still stands in the write-ahead log, which may have been
// left behind, is written into the open file first, so that the file is complete wherever it is now.
func (s *Store) here(step string) error {
	err := s.place.check(step)
	if err != nil && !s.opt.ReadOnly {
		s.settleLog()
	}
	return err
}

// settleLog moves the write-ahead log into the file.
func (s *Store) settleLog() {
	session, err := s.db.borrow(context.Background(), s.db.writer)
	if err != nil {
		return // closed: that has done it
	}
	defer func() { s.db.writer.idle <- session }()
	var busy, log, done int
	_ = session.conn.QueryRowContext(context.Background(), "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &log, &done)
}

// draftName makes a name beside path for a file that is not finished yet.
func draftName(path string, random io.Reader) (string, error) {
	var b [6]byte
	if _, err := io.ReadFull(random, b[:]); err != nil {
		return "", &Error{Kind: Broken, Text: "the random source gives nothing", Err: err}
	}
	dir, name := filepath.Split(path)
	return filepath.Join(dir, "."+name+"."+hex.EncodeToString(b[:])+".draft"), nil
}

// removeDraft removes what is left of an unfinished file.
func removeDraft(path string) {
	for _, suffix := range []string{"", "-wal", "-shm", "-journal"} {
		_ = os.Remove(path + suffix) // mostly gone already
	}
}

// stamp prints a time as it is stored: UTC, to the nanosecond, so that texts sort as times do.
func stamp(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000000000Z") }

// checkTime refuses a time that has no four-digit year.
func checkTime(t time.Time) error {
	if y := t.UTC().Year(); y < 0 || y > 9999 {
		return invalid("the year %d is out of reach; set the clock right", y)
	}
	return nil
}

// unstamp reads a stored time.
func unstamp(s string) (time.Time, error) {
	t, err := time.Parse("2006-01-02T15:04:05.000000000Z", s)
	if err != nil {
		return t, torn("%q is no time", s)
	}
	return t, nil
}
