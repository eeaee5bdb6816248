// Command notices writes THIRD-PARTY.md: what is linked into the program or embedded in it, under which licences, with
// the texts that have to go along. Run it at the root of the repository: go run ./tools/notices
//
// The modules are those that the go command links into ./cmd/wirewright on Linux, macOS and Windows; their texts are
// read where the go command keeps the modules. Fonts are found in the tree by their files. What kind a licence is, is
// read off its text (licence.go); a text that is not known, or of a kind that the project does not take, is an error, and
// so is a module or a font without one. The same tree gives the same bytes.
//
// Kinds are named by their SPDX identifiers (spdx.org/licenses).
package main

import (
	"fmt"
	"os"
	"path/filepath"
)

// pageName is the file that is written.
const pageName = "THIRD-PARTY.md"

func main() {
	text, err := generate(".")
	if err == nil {
		err = os.WriteFile(pageName, []byte(text), 0o644)
	}
	if err != nil {
		fmt.Fprintf(os.Stderr, "notices: %v\n", err)
		os.Exit(1)
	}
}

// generate makes the page for the repository at a root.
func generate(root string) (string, error) {
	root, err := filepath.Abs(root)
	if err != nil {
		return "", err
	}
	list, err := modules(root)
	if err != nil {
		return "", err
	}
	fonts, err := fonts(root)
	if err != nil {
		return "", err
	}
	list = append(list, fonts...)
	if err := readLicences(list); err != nil {
		return "", err
	}
	return page(list), nil
}
