package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
)

// Bounds of a folder that is read.
const (
	folderFiles = 10_000
	folderBytes = 2 << 30
)

// ExportFolder writes what ExportText gives into a new folder. The folder appears under its name only when it is
// complete; a folder with something in it is never written over.
func (s *Store) ExportFolder(ctx context.Context, rev Rev, dir string) error {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return &Error{Kind: Invalid, Path: dir, Text: "this is no usable path", Err: err}
	}
	info, err := os.Lstat(dir)
	if err == nil && info.IsDir() {
		err = os.Remove(dir) // an empty folder goes, a full one stays
	} else if errors.Is(err, fs.ErrNotExist) {
		info, err = nil, nil
	}
	if err != nil || info != nil && !info.IsDir() {
		return &Error{Kind: Exists, Path: dir, Text: "there is something of that name already", Hint: "choose another name, or an empty folder"}
	}
	files, err := s.ExportText(ctx, rev)
	if err != nil {
		return err
	}
	draft, err := draftName(dir, s.opt.Rand)
	if err != nil {
		return err
	}
	defer os.RemoveAll(draft)
	if err := writeFiles(ctx, draft, files); err != nil {
		return err
	}
	if err := os.Rename(draft, dir); err != nil {
		return &Error{Kind: Denied, Path: dir, Text: "the folder cannot be given its name", Err: err}
	}
	syncFolder(filepath.Dir(dir))
	return nil
}

func writeFiles(ctx context.Context, dir string, files map[string][]byte) error {
	names := make([]string, 0, len(files))
	for name := range files {
		names = append(names, name)
	}
	sort.Strings(names)
	folders := map[string]bool{dir: true}
	for _, name := range names {
		if err := ctx.Err(); err != nil {
			return classify(err, dir)
		}
		path := filepath.Join(dir, filepath.FromSlash(name))
		folders[filepath.Dir(path)] = true
		err := os.MkdirAll(filepath.Dir(path), 0o755)
		if err == nil {
			err = os.WriteFile(path, files[name], 0o644)
		}
		if err != nil {
			return &Error{Kind: Denied, Path: path, Text: "the file cannot be written", Err: err}
		}
		if err := syncFile(path); err != nil {
			return err
		}
	}
	for folder := range folders {
		syncFolder(folder)
	}
	return nil
}

// ReadFolder reads the files of a folder by name, for ImportText and CreateFromText. Names that begin with a full stop
// are left out, as those of a version control are.
func ReadFolder(dir string) (map[string][]byte, error) {
	files := map[string][]byte{}
	size := int64(0)
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return &Error{Kind: Denied, Path: path, Text: "cannot be read", Err: err}
		}
		if path != dir && strings.HasPrefix(d.Name(), ".") {
			if d.IsDir() {
				return filepath.SkipDir
			}
			return nil
		}
		if d.IsDir() {
			return nil
		}
		info, err := d.Info()
		if err != nil || !info.Mode().IsRegular() {
			return &Error{Kind: Invalid, Path: path, Text: "this is not a plain file", Hint: "take it out of the folder"}
		}
		size += info.Size()
		if len(files) >= folderFiles || size > folderBytes || info.Size() > AttachmentMost {
			return &Error{Kind: Invalid, Path: path, Text: fmt.Sprintf("the folder is too large: at most %d files, %d MB each and %d MB together are read",
				folderFiles, AttachmentMost>>20, folderBytes>>20)}
		}
		rel, err := filepath.Rel(dir, path)
		if err != nil {
			return &Error{Kind: Invalid, Path: path, Text: "this is no usable path", Err: err}
		}
		files[filepath.ToSlash(rel)], err = os.ReadFile(path)
		if err != nil {
			return &Error{Kind: Denied, Path: path, Text: "cannot be read", Err: err}
		}
		return nil
	})
	return files, err
}
