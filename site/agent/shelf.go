package agent

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"wirewright/control"
	"wirewright/site/wire"
)

// shelf keeps the programs of a controller in a folder. What stands where is one small file that is replaced by renaming
// it, so that a crash leaves either the old or the new.
type shelf struct {
	dir string
	manifest
}

// manifest names what is kept.
type manifest struct {
	Running  wire.Loaded
	Staged   wire.Loaded
	Previous wire.Loaded
}

const (
	manifestFile = "programs.json"
	memoryFile   = "memory.json"
)

// openShelf reads what a folder keeps, making it where it is new.
func openShelf(dir string) (*shelf, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("programs: %w", err)
	}
	s := &shelf{dir: dir}
	b, err := os.ReadFile(filepath.Join(dir, manifestFile))
	if errors.Is(err, fs.ErrNotExist) {
		return s, nil
	}
	if err != nil {
		return nil, fmt.Errorf("programs: %w", err)
	}
	if err := json.Unmarshal(b, &s.manifest); err != nil {
		return nil, fmt.Errorf("programs: %s is damaged: %w", manifestFile, err)
	}
	return s, nil
}

// program reads a kept program; its digest is verified again.
func (s *shelf) program(l wire.Loaded) (*control.Program, error) {
	b, err := os.ReadFile(s.path(l.Digest))
	if err != nil {
		return nil, fmt.Errorf("program of epoch %d: %w", l.Epoch, err)
	}
	if sha256.Sum256(b) != l.Digest {
		return nil, fmt.Errorf("program of epoch %d: its file is damaged", l.Epoch)
	}
	return control.Decode(b)
}

// path is where a program lies.
func (s *shelf) path(d wire.Digest) string { return filepath.Join(s.dir, d.String()+".program") }

// stage keeps a verified program beside the running one.
func (s *shelf) stage(l wire.Loaded, b []byte) error {
	if err := replace(s.path(l.Digest), b, true); err != nil {
		return err
	}
	m := s.manifest
	m.Staged = l
	return s.put(m)
}

// activate makes the staged program the running one, and the running one the previous.
func (s *shelf) activate() error {
	return s.put(manifest{Running: s.Staged, Previous: s.Running})
}

// rollback drops an epoch: staged, it is forgotten; running, the one before it runs again.
func (s *shelf) rollback(epoch uint32) (changed bool, err error) {
	m := s.manifest
	if m.Staged.Epoch == epoch {
		m.Staged = wire.Loaded{}
	}
	if m.Running.Epoch == epoch {
		m.Running, m.Previous = m.Previous, wire.Loaded{}
		changed = true
	}
	if m == s.manifest {
		return false, nil
	}
	return changed, s.put(m)
}

// put replaces the manifest and forgets programs that it no longer names.
func (s *shelf) put(m manifest) error {
	b, err := json.Marshal(m)
	if err != nil {
		return fmt.Errorf("programs: %w", err)
	}
	if err := replace(filepath.Join(s.dir, manifestFile), b, true); err != nil {
		return err
	}
	s.manifest = m
	names, _ := filepath.Glob(filepath.Join(s.dir, "*.program"))
	for _, n := range names {
		if n != s.path(m.Running.Digest) && n != s.path(m.Staged.Digest) && n != s.path(m.Previous.Digest) {
			os.Remove(n) // what stays behind is only room lost
		}
	}
	return nil
}

// memory is the state that outlives a loss of power.
type memory struct {
	Digest wire.Digest
	State  control.State
}

// remember keeps the state.
func (s *shelf) remember(m memory) error {
	b, err := json.Marshal(m)
	if err != nil {
		return fmt.Errorf("memory: %w", err)
	}
	return replace(filepath.Join(s.dir, memoryFile), b, false)
}

// forget drops the memory.
func (s *shelf) forget() { os.Remove(filepath.Join(s.dir, memoryFile)) }

// recall reads the state of a program, nil where there is none that fits.
func (s *shelf) recall(d wire.Digest, size int) control.State {
	b, err := os.ReadFile(filepath.Join(s.dir, memoryFile))
	var m memory
	if err != nil || json.Unmarshal(b, &m) != nil || m.Digest != d || len(m.State) != size {
		return nil
	}
	return m.State
}

// replace writes a file so that either the old or the new is there; lasting, even after a loss of power.
func replace(path string, b []byte, lasting bool) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".new-*")
	if err != nil {
		return fmt.Errorf("write: %w", err)
	}
	_, err = f.Write(b)
	if lasting {
		err = errors.Join(err, f.Sync())
	}
	err = errors.Join(err, f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
		return fmt.Errorf("write: %w", err)
	}
	return nil
}
