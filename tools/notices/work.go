package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sort"
	"strings"
)

// work is something by others that goes into the program.
type work struct {
	name     string
	version  string
	what     string // "module", "standard library", "font"
	dir      string // where its licence texts lie
	files    []string
	licences []licence
}

// chosen names the licence file of works that may be taken under one of several.
var chosen = map[string][]string{
	"github.com/eclipse/paho.golang": {"edl-v10"}, // EPL-2.0 or EDL-1.0; the latter is BSD-3-Clause in wording
}

// left are files beside the licences that concern nothing which is linked.
var left = map[string][]string{
	"modernc.org/memory": {"LICENSE-LOGO"},         // of a picture in its repository
	"modernc.org/sqlite": {"LICENSE-3RD-PARTY.md"}, // a list of works that stand here by themselves, and of its tests
}

// platforms are those that the program is built for.
var platforms = []string{"linux", "darwin", "windows"}

// modules lists what the go command links into the program, sorted by name, the standard library first.
func modules(root string) ([]work, error) {
	found := map[string]work{}
	for _, platform := range platforms {
		if err := linked(root, platform, found); err != nil {
			return nil, err
		}
	}
	list := []work{{name: "Go", what: "standard library and run-time", files: []string{"LICENSE"}}}
	var err error
	if list[0].dir, err = goCommand(root, "linux", "env", "GOROOT"); err != nil {
		return nil, err
	}
	if list[0].version, err = goCommand(root, "linux", "list", "-m", "-f", "{{.GoVersion}}"); err != nil {
		return nil, err
	}
	var names []string
	for name := range found {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		w := found[name]
		if w.files, err = licenceFiles(&w); err != nil {
			return nil, err
		}
		list = append(list, w)
	}
	return list, nil
}

// linked adds the modules that one platform links.
func linked(root, platform string, found map[string]work) error {
	out, err := goCommand(root, platform, "list", "-deps", "-json=Module", "./cmd/wirewright")
	if err != nil {
		return err
	}
	for d := json.NewDecoder(strings.NewReader(out)); d.More(); {
		var p struct {
			Module *struct {
				Path, Version, Dir string
				Main               bool
			}
		}
		if err := d.Decode(&p); err != nil {
			return fmt.Errorf("go list: %w", err)
		}
		if m := p.Module; m != nil && !m.Main {
			found[m.Path] = work{name: m.Path, version: m.Version, what: "module", dir: m.Dir}
		}
	}
	return nil
}

// goCommand runs the go command for a platform.
func goCommand(root, platform string, args ...string) (string, error) {
	c := exec.Command("go", args...)
	c.Dir = root
	c.Env = append(os.Environ(), "GOOS="+platform, "GOARCH=amd64", "CGO_ENABLED=0", "GOFLAGS=-mod=readonly")
	var fault bytes.Buffer
	c.Stderr = &fault
	out, err := c.Output()
	if err != nil {
		return "", fmt.Errorf("go %s for %s: %w: %s", strings.Join(args, " "), platform, err, fault.String())
	}
	return strings.TrimSpace(string(out)), nil
}

// licenceFiles finds the files in which a module says under what it is given.
func licenceFiles(w *work) ([]string, error) {
	if files, ok := chosen[w.name]; ok {
		return files, nil
	}
	entries, err := os.ReadDir(w.dir)
	if err != nil {
		return nil, fmt.Errorf("%s: %w (go mod download brings it)", w.name, err)
	}
	var files []string
	for _, e := range entries {
		upper := strings.ToUpper(e.Name())
		named := slices.ContainsFunc([]string{"LICENSE", "LICENCE", "COPYING", "NOTICE"}, func(s string) bool { return strings.HasPrefix(upper, s) })
		if named && !e.IsDir() && !slices.Contains(left[w.name], e.Name()) {
			files = append(files, e.Name())
		}
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("%s: there is no licence file in %s", w.name, w.dir)
	}
	return files, nil
}

// fontLicence is the file that lies beside fonts.
const fontLicence = "OFL.txt"

// fonts finds the folders of the tree that hold fonts.
func fonts(root string) ([]work, error) {
	var list []work
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "node_modules" || d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && path != root) {
			return filepath.SkipDir
		}
		if !slices.Contains([]string{".ttf", ".otf", ".woff", ".woff2"}, filepath.Ext(path)) {
			return nil
		}
		dir := filepath.Dir(path)
		rel, err := filepath.Rel(root, dir)
		if err != nil {
			return err
		}
		name := filepath.ToSlash(rel)
		if n := len(list); n > 0 && list[n-1].name == name {
			return nil
		}
		if _, err := os.Stat(filepath.Join(dir, fontLicence)); errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s: there are fonts without %s beside them", name, fontLicence)
		}
		list = append(list, work{name: name, what: "fonts", dir: dir, files: []string{fontLicence}})
		return nil
	})
	return list, err
}
