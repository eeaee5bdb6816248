package house

import "wirewright/unit"

// Module is one device of the catalogue in this house: where it sits, what feeds it, and what lands on its channels.
type Module struct {
	ID       ID        `yaml:"id"`
	Title    string    `yaml:"title,omitempty"`
	Type     string    `yaml:"type" doc:"Catalogue type."`
	Board    ID        `yaml:"board,omitempty" ref:"board" doc:"The board that it sits in; or:"`
	Row      int       `yaml:"row,omitempty" min:"0" max:"100" doc:"Row of the board, from 1 at the top."`
	Slot     int       `yaml:"slot,omitempty" min:"0" max:"200" doc:"First width unit in the row, from 1 at the left."`
	Point    ID        `yaml:"point,omitempty" ref:"point" doc:"The point in whose box it sits; or:"`
	Room     ID        `yaml:"room,omitempty" ref:"room" doc:"The room where it hangs."`
	At       *XYZ      `yaml:"at,omitempty"`
	Circuit  ID        `yaml:"circuit,omitempty" ref:"circuit" doc:"Circuit that feeds it."`
	Landings []Landing `yaml:"landings,omitempty"`
	Address  string    `yaml:"address,omitempty" doc:"Planned address: IPv4 for network modules, number on the line for wired ones."`
	Host     string    `yaml:"host,omitempty" doc:"Planned host name (RFC 1123)."`
	Hardware string    `yaml:"hardware,omitempty" doc:"Identity of the very device, once it is enrolled: its MAC address or serial number."`
	Fixed    bool      `yaml:"fixed,omitempty" doc:"Placed by a person; the allotment keeps it."`
	Note     string    `yaml:"note,omitempty"`
}

// Landing is one point connected to one channel.
type Landing struct {
	Channel string `yaml:"channel" doc:"Channel of the module's type, e.g. out1."`
	Point   ID     `yaml:"point" ref:"point"`
	Key     int    `yaml:"key,omitempty" min:"0" max:"100" doc:"For a keypad on inputs: which of its keys, from 1."`
	Fixed   bool   `yaml:"fixed,omitempty" doc:"Landed by a person; the allotment keeps it."`
	Note    string `yaml:"note,omitempty"`
}

// Line is a wired extra-low-voltage bus line in serial topology.
type Line struct {
	ID    ID     `yaml:"id"`
	Title string `yaml:"title,omitempty"`
	Head  ID     `yaml:"head" ref:"module" doc:"The module that executes for every module on the line."`
	Cable string `yaml:"cable,omitempty" doc:"Catalogue cable."`
	Taps  []Tap  `yaml:"taps,omitempty" doc:"The modules in the order in which the cable passes them."`
	Note  string `yaml:"note,omitempty"`
}

// Tap is one module, supply or head on a line.
type Tap struct {
	Module ID          `yaml:"module" ref:"module"`
	Length unit.Length `yaml:"length,omitempty" min:"0" doc:"Cable from the tap before it, as laid."`
	Stub   unit.Length `yaml:"stub,omitempty" min:"0" doc:"Branch from the trunk to its terminals."`
	From   ID          `yaml:"from,omitempty" ref:"module" doc:"The tap that the cable comes from, where that is not the one before."`
	Ended  bool        `yaml:"ended,omitempty" doc:"A terminating resistor sits here."`
	Note   string      `yaml:"note,omitempty"`
}

// Wish is what the client asked for, in the client's words.
type Wish struct {
	ID    ID     `yaml:"id"`
	Text  string `yaml:"text"`
	Who   string `yaml:"who,omitempty"`
	Rooms []ID   `yaml:"rooms,omitempty" ref:"room"`
	Note  string `yaml:"note,omitempty"`
}
