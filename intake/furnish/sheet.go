package furnish

import (
	_ "embed"
	"fmt"
	"slices"

	"wirewright/house"
	"wirewright/internal/yamldoc"
	"wirewright/unit"
)

// FormatName stands on the first line of a file of sheets and names the edition of its form.
const FormatName = "wirewright sheets 1"

//go:embed sheets.yaml
var builtinText []byte

// Sheets is a set of room data sheets with the measures that all of them share.
type Sheets struct {
	Format   string   `yaml:"format" doc:"Edition of this text form; always \"wirewright sheets 1\"."`
	Note     string   `yaml:"note,omitempty"`
	Defaults Defaults `yaml:"defaults,omitempty" doc:"Measures that all sheets share."`
	Sheets   []Sheet  `yaml:"sheets,omitempty"`
}

// Defaults are the measures that all sheets share; what a set leaves out is taken from the built-in set.
type Defaults struct {
	KeyHeight   unit.Length   `yaml:"key-height,omitempty" min:"0" doc:"Keys above the finished floor."`
	KeyOffset   unit.Length   `yaml:"key-offset,omitempty" min:"0" doc:"Keys beside the jamb of the door."`
	KeyBox      unit.Length   `yaml:"key-box,omitempty" min:"0" doc:"Depth of wall boxes."`
	CeilingBox  unit.Length   `yaml:"ceiling-box,omitempty" min:"0" doc:"Depth of ceiling boxes."`
	Neutral     bool          `yaml:"neutral,omitempty" doc:"Boxes are taken to hold a neutral conductor."`
	Ceiling     unit.Length   `yaml:"ceiling,omitempty" min:"0" doc:"Clear height of rooms that state none."`
	GlazedDoor  unit.Length   `yaml:"glazed-door,omitempty" min:"0" doc:"Width from which an outer door counts as a window too."`
	GateWidth   unit.Length   `yaml:"gate-width,omitempty" min:"0" doc:"Width from which an outer door counts as a gate."`
	TravelBase  unit.Duration `yaml:"travel-base,omitempty" doc:"Travel time of a shutter: this much,"`
	TravelMetre unit.Duration `yaml:"travel-metre,omitempty" doc:"and this much for each metre of height."`
	Rating      unit.Current  `yaml:"rating,omitempty" min:"0" doc:"Protective device of new circuits."`
	Section     unit.Section  `yaml:"section,omitempty" doc:"Line conductor of new circuits."`
}

// Sheet is what one kind of room gets.
type Sheet struct {
	Use    string  `yaml:"use" doc:"Kind of room; matches Room.Use."`
	Note   string  `yaml:"note,omitempty"`
	Points []Entry `yaml:"points,omitempty"`
}

// Entry is one line of a sheet: a point, or one for each place of its kind.
type Entry struct {
	Name    string        `yaml:"name" doc:"Last word of the identity of its points, e.g. ceiling."`
	Title   string        `yaml:"title,omitempty"`
	Kind    house.Kind    `yaml:"kind"`
	Place   Place         `yaml:"place"`
	Height  unit.Length   `yaml:"height,omitempty" min:"0" doc:"Above the finished floor, where the place does not say it."`
	Each    float64       `yaml:"each,omitempty" min:"0" doc:"Floor area in m² that one lamp lights: larger rooms get more lamps on the point."`
	Keys    []string      `yaml:"keys,omitempty" doc:"Keypads: what is written on the keys."`
	Windows []string      `yaml:"windows,omitempty" doc:"Keypads: further keys where the room has shutters."`
	Load    *house.Load   `yaml:"load,omitempty"`
	Travel  *house.Travel `yaml:"travel,omitempty" doc:"Motors; reckoned from the height of the window where left out."`
	Box     *house.Box    `yaml:"box,omitempty"`
	Fitted  bool          `yaml:"fitted,omitempty" doc:"The device is there, or comes from elsewhere, and needs an input."`
	Note    string        `yaml:"note,omitempty"`
}

// Place says where in a room an entry goes.
type Place string

// The places of a room.
const (
	Ceiling       Place = "ceiling"        // the middle of the ceiling, inside the room whatever its shape
	EachDoor      Place = "door"           // beside each door and passage, on the latch side
	MainDoor      Place = "main-door"      // beside the door by which people come in
	FarDoor       Place = "far-door"       // beside the door farthest from that one, if it is far
	OuterDoor     Place = "outer-door"     // at each door to the outside, over the latch
	EachWindow    Place = "window"         // over each window and each glazed outer door
	LargestWindow Place = "largest-window" // under the largest window, or at the wall where there is none
	Gate          Place = "gate"           // over each gate
	Wall          Place = "wall"           // at the longest wall, clear of openings
)

// Values lists the places.
func (Place) Values() []string {
	return []string{string(Ceiling), string(EachDoor), string(MainDoor), string(FarDoor), string(OuterDoor), string(EachWindow),
		string(LargestWindow), string(Gate), string(Wall)}
}

// repeats tells whether a room may have several such places, so that their points are numbered.
func (p Place) repeats() bool {
	return slices.Contains([]Place{EachDoor, OuterDoor, EachWindow, Gate}, p)
}

