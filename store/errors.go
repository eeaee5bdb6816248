package store

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Kind sorts errors for machines: exit codes, HTTP statuses, what a screen offers.
type Kind string

// The kinds of error.
const (
	Foreign  Kind = "foreign"  // the file is no job
	Torn     Kind = "torn"     // the file is a job but damaged
	Newer    Kind = "newer"    // a newer program wrote it
	Outdated Kind = "outdated" // an older program wrote it and this opening may not bring it up to date
	Missing  Kind = "missing"  // no such file, name or revision
	Exists   Kind = "exists"   // something of that name is there already
	Moved    Kind = "moved"    // the file was deleted, moved or replaced while it was open
	Full     Kind = "full"     // the disk is full or the file may not grow
	Busy     Kind = "busy"     // somebody else has it
	Denied   Kind = "denied"   // the file or folder may not be written or read
	Conflict Kind = "conflict" // the edit was not made on what stands now
	Invalid  Kind = "invalid"  // what was handed in is wrong
	Locked   Kind = "locked"   // secrets need the passphrase or the key file first
	Stopped  Kind = "stopped"  // the caller's context ended
	Broken   Kind = "broken"   // anything else the disk or the database reports
)

// Error is every error of this package but ConflictError: what failed, where, and what to do.
type Error struct {
	Kind Kind
	Path string // the job file or folder concerned, where there is one
	Text string // what is wrong
	Hint string // what to do about it; may be empty
	Err  error  // the cause; may be nil
}

// Error prints path, text, cause and hint in one line.
func (e *Error) Error() string {
	var b strings.Builder
	if e.Path != "" {
		b.WriteString(e.Path + ": ")
	}
	b.WriteString(e.Text)
	if e.Err != nil {
		b.WriteString(": " + e.Err.Error())
	}
	if e.Hint != "" {
		b.WriteString("; " + e.Hint)
	}
	return b.String()
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// KindOf returns the kind of an error of this package, Conflict for a ConflictError, and "" for nil and for others.
func KindOf(err error) Kind {
	var conflict *ConflictError
	if errors.As(err, &conflict) {
		return Conflict
	}
	var own *Error
	if errors.As(err, &own) {
		return own.Kind
	}
	return ""
}

// invalid makes an error about what the caller handed in.
func invalid(format string, args ...any) error {
	return &Error{Kind: Invalid, Text: fmt.Sprintf(format, args...)}
}

// missing makes an error about a name that is not there.
func missing(format string, args ...any) error {
	return &Error{Kind: Missing, Text: fmt.Sprintf(format, args...)}
}

// torn makes an error about damage found inside the file.
func torn(format string, args ...any) error {
	return &Error{Kind: Torn, Text: fmt.Sprintf(format, args...), Hint: "take the newest backup copy"}
}

// sqliteFault is how one primary result code of SQLite is told.
type sqliteFault struct {
	code int
	kind Kind
	text string
	hint string
}

// sqliteFaults lists the result codes that a person can do something about; sqlite.org/rescode.html.
func sqliteFaults() []sqliteFault {
	return []sqliteFault{
		{sqlite3.SQLITE_FULL, Full, "the disk is full, nothing of this step was stored", "make room and repeat it"},
		{sqlite3.SQLITE_CORRUPT, Torn, "the job file is damaged", "take the newest backup copy"},
		{sqlite3.SQLITE_NOTADB, Foreign, "this is not a job file", "choose another file"},
		{sqlite3.SQLITE_BUSY, Busy, "another program is writing to the job", "wait for it and repeat"},
		{sqlite3.SQLITE_LOCKED, Busy, "another part of this program is writing to the job", "repeat"},
		{sqlite3.SQLITE_READONLY, Denied, "the job file may not be written", "check its permissions and its folder's"},
		{sqlite3.SQLITE_PERM, Denied, "the job file may not be used", "check its permissions and its folder's"},
		{sqlite3.SQLITE_CANTOPEN, Denied, "the job file or its folder cannot be opened",
			"check the path and the folder's permissions"},
		{sqlite3.SQLITE_IOERR, Broken, "the disk reports an error, this step was not confirmed",
			"check the disk, then open the job again"},
		{sqlite3.SQLITE_INTERRUPT, Stopped, "stopped before it was done, nothing of this step was stored", ""},
	}
}

// classify turns an error of the database into one of ours; errors that are ours already pass.
func classify(err error, path string) error {
	if err == nil || KindOf(err) != "" {
		return err
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return &Error{Kind: Stopped, Path: path, Text: "stopped before it was done, nothing of this step was stored", Err: err}
	}
	var fault *sqlite.Error
	if !errors.As(err, &fault) {
		return &Error{Kind: Broken, Path: path, Text: "the job file cannot be used", Err: err}
	}
	for _, f := range sqliteFaults() {
		if fault.Code()&0xff == f.code {
			return &Error{Kind: f.kind, Path: path, Text: f.text, Hint: f.hint, Err: err}
		}
	}
	return &Error{Kind: Broken, Path: path, Text: "the job file cannot be used", Err: err}
}
