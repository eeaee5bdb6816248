package house

import (
	"wirewright/internal/problem"
	"wirewright/internal/yamldoc"
)

// FormatName stands on the first line of the text form and names the edition of the model.
const FormatName = "wirewright house 1"

// ID is the identity of an entity: lower-case words of letters, digits and hyphens joined by dots, e.g.
// "living.ceiling". Letters of any script are allowed. An ID never changes once it has stood in a revision.
type ID string

// texts turns values of a named text type into plain texts.
func texts[T ~string](values ...T) []string {
	list := make([]string, len(values))
	for i, v := range values {
		list[i] = string(v)
	}
	return list
}

// House is one house at one revision. The zero value is an empty house.
type House struct {
	Format     string    `yaml:"format" enum:"wirewright house 1" doc:"Edition of this text form; always \"wirewright house 1\"."`
	Title      string    `yaml:"title,omitempty" doc:"What people call the job."`
	Note       string    `yaml:"note,omitempty"`
	Site       Site      `yaml:"site" doc:"Place, time zone and supply."`
	Network    Network   `yaml:"network,omitempty" doc:"Router, access points, addresses and broker."`
	Storeys    []Storey  `yaml:"storeys,omitempty"`
	Rooms      []Room    `yaml:"rooms,omitempty"`
	Walls      []Wall    `yaml:"walls,omitempty"`
	Openings   []Opening `yaml:"openings,omitempty"`
	Slabs      []Slab    `yaml:"slabs,omitempty"`
	Boards     []Board   `yaml:"boards,omitempty"`
	Circuits   []Circuit `yaml:"circuits,omitempty"`
	Points     []Point   `yaml:"points,omitempty"`
	Modules    []Module  `yaml:"modules,omitempty"`
	Lines      []Line    `yaml:"lines,omitempty"`
	Wishes     []Wish    `yaml:"wishes,omitempty"`
	Behaviour  string    `yaml:"behaviour,omitempty" doc:"The behaviour text: what every key, sensor and clock does."`
	Acceptance string    `yaml:"acceptance,omitempty" doc:"Acceptance tests written by hand, beside those made from the rules."`
}

// Read reads the text form of a house. The error is a problem.List with every mistake of the text; no house is handed
// out if there is one. The file is named in the places of the mistakes only.
func Read(file string, text []byte) (*House, error) {
	h := &House{}
	list := yamldoc.Decode(file, text, h, func(v any) []yamldoc.Issue { return v.(*House).issues() })
	if list != nil {
		return nil, list
	}
	return h, nil
}

// Write prints a house in its canonical text form; Read gives it back. Empty lists and lists that are not there are
// the same to it.
func Write(h *House) []byte { return yamldoc.Encode(h) }

// Comments tells where a text has comments, which a house does not keep: whoever brings in a text must say so. A note
// field stands wherever a person may want to keep one.
func Comments(text []byte) []problem.Place { return yamldoc.Comments(text) }
