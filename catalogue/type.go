package catalogue

import (
	"strconv"

	"wirewright/house"
	"wirewright/unit"
)

// Medium is how a module is reached.
type Medium string

// The media.
const (
	Wired   Medium = "wired"   // on an extra-low-voltage bus line
	WiFi    Medium = "wifi"    // on the house network by radio
	Gateway Medium = "gateway" // another make's device, driven through a mapping
	NoBus   Medium = "none"    // a bus supply and the like: fed, but not addressed
)

// Role is what a module is for.
type Role string

// The roles.
const (
	RoleModule Role = "module" // inputs and outputs
	RoleHead   Role = "head"   // executes for a wired line
	RoleSupply Role = "supply" // feeds a wired line
)

// Mount is where a module goes.
type Mount string

// The mounts.
const (
	Rail    Mount = "rail"    // DIN rail of a board
	BoxIn   Mount = "box"     // in a wall box behind a plate or in a ceiling void
	Plate   Mount = "plate"   // on a wall box, visible: keypads
	Surface Mount = "surface" // on a wall, ceiling or mast: sensors
)

// ChannelKind is what a channel does.
type ChannelKind string

// The kinds of channel; the value is also the prefix of the channel's name.
const (
	Relay    ChannelKind = "out"
	Dimmer   ChannelKind = "dim"
	MotorOut ChannelKind = "sh"
	ValveOut ChannelKind = "val"
	Input    ChannelKind = "in"
	Analogue ChannelKind = "ai"
	Key      ChannelKind = "key"
	TempIn   ChannelKind = "temp"
	LightIn  ChannelKind = "light"
	Presence ChannelKind = "presence"
	WindIn   ChannelKind = "wind"
	RainIn   ChannelKind = "rain"
	MeterIn  ChannelKind = "meter"
)

// Output tells whether channels of this kind move something.
func (k ChannelKind) Output() bool {
	return k == Relay || k == Dimmer || k == MotorOut || k == ValveOut
}

// Type is one entry of the catalogue.
type Type struct {
	ID       string         `yaml:"id" doc:"Short name that modules refer to."`
	Title    string         `yaml:"title"`
	Medium   Medium         `yaml:"medium"`
	Role     Role           `yaml:"role,omitempty" doc:"module where left out."`
	Mount    Mount          `yaml:"mount"`
	Units    int            `yaml:"units,omitempty" doc:"Rail width in 17.5 mm units."`
	Depth    unit.Length    `yaml:"depth,omitempty" doc:"Depth that it needs in a wall box."`
	Neutral  bool           `yaml:"neutral,omitempty" doc:"Needs a neutral conductor."`
	Channels []ChannelGroup `yaml:"channels,omitempty"`
	Bus      *Bus           `yaml:"bus,omitempty" doc:"What it takes from, or gives to, a line."`
	Heat     unit.Power     `yaml:"heat,omitempty" min:"0" doc:"Heat at full load."`
	Standby  unit.Power     `yaml:"standby,omitempty" min:"0" doc:"Mains power while nothing happens."`
	Common   unit.Current   `yaml:"common,omitempty" min:"0" doc:"Most that all outputs may carry together (shared terminal)."`
	Radio    *Radio         `yaml:"radio,omitempty"`
	Capacity *Capacity      `yaml:"capacity,omitempty" doc:"Room for a program; only what executes has one."`
	Display  int            `yaml:"display,omitempty" min:"0" max:"64" doc:"Pages of its display; 0 for none."`
	Price    Price          `yaml:"price,omitempty" min:"0"`
	Driver   *Driver        `yaml:"driver,omitempty" doc:"Gateway types: how the device is spoken to."`
	Note     string         `yaml:"note,omitempty"`
}

// ChannelGroup is a number of equal channels.
type ChannelGroup struct {
	Kind    ChannelKind   `yaml:"kind"`
	Count   int           `yaml:"count" min:"1" max:"64"`
	Ratings []Rating      `yaml:"ratings,omitempty" doc:"Outputs: what a channel may carry, by load category."`
	Edge    string        `yaml:"edge,omitempty" enum:"leading,trailing,either" doc:"Dimmers: leading, trailing or either."`
	Least   unit.Power    `yaml:"least,omitempty" min:"0" doc:"Dimmers: smallest load that burns steadily."`
	Pause   unit.Duration `yaml:"pause,omitempty" doc:"Motor outputs: least pause before a reversal."`
	Derate  []Derate      `yaml:"derate,omitempty" doc:"Outputs: what is left of every rating in heat, and with many channels loaded; the least share that applies counts."`
	Note    string        `yaml:"note,omitempty"`
}

