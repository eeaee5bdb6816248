package house

// FormatName stands on the first line of the text form and names the edition of the model.
const FormatName = "wirewright house 1"

// ID is the identity of an entity: lower-case words of letters, digits and hyphens joined by dots, e.g.
// "living.ceiling". Letters of any script are allowed. An ID never changes once it has stood in a revision.
type ID string

// House is one house at one revision. The zero value is an empty house.
type House struct {
	Format     string    `yaml:"format" doc:"Edition of this text form; always \"wirewright house 1\"."`
	Title      string    `yaml:"title,omitempty" doc:"What people call the job."`
	Note       string    `yaml:"note,omitempty"`
	Site       Site      `yaml:"site" doc:"Place, time zone and supply."`
	Network    Network   `yaml:"network,omitempty" doc:"Router, access points, addresses and broker."`
	Storeys    []Storey  `yaml:"storeys,omitempty"`
	Rooms      []Room    `yaml:"rooms,omitempty"`
	Walls      []Wall    `yaml:"walls,omitempty"`
	Openings   []Opening `yaml:"openings,omitempty"`
	Slabs      []Slab    `yaml:"slabs,omitempty"`
	Boards     []Board   `yaml:"boards,omitempty"`
	Circuits   []Circuit `yaml:"circuits,omitempty"`
	Points     []Point   `yaml:"points,omitempty"`
	Modules    []Module  `yaml:"modules,omitempty"`
	Lines      []Line    `yaml:"lines,omitempty"`
	Wishes     []Wish    `yaml:"wishes,omitempty"`
	Behaviour  string    `yaml:"behaviour,omitempty" doc:"The behaviour text: what every key, sensor and clock does."`
	Acceptance string    `yaml:"acceptance,omitempty" doc:"Acceptance tests written by hand, beside those made from the rules."`
}
