package house

import "wirewright/unit"

// XY is a place on a plan, in metres.
type XY struct{ X, Y float64 }

// XYZ is a place in the house, in metres; Z is the height above the reference level of the site, not above the floor.
type XYZ struct{ X, Y, Z float64 }

// Storey is one level of the building.
type Storey struct {
	ID        ID          `yaml:"id"`
	Title     string      `yaml:"title,omitempty"`
	Elevation unit.Length `yaml:"elevation" doc:"Height of the finished floor above the reference level."`
	Height    unit.Length `yaml:"height,omitempty" min:"0" doc:"Floor to floor."`
	Source    string      `yaml:"source,omitempty" doc:"Identity in the model that it was brought in from (IFC GlobalId)."`
	Note      string      `yaml:"note,omitempty"`
}

// Wiring says what control wiring there is, or can be laid, to a room or a point.
type Wiring string

// The kinds of control wiring.
const (
	WiringNone Wiring = "none" // finished walls, mains only
	WiringStar Wiring = "star" // every point has its own cable to the board
	WiringBus  Wiring = "bus"  // a bus cable passes, loads are fed locally
)

// Values lists every kind of control wiring, for the text form.
func (Wiring) Values() []string { return texts(WiringNone, WiringStar, WiringBus) }

// Room is a space with an outline; its Use picks the room data sheet.
type Room struct {
	ID      ID          `yaml:"id"`
	Title   string      `yaml:"title,omitempty"`
	Number  string      `yaml:"number,omitempty" doc:"Room number on the architect's plan."`
	Storey  ID          `yaml:"storey" ref:"storey"`
	Use     string      `yaml:"use,omitempty" doc:"Kind of room; names a room data sheet, e.g. bedroom."`
	Outline []XY        `yaml:"outline,omitempty" doc:"Corners of the floor, in order, not closed."`
	Holes   [][]XY      `yaml:"holes,omitempty" doc:"Outlines of shafts and the like inside the room."`
	Floor   unit.Length `yaml:"floor,omitempty" doc:"Height of this floor above the reference level."`
	Height  unit.Length `yaml:"height,omitempty" min:"0" doc:"Clear height."`
	Area    float64     `yaml:"area,omitempty" min:"0" max:"1e6" doc:"Area that the source states, in m², where it states one."`
	Wiring  Wiring      `yaml:"wiring,omitempty" doc:"Control wiring in this room: none, star or bus."`
	Source  string      `yaml:"source,omitempty"`
	Note    string      `yaml:"note,omitempty"`
}

// Layer is one layer of a wall or slab.
type Layer struct {
	Material  string      `yaml:"material" doc:"Material as the source names it, or one of the catalogue's."`
	Thickness unit.Length `yaml:"thickness" min:"0"`
}

// Wall is a straight piece of wall between two points of its axis.
type Wall struct {
	ID        ID          `yaml:"id"`
	Title     string      `yaml:"title,omitempty"`
	Storey    ID          `yaml:"storey" ref:"storey"`
	From      XY          `yaml:"from" doc:"Start of the centre line."`
	To        XY          `yaml:"to" doc:"End of the centre line."`
	Base      unit.Length `yaml:"base,omitempty" doc:"Height of its foot above the reference level."`
	Height    unit.Length `yaml:"height,omitempty" min:"0"`
	Thickness unit.Length `yaml:"thickness,omitempty" min:"0"`
	Layers    []Layer     `yaml:"layers,omitempty"`
	External  bool        `yaml:"external,omitempty"`
	Source    string      `yaml:"source,omitempty"`
	Note      string      `yaml:"note,omitempty"`
}

// OpeningKind is what fills an opening.
type OpeningKind string

// The kinds of opening.
const (
	Door    OpeningKind = "door"
	Window  OpeningKind = "window"
	Passage OpeningKind = "passage"
)

// Values lists every kind of opening, for the text form.
func (OpeningKind) Values() []string { return texts(Door, Window, Passage) }

// Opening is a hole in a wall (or a roof) with what fills it.
type Opening struct {
	ID     ID          `yaml:"id"`
	Title  string      `yaml:"title,omitempty"`
	Kind   OpeningKind `yaml:"kind"`
	Wall   ID          `yaml:"wall,omitempty" ref:"wall"`
	Storey ID          `yaml:"storey" ref:"storey"`
	From   XY          `yaml:"from" doc:"One jamb, on the centre line of the wall."`
	To     XY          `yaml:"to" doc:"The other jamb."`
	Sill   unit.Length `yaml:"sill,omitempty" doc:"Height of its lower edge above the reference level."`
	Width  unit.Length `yaml:"width" min:"0"`
	Height unit.Length `yaml:"height" min:"0"`
	Hinge  string      `yaml:"hinge,omitempty" enum:"from,to" doc:"Jamb that carries the hinges: from or to."`
	Rooms  []ID        `yaml:"rooms,omitempty" ref:"room" doc:"The rooms that it joins; one for an outer wall."`
	Source string      `yaml:"source,omitempty"`
	Note   string      `yaml:"note,omitempty"`
}

// Slab is a floor or a roof.
type Slab struct {
	ID      ID          `yaml:"id"`
	Title   string      `yaml:"title,omitempty"`
	Storey  ID          `yaml:"storey" ref:"storey"`
	Outline []XY        `yaml:"outline,omitempty"`
	Holes   [][]XY      `yaml:"holes,omitempty"`
	Top     unit.Length `yaml:"top,omitempty"`
	Layers  []Layer     `yaml:"layers,omitempty"`
	Source  string      `yaml:"source,omitempty"`
	Note    string      `yaml:"note,omitempty"`
}
