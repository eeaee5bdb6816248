package house

import "wirewright/unit"

// Board is a distribution board: where it is and how much room it has.
type Board struct {
	ID     ID          `yaml:"id"`
	Title  string      `yaml:"title,omitempty"`
	Room   ID          `yaml:"room,omitempty" ref:"room"`
	At     *XYZ        `yaml:"at,omitempty"`
	Rows   int         `yaml:"rows,omitempty" doc:"Rows of rail."`
	Units  int         `yaml:"units,omitempty" doc:"17.5 mm width units in a row (DIN 43880)."`
	Loss   unit.Power  `yaml:"loss,omitempty" doc:"Heat that the maker lets the enclosure dissipate."`
	Width  unit.Length `yaml:"width,omitempty"`
	Height unit.Length `yaml:"height,omitempty"`
	Depth  unit.Length `yaml:"depth,omitempty"`
	Source string      `yaml:"source,omitempty"`
	Note   string      `yaml:"note,omitempty"`
}

// Circuit is a final circuit: its protective device and its cable.
type Circuit struct {
	ID       ID           `yaml:"id"`
	Title    string       `yaml:"title,omitempty"`
	Board    ID           `yaml:"board" ref:"board"`
	Phase    string       `yaml:"phase,omitempty" doc:"L1, L2, L3 or all."`
	Rating   unit.Current `yaml:"rating,omitempty" doc:"Rated current of the protective device."`
	Curve    string       `yaml:"curve,omitempty" doc:"Tripping characteristic: B, C or D (IEC 60898-1)."`
	Residual unit.Current `yaml:"residual,omitempty" doc:"Rated residual current of the RCD that covers it."`
	Section  unit.Section `yaml:"section,omitempty" doc:"Line conductor."`
	Earth    unit.Section `yaml:"earth,omitempty" doc:"Protective conductor, where it differs."`
	Method   string       `yaml:"method,omitempty" doc:"Installation method (IEC 60364-5-52): A1, A2, B1, B2, C, D1 or D2."`
	Length   unit.Length  `yaml:"length,omitempty" doc:"To its farthest load."`
	Grouped  int          `yaml:"grouped,omitempty" doc:"Circuits bunched with it, itself included."`
	Source   string       `yaml:"source,omitempty"`
	Note     string       `yaml:"note,omitempty"`
}
