package house

import "wirewright/unit"

// Site is where the house stands and what feeds it.
type Site struct {
	Place     string     `yaml:"place,omitempty"`
	Latitude  unit.Angle `yaml:"latitude,omitempty" min:"-90 °" max:"90 °" doc:"North positive."`
	Longitude unit.Angle `yaml:"longitude,omitempty" min:"-180 °" max:"180 °" doc:"East positive."`
	North     unit.Angle `yaml:"north,omitempty" min:"-360 °" max:"360 °" doc:"Direction of true north, counter-clockwise from the y axis of the plan."`
	Zone      string     `yaml:"zone,omitempty" doc:"Time zone as named in the IANA database, e.g. Europe/Vienna."`
	Currency  string     `yaml:"currency,omitempty" doc:"ISO 4217 code for prices."`
	Supply    Supply     `yaml:"supply,omitempty"`
	Note      string     `yaml:"note,omitempty"`
}

// Supply is the mains supply at the origin of the installation.
type Supply struct {
	Voltage  unit.Voltage    `yaml:"voltage,omitempty" min:"0" max:"1000 V" doc:"Line to neutral; low voltage ends at 1000 V (IEC 60364-1)."`
	Phases   int             `yaml:"phases,omitempty" enum:"1,3" doc:"1 or 3."`
	Earthing Earthing        `yaml:"earthing,omitempty"`
	Loop     unit.Resistance `yaml:"loop,omitempty" min:"0" doc:"External earth fault loop impedance Ze."`
	Fault    unit.Current    `yaml:"fault,omitempty" min:"0" doc:"Prospective fault current at the origin."`
	Main     unit.Current    `yaml:"main,omitempty" min:"0" doc:"Rated current of the main device."`
	Note     string          `yaml:"note,omitempty"`
}

// Earthing is the type of system earthing, IEC 60364-1.
type Earthing string

// The system earthings of IEC 60364-1.
const (
	TNS  Earthing = "TN-S"
	TNCS Earthing = "TN-C-S"
	TNC  Earthing = "TN-C"
	TT   Earthing = "TT"
	IT   Earthing = "IT"
)

// Values lists every system earthing, for the text form.
func (Earthing) Values() []string { return texts(TNS, TNCS, TNC, TT, IT) }

// Network is the data network that the controllers use.
type Network struct {
	Name         string        `yaml:"name,omitempty" doc:"Wi-Fi network name (SSID)."`
	Subnet       string        `yaml:"subnet,omitempty" doc:"IPv4 network, e.g. 192.168.10.0/24."`
	Router       string        `yaml:"router,omitempty" doc:"IPv4 address of the router."`
	PoolFirst    string        `yaml:"pool-first,omitempty" doc:"First address that the router gives to others."`
	PoolLast     string        `yaml:"pool-last,omitempty" doc:"Last address that the router gives to others."`
	Broker       string        `yaml:"broker,omitempty" doc:"MQTT broker as host:port; empty for the embedded one."`
	AccessPoints []AccessPoint `yaml:"access-points,omitempty"`
	Note         string        `yaml:"note,omitempty"`
}

// AccessPoint is a Wi-Fi access point.
type AccessPoint struct {
	ID      ID             `yaml:"id"`
	Title   string         `yaml:"title,omitempty"`
	Room    ID             `yaml:"room,omitempty" ref:"room"`
	At      *XYZ           `yaml:"at,omitempty"`
	EIRP    unit.Level     `yaml:"eirp,omitempty" doc:"Equivalent isotropically radiated power."`
	Channel int            `yaml:"channel,omitempty" min:"0" max:"233" doc:"Channel number (IEEE 802.11)."`
	Centre  unit.Frequency `yaml:"centre,omitempty" doc:"Centre frequency where no channel number says it."`
	Note    string         `yaml:"note,omitempty"`
}
