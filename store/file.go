package store

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// headerSize is the length of the SQLite file header; sqlite.org/fileformat2.html section 1.3.
const headerSize = 100

// probe looks at the file's header without SQLite, which would take a foreign database for its own, open its journal
// and change its mode. It answers the format that the header names; the newest may still lie in the write-ahead log.
func probe(path string) (int, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return 0, &Error{Kind: Missing, Path: path, Text: "there is no such job file",
			Hint: "check the name, or make a new job"}
	case err != nil:
		return 0, &Error{Kind: Denied, Path: path, Text: "the job file cannot be looked at", Err: err}
	case !info.Mode().IsRegular():
		return 0, &Error{Kind: Foreign, Path: path, Text: "this is not a file", Hint: "choose a job file"}
	}
	head, err := readHeader(path)
	if err != nil {
		return 0, err
	}
	if string(head[:16]) != "SQLite format 3\x00" || binary.BigEndian.Uint32(head[68:]) != applicationID {
		return 0, &Error{Kind: Foreign, Path: path, Text: "this is not a job file", Hint: "choose another file; this one was not touched"}
	}
	return int(binary.BigEndian.Uint32(head[60:])), nil
}

func readHeader(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, &Error{Kind: Denied, Path: path, Text: "the job file cannot be read", Err: err}
	}
	defer f.Close()
	head := make([]byte, headerSize)
	n, err := io.ReadFull(f, head)
	switch {
	case n == 0:
		return nil, &Error{Kind: Torn, Path: path, Text: "the file is empty", Hint: "take the newest backup copy"}
	case errors.Is(err, io.ErrUnexpectedEOF):
		return nil, &Error{Kind: Foreign, Path: path, Text: "this is not a job file: it is too short",
			Hint: "choose another file; this one was not touched"}
	case err != nil:
		return nil, &Error{Kind: Denied, Path: path, Text: "the job file cannot be read", Err: err}
	}
	return head, nil
}

// newer refuses a file that a newer program wrote.
func newer(path string, have, know int) error {
	return &Error{Kind: Newer, Path: path,
		Text: fmt.Sprintf("a newer program wrote this job (format %d, this program knows up to %d)", have, know),
		Hint: "use the newer program; this file was not touched"}
}

// place is where the open file is; the file's own identity tells whether it is still the same one.
type place struct {
	path string
	info fs.FileInfo
}

// check tells plainly when the file is no longer where it was opened; step says what became of the step in hand.
func (p place) check(step string) error {
	now, err := os.Stat(p.path)
	if err == nil && os.SameFile(p.info, now) {
		return nil
	}
	text := "the job file was deleted or moved away while it was open"
	if err == nil {
		text = "another file has taken the place of the job file while it was open"
	}
	return &Error{Kind: Moved, Path: p.path, Text: text + "; " + step,
		Hint: "put the file back, or save a copy of what is open under another name"}
}

// What became of a step when the file was found to be gone.
const (
	stepNotDone = "this step was not done"
	stepInOld   = "this step went into the file that is gone from here"
)

// settle gives a finished file its final name, unless something of that name is there, and makes both last.
func settle(from, to string) error {
	if err := syncFile(from); err != nil {
		return err
	}
	err := os.Link(from, to)
	if errors.Is(err, fs.ErrExist) {
		return &Error{Kind: Exists, Path: to, Text: "a file of that name is there already", Hint: "choose another name"}
	}
	if err != nil { // no hard links on this file system
		if _, missing := os.Lstat(to); !errors.Is(missing, fs.ErrNotExist) {
			return &Error{Kind: Exists, Path: to, Text: "a file of that name is there already", Hint: "choose another name"}
		}
		if err := os.Rename(from, to); err != nil {
			return &Error{Kind: Denied, Path: to, Text: "the file cannot be given its name", Err: err}
		}
	} else if err := os.Remove(from); err != nil {
		return &Error{Kind: Denied, Path: from, Text: "the temporary file cannot be removed", Err: err}
	}
	syncFolder(filepath.Dir(to))
	return nil
}

// syncFile forces a file to the disk.
func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0) // some systems sync only what may be written
	if err == nil {
		err = errors.Join(f.Sync(), f.Close())
	}
	if err != nil {
		return &Error{Kind: Broken, Path: path, Text: "the file cannot be forced to the disk", Err: err}
	}
	return nil
}

// syncFolder forces the names in a folder to the disk, where the system can do that; elsewhere it does so by itself.
func syncFolder(path string) {
	if f, err := os.Open(path); err == nil {
		_ = errors.Join(f.Sync(), f.Close())
	}
}
