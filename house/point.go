package house

import "wirewright/unit"

// Kind is what a point is: something that the system moves, or something that it reads.
type Kind string

// The kinds of point that are moved.
const (
	Lamp      Kind = "lamp"
	Shutter   Kind = "shutter"
	Awning    Kind = "awning"
	Valve     Kind = "valve"
	Socket    Kind = "socket"
	Fan       Kind = "fan"
	Gate      Kind = "gate"
	Contactor Kind = "contactor"
)

// The kinds of point that are read.
const (
	Keypad      Kind = "keypad"
	Contact     Kind = "contact"
	Presence    Kind = "presence"
	Thermometer Kind = "temperature"
	Light       Kind = "light"
	Wind        Kind = "wind"
	Rain        Kind = "rain"
	Meter       Kind = "meter"
)

// Kinds lists every kind of point, those that are moved first.
var Kinds = []Kind{Lamp, Shutter, Awning, Valve, Socket, Fan, Gate, Contactor,
	Keypad, Contact, Presence, Thermometer, Light, Wind, Rain, Meter}

// Values lists every kind of point, for the text form.
func (Kind) Values() []string { return texts(Kinds...) }

// Moved tells whether the system moves a point of this kind, rather than reads it.
func (k Kind) Moved() bool {
	switch k {
	case Lamp, Shutter, Awning, Valve, Socket, Fan, Gate, Contactor:
		return true
	}
	return false
}

// Motorised tells whether points of this kind travel between two ends under a motor.
func (k Kind) Motorised() bool { return k == Shutter || k == Awning }

// Point is one thing that the system moves or reads.
type Point struct {
	ID      ID          `yaml:"id"`
	Title   string      `yaml:"title,omitempty"`
	Kind    Kind        `yaml:"kind"`
	Room    ID          `yaml:"room,omitempty" ref:"room"`
	At      *XYZ        `yaml:"at,omitempty" doc:"Where it is, in metres; left out where it is not yet known."`
	Facing  *unit.Angle `yaml:"facing,omitempty" min:"-360 °" max:"360 °" doc:"Outward direction, clockwise from true north."`
	Opening ID          `yaml:"opening,omitempty" ref:"opening" doc:"The window, door or gate that it belongs to."`
	Circuit ID          `yaml:"circuit,omitempty" ref:"circuit" doc:"Circuit that feeds the load."`
	Wiring  Wiring      `yaml:"wiring,omitempty" doc:"Control wiring to this very point, where it differs from its room."`
	Box     *Box        `yaml:"box,omitempty" doc:"The wall box or ceiling void behind it."`
	Load    *Load       `yaml:"load,omitempty" doc:"What is moved: its electrical side."`
	Travel  *Travel     `yaml:"travel,omitempty" doc:"Motor points: travel times."`
	Keys    []string    `yaml:"keys,omitempty" doc:"Keypads: what is written on each key, in order."`
	Fitted  bool        `yaml:"fitted,omitempty" doc:"The device is there already (push-buttons, a contact) and needs an input; else a module may bring it."`
	Plain   bool        `yaml:"plain,omitempty" doc:"It is there, but the system neither moves nor reads it: an ordinary socket. It needs no landing."`
	Source  string      `yaml:"source,omitempty"`
	Note    string      `yaml:"note,omitempty"`
}

// Box is the wall box or ceiling void behind a point, where a module might go.
type Box struct {
	Depth   unit.Length `yaml:"depth,omitempty" min:"0"`
	Neutral bool        `yaml:"neutral,omitempty" doc:"A neutral conductor is in the box."`
	Note    string      `yaml:"note,omitempty"`
}

// Category is the kind of electrical load that an output must carry.
type Category string

// The load categories; ratings in the catalogue are given for each.
const (
	Resistive    Category = "resistive"    // heaters, AC-1 / AC-7a
	Incandescent Category = "incandescent" // filament and mains halogen lamps, AC-5b
	LED          Category = "led"          // LED lamps and drivers, counted by inrush
	Fluorescent  Category = "fluorescent"  // discharge lamps with ballast, AC-5a
	Transformer  Category = "transformer"  // electronic or wound transformers, AC-6a
	Motor        Category = "motor"        // AC-3 / AC-7b
	Coil         Category = "coil"         // contactor coils and other electromagnets, AC-15
	Dry          Category = "dry"          // signal input of another device, extra-low voltage
)

// Categories lists every load category.
var Categories = []Category{Resistive, Incandescent, LED, Fluorescent, Transformer, Motor, Coil, Dry}

// Values lists every load category, for the text form.
func (Category) Values() []string { return texts(Categories...) }

// Load is the electrical side of what is moved.
type Load struct {
	Category Category      `yaml:"category"`
	Power    unit.Power    `yaml:"power,omitempty" min:"0" doc:"Active power of all of it together."`
	Apparent unit.Apparent `yaml:"apparent,omitempty" min:"0" doc:"Apparent power of all of it together, where the label gives it."`
	Factor   float64       `yaml:"factor,omitempty" above:"0" max:"1" doc:"Power factor, above 0 up to 1."`
	Count    int           `yaml:"count,omitempty" min:"0" max:"10000" doc:"How many lamps or drivers; 1 where left out."`
	Inrush   unit.Current  `yaml:"inrush,omitempty" min:"0" doc:"Peak closing current of one lamp or driver."`
	Isolated bool          `yaml:"isolated,omitempty" doc:"Several motors: each has an isolating relay of its own, so that their windings are never joined."`
	Dimmed   bool          `yaml:"dimmed,omitempty"`
	Edge     string        `yaml:"edge,omitempty" enum:"leading,trailing,either" doc:"Phase-cut method that the lamp takes: leading, trailing or either."`
	Lowest   unit.Percent  `yaml:"lowest,omitempty" min:"0" max:"100 %" doc:"Lowest level at which it burns steadily."`
	Note     string        `yaml:"note,omitempty"`
}

// Travel is how long a motor point takes from end to end.
type Travel struct {
	Up    unit.Duration `yaml:"up"`
	Down  unit.Duration `yaml:"down"`
	Slats unit.Duration `yaml:"slats,omitempty" doc:"Time to turn the slats fully; left out where there are none."`
}
