package ifc

import (
	"fmt"
	"sort"
	"strings"

	"wirewright/house"
	"wirewright/intake/step"
)

// Options says how to import.
type Options struct {
	Limits  step.Limits  // bounds on the file; the zero value means the defaults
	Mapping []Correction // what the person says that electrical elements are; the first that fits decides
	Keep    *house.House // an earlier import: entities of the same Source keep the identities that they have there
}

// Correction overrides what elements are taken for. Match is a GlobalId, a tag, the name of a type, or a piece of the
// element's name, compared without regard to case.
type Correction struct {
	Match string
	Role  Role
}

// Result is a model brought in.
type Result struct {
	House  *house.House // a fragment: site, storeys, rooms, walls, openings, slabs, boards, circuits, points
	Schema string       // as the header of the first file names it, e.g. IFC2X3
	Unread []Item       // what could not be read or has no place in the house, in file order
	Mapped []Mapping    // what each electrical element was taken for, in file order
	Counts Counts

	drafts []*draft // what Merge assembles anew
}

// Item is one entity that was not taken into the house, and why.
type Item struct {
	File     string `json:"file,omitempty"`
	Entity   string `json:"entity"` // as the file numbers it, e.g. #12
	Line     int    `json:"line"`
	Class    string `json:"class"`
	Name     string `json:"name,omitempty"`
	GlobalID string `json:"globalId,omitempty"`
	Reason   string `json:"reason"`
}

// String prints the item on one line.
func (i Item) String() string {
	name := ""
	if i.Name != "" {
		name = fmt.Sprintf(" %q", i.Name)
	}
	return fmt.Sprintf("%s line %d: %s%s: %s", i.Entity, i.Line, i.Class, name, i.Reason)
}

// Mapping says what one electrical element was taken for.
type Mapping struct {
	File     string   `json:"file,omitempty"`
	Entity   string   `json:"entity"`
	Line     int      `json:"line"`
	Class    string   `json:"class"`          // class of the element
	Type     string   `json:"type,omitempty"` // class of its type object
	Name     string   `json:"name,omitempty"`
	GlobalID string   `json:"globalId,omitempty"`
	Tag      string   `json:"tag,omitempty"`
	Role     Role     `json:"role"`
	Why      string   `json:"why"`               // by what it was told
	Room     house.ID `json:"room,omitempty"`    // the room that it lies in
	Circuit  house.ID `json:"circuit,omitempty"` // the circuit that feeds it
	Taken    house.ID `json:"taken,omitempty"`   // the point or board made of it; empty where it has no place in the house
}

// Counts tells how much the file holds; elements that were not taken count too.
type Counts struct {
	Entities   int `json:"entities"`
	Storeys    int `json:"storeys"`
	Spaces     int `json:"spaces"`
	Walls      int `json:"walls"`
	Doors      int `json:"doors"`
	Windows    int `json:"windows"`
	Openings   int `json:"openings"`
	Slabs      int `json:"slabs"`
	Boundaries int `json:"boundaries"`
	Devices    int `json:"devices"` // electrical elements
}

func (c *Counts) add(o Counts) {
	c.Entities += o.Entities
	c.Storeys += o.Storeys
	c.Spaces += o.Spaces
	c.Walls += o.Walls
	c.Doors += o.Doors
	c.Windows += o.Windows
	c.Openings += o.Openings
	c.Slabs += o.Slabs
	c.Boundaries += o.Boundaries
	c.Devices += o.Devices
}

// Summary groups what was not read by class and reason, most frequent first, one line a group.
func (r *Result) Summary() []string {
	counts := map[string]int{}
	for _, i := range r.Unread {
		counts[strings.ToLower(strings.TrimPrefix(i.Class, "IFC"))+": "+i.Reason]++
	}
	lines := make([]string, 0, len(counts))
	for text, n := range counts {
		lines = append(lines, fmt.Sprintf("%5d × %s", n, text))
	}
	sort.Sort(sort.Reverse(sort.StringSlice(lines)))
	return lines
}

// Import reads one model. A file that is not STEP, is cut short or is no building model is an error (a problem.List, with
// line and entity); what cannot be read inside a sound file is listed in the result.
func Import(name string, data []byte, opts Options) (*Result, error) {
	file, err := step.Parse(name, data, opts.Limits)
	if err != nil {
		return nil, err
	}
	m, err := open(file)
	if err != nil {
		return nil, err
	}
	d := m.read(opts)
	return assemble([]*draft{d}, opts), nil
}

// Merge makes one house of several imports whose models share one set of coordinates, an architect's and an electrician's
// for example. Storeys of the same height are one; rooms, walls and openings of a later model are added to those of the
// first; every electrical element finds its room among all rooms.
func Merge(opts Options, results ...*Result) *Result {
	var drafts []*draft
	for _, r := range results {
		drafts = append(drafts, r.drafts...)
	}
	return assemble(drafts, opts)
}
