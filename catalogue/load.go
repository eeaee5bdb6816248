package catalogue

import (
	"embed"
	"fmt"
	"io/fs"
	"slices"

	"wirewright/internal/yamldoc"
)

// FormatName stands on the first line of the text form and names the edition of the catalogue.
const FormatName = "wirewright catalogue 1"

//go:embed builtin/*.yaml
var builtin embed.FS

// Builtin reads the built-in catalogue. It is a new one each time, and the caller's own.
func Builtin() (*Catalogue, error) {
	names, err := fs.Glob(builtin, "builtin/*.yaml") // sorted
	if err != nil {
		return nil, err
	}
	all := &Catalogue{Format: FormatName, Note: "The built-in catalogue: generic, invented within the usual range of the trade."}
	for _, name := range names {
		text, err := builtin.ReadFile(name)
		if err != nil {
			return nil, err
		}
		if all, err = Load(all, name, text); err != nil {
			return nil, fmt.Errorf("the built-in catalogue: %w", err)
		}
	}
	return all, nil
}

// Load reads a catalogue in its text form and returns base with its types, cables and materials added; base itself stays
// as it is and may be nil. The error is a problem.List that tells every mistake with line and column: what is misspelt or
// missing, an id that is taken already, a type that could not be. If there is one, nothing of the file is taken. The file
// name only serves the messages.
func Load(base *Catalogue, file string, text []byte) (*Catalogue, error) {
	if base == nil {
		base = &Catalogue{Format: FormatName}
	}
	added := &Catalogue{}
	problems := yamldoc.Decode(file, text, added, func(v any) []yamldoc.Issue {
		return issues(v.(*Catalogue), base)
	})
	if err := problems.Err(); err != nil {
		return nil, err
	}
	all := &Catalogue{
		Format:    FormatName,
		Note:      base.Note,
		Types:     slices.Concat(base.Types, added.Types),
		Cables:    slices.Concat(base.Cables, added.Cables),
		Materials: slices.Concat(base.Materials, added.Materials),
	}
	if all.Note == "" {
		all.Note = added.Note
	}
	all.index()
	return all, nil
}

// Write prints a catalogue in its one canonical text form; Load reads it back to the same catalogue.
func Write(c *Catalogue) []byte { return yamldoc.Encode(c) }
