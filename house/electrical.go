package house

import "wirewright/unit"

// Board is a distribution board: where it is and how much room it has.
type Board struct {
	ID     ID          `yaml:"id"`
	Title  string      `yaml:"title,omitempty"`
	Room   ID          `yaml:"room,omitempty" ref:"room"`
	At     *XYZ        `yaml:"at,omitempty"`
	Rows   int         `yaml:"rows,omitempty" min:"0" max:"100" doc:"Rows of rail."`
	Units  int         `yaml:"units,omitempty" min:"0" max:"200" doc:"17.5 mm width units in a row (DIN 43880)."`
	Loss   unit.Power  `yaml:"loss,omitempty" min:"0" doc:"Heat that the maker lets the enclosure dissipate."`
	Width  unit.Length `yaml:"width,omitempty" min:"0"`
	Height unit.Length `yaml:"height,omitempty" min:"0"`
	Depth  unit.Length `yaml:"depth,omitempty" min:"0"`
	Source string      `yaml:"source,omitempty"`
	Note   string      `yaml:"note,omitempty"`
}

// Circuit is a final circuit: its protective device and its cable.
type Circuit struct {
	ID       ID           `yaml:"id"`
	Title    string       `yaml:"title,omitempty"`
	Board    ID           `yaml:"board" ref:"board"`
	Phase    string       `yaml:"phase,omitempty" enum:"L1,L2,L3,all" doc:"L1, L2, L3 or all."`
	Rating   unit.Current `yaml:"rating,omitempty" min:"0" doc:"Rated current of the protective device."`
	Curve    string       `yaml:"curve,omitempty" enum:"B,C,D" doc:"Tripping characteristic: B, C or D (IEC 60898-1)."`
	Residual unit.Current `yaml:"residual,omitempty" min:"0" doc:"Rated residual current of the RCD that covers it."`
	Section  unit.Section `yaml:"section,omitempty" doc:"Line conductor."`
	Earth    unit.Section `yaml:"earth,omitempty" doc:"Protective conductor, where it differs."`
	Method   string       `yaml:"method,omitempty" enum:"A1,A2,B1,B2,C,D1,D2" doc:"Installation method (IEC 60364-5-52): A1, A2, B1, B2, C, D1 or D2."`
	Length   unit.Length  `yaml:"length,omitempty" min:"0" doc:"To its farthest load."`
	Grouped  int          `yaml:"grouped,omitempty" min:"0" max:"1000" doc:"Circuits bunched with it, itself included."`
	Source   string       `yaml:"source,omitempty"`
	Note     string       `yaml:"note,omitempty"`
}