// Builtin returns the sheets that come with the program.
func Builtin() *Sheets {
	s, err := Read("sheets.yaml", builtinText)
	if err != nil {
		panic(fmt.Sprintf("invariant: the built-in sheets are sound: %v", err))
	}
	return s
}

// BuiltinText returns the text of the built-in sheets, to be copied beside a job and changed there.
func BuiltinText() []byte { return slices.Clone(builtinText) }

// Read reads a set of sheets. The error is a problem.List with every mistake of the text, each with line and column.
func Read(file string, text []byte) (*Sheets, error) {
	s := &Sheets{}
	if list := yamldoc.Decode(file, text, s, checkSheets); len(list) > 0 {
		return nil, list.Err()
	}
	return s, nil
}

// With returns the sheets with those of another set laid over them: a sheet of the same use replaces the one here, a measure
// that is set replaces the one here.
func (s *Sheets) With(other *Sheets) *Sheets {
	out := *s
	out.Sheets = slices.Clone(s.Sheets)
	for _, o := range other.Sheets {
		if i := slices.IndexFunc(out.Sheets, func(x Sheet) bool { return x.Use == o.Use }); i >= 0 {
			out.Sheets[i] = o
			continue
		}
		out.Sheets = append(out.Sheets, o)
	}
	out.Defaults = over(s.Defaults, other.Defaults)
	return &out
}

// over takes each measure of b that is set, and of a where it is not.
func over(a, b Defaults) Defaults {
	length := func(x, y unit.Length) unit.Length {
		if y != 0 {
			return y
		}
		return x
	}
	a.KeyHeight, a.KeyOffset = length(a.KeyHeight, b.KeyHeight), length(a.KeyOffset, b.KeyOffset)
	a.KeyBox, a.CeilingBox, a.Ceiling = length(a.KeyBox, b.KeyBox), length(a.CeilingBox, b.CeilingBox), length(a.Ceiling, b.Ceiling)
	a.GlazedDoor, a.GateWidth = length(a.GlazedDoor, b.GlazedDoor), length(a.GateWidth, b.GateWidth)
	if b != (Defaults{}) {
		a.Neutral = b.Neutral // a set that states measures states this one too
	}
	if b.TravelBase != 0 {
		a.TravelBase = b.TravelBase
	}
	if b.TravelMetre != 0 {
		a.TravelMetre = b.TravelMetre
	}
	if b.Rating != 0 {
		a.Rating = b.Rating
	}
	if b.Section != 0 {
		a.Section = b.Section
	}
	return a
}

// For returns the sheet of a use; where there is none, the sheet of the use "room", and false.
func (s *Sheets) For(use string) (Sheet, bool) {
	for _, want := range []string{use, "room"} {
		for _, sheet := range s.Sheets {
			if sheet.Use == want {
				return sheet, want == use
			}
		}
	}
	return Sheet{}, false
}

// checkSheets says what is wrong with the meaning of a set.
func checkSheets(v any) []yamldoc.Issue {
	s := v.(*Sheets)
	var issues []yamldoc.Issue
	report := func(path yamldoc.Path, text, hint string) {
		issues = append(issues, yamldoc.Issue{Path: path, Text: text, Hint: hint})
	}
	if s.Format != FormatName {
		report(yamldoc.Path{"format"}, fmt.Sprintf("%q is not a form of sheets that is known", s.Format), "write "+FormatName)
	}
	seen := map[string]bool{}
	for i, sheet := range s.Sheets {
		if seen[sheet.Use] {
			report(yamldoc.Path{"sheets", i, "use"}, fmt.Sprintf("a second sheet for %s", sheet.Use), "put its points into the first one")
		}
		seen[sheet.Use] = true
		names := map[string]bool{}
		for k, e := range sheet.Points {
			path := yamldoc.Path{"sheets", i, "points", k}
			checkEntry(e, names, func(field, text, hint string) { report(append(path[:len(path):len(path)], field), text, hint) })
			names[e.Name] = true
		}
	}
	return issues
}

func checkEntry(e Entry, names map[string]bool, report func(field, text, hint string)) {
	if why := house.ID(e.Name).Check(); why != "" {
		report("name", fmt.Sprintf("%q cannot end an identity: %s", e.Name, why), "write a word such as ceiling")
	}
	if names[e.Name] {
		report("name", fmt.Sprintf("%s stands twice in this sheet", e.Name), "give it another name")
	}
	if e.Kind.Moved() && e.Load == nil {
		report("kind", fmt.Sprintf("a %s needs a load", e.Kind), "add for example load: {category: led, power: 12 W}")
	}
	if !e.Kind.Moved() && e.Load != nil {
		report("load", fmt.Sprintf("a %s is read and has no load", e.Kind), "leave it out")
	}
	if e.Kind == house.Keypad && len(e.Keys) == 0 {
		report("kind", "a keypad has at least one key", "add for example keys: [Light]")
	}
	if e.Kind != house.Keypad && len(e.Keys)+len(e.Windows) > 0 {
		report("keys", fmt.Sprintf("a %s has no keys", e.Kind), "leave them out")
	}
}
