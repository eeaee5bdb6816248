package house

import (
	"strings"

	"wirewright/unit"
)

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

	Material   string      `yaml:"material,omitempty" enum:"steel,stainless,aluminium,plastic" doc:"Of the enclosure: steel, stainless, aluminium or plastic."`
	Placing    string      `yaml:"placing,omitempty" enum:"wall,free,flush" doc:"How the enclosure stands: on a wall (where left out), free, or flush in the wall."`
	Neutrals   int         `yaml:"neutrals,omitempty" min:"0" max:"1000" doc:"Places on its neutral bars for the conductors of cables."`
	Earths     int         `yaml:"earths,omitempty" min:"0" max:"1000" doc:"Places on its protective bars for the conductors of cables."`
	Devices    []Device    `yaml:"devices,omitempty" doc:"What else stands on its rows: the incoming device, residual-current devices, terminals."`
	Partitions []Partition `yaml:"partitions,omitempty" doc:"Plates that part mains from extra-low voltage in a row."`

	Source string `yaml:"source,omitempty"`
	Note   string `yaml:"note,omitempty"`
}

// Device is something on the rows of a board that belongs to no circuit alone.
type Device struct {
	Name   string       `yaml:"name" doc:"What is written beside it, e.g. Q1."`
	Kind   string       `yaml:"kind" enum:"main,residual,surge,meter,terminals,other" doc:"main, residual, surge, meter, terminals or other."`
	Row    int          `yaml:"row,omitempty" min:"0" max:"100" doc:"Row of the board, from 1 at the top."`
	Slot   int          `yaml:"slot,omitempty" min:"0" max:"200" doc:"First width unit in the row, from 1 at the left."`
	Units  int          `yaml:"units" min:"1" max:"200" doc:"Width in 17.5 mm units."`
	Rating unit.Current `yaml:"rating,omitempty" min:"0"`
	Heat   unit.Power   `yaml:"heat,omitempty" min:"0" doc:"Heat that it gives off as it is loaded."`
	Serves []ID         `yaml:"serves,omitempty" ref:"circuit" doc:"Circuits downstream of it; all of the board where left out on a main device."`
	Extra  bool         `yaml:"extra,omitempty" doc:"Carries extra-low voltage only, as terminals of a bus line do."`
	Note   string       `yaml:"note,omitempty"`
}

// Partition is a plate in a row; it takes no width unit of its own.
type Partition struct {
	Row  int `yaml:"row" min:"1" max:"100"`
	Slot int `yaml:"slot" min:"1" max:"201" doc:"The width unit at whose left edge it stands."`
}

// Circuit is a final circuit: its protective device and its cable.
type Circuit struct {
	ID           ID               `yaml:"id"`
	Title        string           `yaml:"title,omitempty"`
	Board        ID               `yaml:"board" ref:"board"`
	Phase        string           `yaml:"phase,omitempty" enum:"L1,L2,L3,all" doc:"L1, L2, L3 or all."`
	Rating       unit.Current     `yaml:"rating,omitempty" min:"0" doc:"Rated current of the protective device."`
	Curve        string           `yaml:"curve,omitempty" enum:"B,C,D" doc:"Tripping characteristic: B, C or D (IEC 60898-1)."`
	Residual     unit.Current     `yaml:"residual,omitempty" min:"0" doc:"Rated residual current of the RCD that covers it."`
	Section      unit.Section     `yaml:"section,omitempty" doc:"Line conductor."`
	Earth        unit.Section     `yaml:"earth,omitempty" doc:"Protective conductor, where it differs."`
	Method       string           `yaml:"method,omitempty" enum:"A1,A2,B1,B2,C,D1,D2" doc:"Installation method (IEC 60364-5-52): A1, A2, B1, B2, C, D1 or D2."`
	Length       unit.Length      `yaml:"length,omitempty" min:"0" doc:"To its farthest load."`
	Grouped      int              `yaml:"grouped,omitempty" min:"0" max:"1000" doc:"Circuits bunched with it, itself included."`
	Ambient      unit.Temperature `yaml:"ambient,omitempty" doc:"Of the warmest place that its cable passes, the ground for D1; 30 °C of air and 20 °C of ground where left out."`
	Breaking     unit.Current     `yaml:"breaking,omitempty" min:"0" doc:"Rated breaking capacity of the protective device."`
	ResidualType string           `yaml:"residual-type,omitempty" enum:"AC,A,F,B" doc:"Type of the RCD that covers it: AC, A, F or B (IEC 60755)."`
	Row          int              `yaml:"row,omitempty" min:"0" max:"100" doc:"Row of the board where its protective device stands, from 1 at the top."`
	Slot         int              `yaml:"slot,omitempty" min:"0" max:"200" doc:"First width unit of the device in the row, from 1 at the left."`
	Units        int              `yaml:"units,omitempty" min:"0" max:"200" doc:"Width of the device in 17.5 mm units; 1 on one line and 3 on three where left out."`
	Source       string           `yaml:"source,omitempty"`
	Note         string           `yaml:"note,omitempty"`
}

// DeviceUnits is the width of the circuit's protective device in units of 17.5 mm: what the house says, else one on one
// line and three on three.
func (c *Circuit) DeviceUnits() int {
	switch {
	case c.Units > 0:
		return c.Units
	case strings.EqualFold(c.Phase, "all"):
		return 3
	}
	return 1
}