// Rating is what one channel may carry of one load category; a limit left out does not apply.
type Rating struct {
	Category house.Category `yaml:"category"`
	Current  unit.Current   `yaml:"current,omitempty" min:"0"`
	Power    unit.Power     `yaml:"power,omitempty" min:"0"`
	Apparent unit.Apparent  `yaml:"apparent,omitempty" min:"0"`
	Count    int            `yaml:"count,omitempty" min:"0" doc:"Most lamps or drivers."`
	Inrush   unit.Current   `yaml:"inrush,omitempty" min:"0" doc:"Most summed closing current, peak."`
	Source   string         `yaml:"source,omitempty"`
}

// Derate is one row of the derating table of a type: the share of every rating of current and power that is left where its
// conditions are met. One that is left out is always met.
type Derate struct {
	Above  unit.Temperature `yaml:"above,omitempty" min:"-40 °C" max:"100 °C" doc:"Air around the module, from this temperature on."`
	Loaded int              `yaml:"loaded,omitempty" min:"0" max:"64" doc:"Channels of the group loaded at a time, from this number on."`
	Share  unit.Percent     `yaml:"share" above:"0" max:"100 %" doc:"What is left of a rating."`
}

// Left is the share of its ratings, above 0 up to 1, that a channel of the group has in air of a temperature in °C with so
// many channels of the group loaded at a time: the least of all rows that apply.
func (g *ChannelGroup) Left(air float64, loaded int) float64 {
	left := 1.0
	for _, d := range g.Derate {
		heat := d.Above == 0 || air >= d.Above.C()
		many := d.Loaded == 0 || loaded >= d.Loaded
		if share := d.Share.Pct() / 100; heat && many && share > 0 {
			left = min(left, share)
		}
	}
	return left
}

// Bus is the side of a type that faces a wired line.
type Bus struct {
	Draw      unit.Current `yaml:"draw,omitempty" min:"0" doc:"Current that it takes, outputs on."`
	Supply    unit.Current `yaml:"supply,omitempty" min:"0" doc:"Current that a supply gives."`
	Voltage   unit.Voltage `yaml:"voltage,omitempty" doc:"Nominal voltage."`
	Least     unit.Voltage `yaml:"least,omitempty" min:"0" doc:"Lowest voltage at which it works."`
	Parallel  bool         `yaml:"parallel,omitempty" doc:"Supplies: may stand in parallel with others that may, on one line."`
	UnitLoad  float64      `yaml:"unit-load,omitempty" min:"0" max:"32" doc:"Share of a receiver load (TIA-485-A)."`
	MaxTaps   int          `yaml:"max-taps,omitempty" min:"0" doc:"Heads: most modules on the line."`
	MaxLength unit.Length  `yaml:"max-length,omitempty" min:"0" doc:"Heads: most cable in all; 300 m where left out (common practice, no source)."`
	MaxStub   unit.Length  `yaml:"max-stub,omitempty" min:"0" doc:"Heads: longest branch from the trunk; that of a driver of 250 ns where left out."`
}

// Radio is the radio side of a type.
type Radio struct {
	Power       unit.Level `yaml:"power" min:"-20 dBm" max:"30 dBm" doc:"Conducted transmit power."`
	Gain        unit.Gain  `yaml:"gain,omitempty" min:"-20 dB" max:"20 dB" doc:"Antenna gain."`
	Sensitivity unit.Level `yaml:"sensitivity" min:"-120 dBm" max:"-40 dBm" doc:"Level at which the lowest rate still works."`
}

// Capacity bounds the program that a type executes.
type Capacity struct {
	Rules int `yaml:"rules" min:"1"`
	Bytes int `yaml:"bytes" min:"1"`
	Slots int `yaml:"slots" min:"1"`
}

// Driver maps the channels of another make's device to its protocol; exactly one side is filled in.
type Driver struct {
	MQTT   []MQTTMap   `yaml:"mqtt,omitempty"`
	Modbus []ModbusMap `yaml:"modbus,omitempty"`
}

// MQTTMap is how one channel is commanded and read over MQTT. In payloads, {value} stands for the value.
type MQTTMap struct {
	Channel string `yaml:"channel"`
	Command string `yaml:"command,omitempty" doc:"Topic to publish to; {host} stands for the module's host name."`
	On      string `yaml:"on,omitempty"`
	Off     string `yaml:"off,omitempty"`
	State   string `yaml:"state,omitempty" doc:"Topic that reports."`
	Field   string `yaml:"field,omitempty" doc:"Member of a JSON report that holds the value; the whole payload where left out."`
}

// ModbusMap is how one channel is commanded and read over Modbus.
type ModbusMap struct {
	Channel string  `yaml:"channel"`
	Table   string  `yaml:"table" enum:"coil,discrete,holding,input" doc:"coil, discrete, holding or input."`
	Address int     `yaml:"address" min:"0" max:"65535" doc:"Zero-based address in the protocol data unit."`
	Scale   float64 `yaml:"scale,omitempty" doc:"Value = register × scale; 1 where left out."`
}

// Price is a price in millionths of the job's currency.
type Price int64

// Channel is one channel of a type.
type Channel struct {
	Name  string
	Group *ChannelGroup
}

// ChannelList lists the channels of the type in the order of its groups, names counted through each kind; at most 64 of
// a group, so that a type that Load would refuse cannot exhaust memory.
func (t *Type) ChannelList() []Channel {
	var list []Channel
	count := map[ChannelKind]int{}
	for i := range t.Channels {
		g := &t.Channels[i]
		for range min(g.Count, channelsMost) {
			count[g.Kind]++
			list = append(list, Channel{string(g.Kind) + strconv.Itoa(count[g.Kind]), g})
		}
	}
	return list
}

// Channel finds a channel by name.
func (t *Type) Channel(name string) (Channel, bool) {
	for _, c := range t.ChannelList() {
		if c.Name == name {
			return c, true
		}
	}
	return Channel{}, false
}

// Does is the role of the type; RoleModule where the field is left out.
func (t *Type) Does() Role {
	if t.Role == "" {
		return RoleModule
	}
	return t.Role
}

// Executes tells whether a program can be loaded into modules of this type: line heads and Wi-Fi modules.
func (t *Type) Executes() bool { return t.Capacity != nil }

// Cable is a cable of the catalogue, mains or bus.
type Cable struct {
	ID      string          `yaml:"id"`
	Title   string          `yaml:"title"`
	Section unit.Section    `yaml:"section,omitempty"`
	Loop    unit.Resistance `yaml:"loop,omitempty" doc:"Loop resistance of one kilometre at 20 °C."`
	Price   Price           `yaml:"price,omitempty" min:"0" doc:"Of one metre."`
	Source  string          `yaml:"source,omitempty"`
	Note    string          `yaml:"note,omitempty"`
}

// Material is a building material with its radio side; Words are how drawings name it.
type Material struct {
	ID     string   `yaml:"id"`
	Title  string   `yaml:"title"`
	Words  []string `yaml:"words,omitempty"`
	A      float64  `yaml:"a,omitempty" doc:"Relative permittivity at 1 GHz (ITU-R P.2040)."`
	B      float64  `yaml:"b,omitempty" min:"-10" max:"10"`
	C      float64  `yaml:"c,omitempty" min:"0" doc:"Conductivity at 1 GHz, S/m (ITU-R P.2040)."`
	D      float64  `yaml:"d,omitempty" min:"-10" max:"10"`
	Opaque bool     `yaml:"opaque,omitempty" doc:"Blocks radio: metal and foil."`
	Source string   `yaml:"source,omitempty"`
}

// Catalogue is everything that a house can be equipped with.
type Catalogue struct {
	Format    string     `yaml:"format"`
	Note      string     `yaml:"note,omitempty"`
	Types     []Type     `yaml:"types,omitempty"`
	Cables    []Cable    `yaml:"cables,omitempty"`
	Materials []Material `yaml:"materials,omitempty"`

	types map[string]*Type
}
