package allot

import (
	"fmt"

	"wirewright/catalogue"
	"wirewright/house"
)

// Options bound and weigh the search.
type Options struct {
	Budget int             // most nodes a part may visit; 0 for BudgetUsual
	Remote catalogue.Price // what a key and a lamp of one room on different controllers cost; 0 for RemoteUsual, below 0 for nothing
}

// The usual options.
const (
	BudgetUsual = 400_000
	RemoteUsual = catalogue.Price(6_000_000) // 6.00: about the work of looking into one network fault, our own choice
)

// Stop is why a search ended.
type Stop string

// The reasons to stop.
const (
	Exact  Stop = "exact"  // the value is proved least
	Budget Stop = "budget" // the budget of nodes ran out; the bound says how far off it may be
	Shared Stop = "shared" // terminals that several channels share were filled by a rule of thumb
)

// Part is one independent piece of the allotment.
type Part struct {
	Name  string          `json:"name"`  // "room hall", "board board2, relay outputs"
	Value catalogue.Price `json:"value"` // price of its new modules and of the preference
	Bound catalogue.Price `json:"bound"` // no allotment of this part costs less
	Nodes int             `json:"nodes"`
	Stop  Stop            `json:"stop"`

	model model // for Export
}

// Decision says how a point is reached, and why.
type Decision struct {
	Point  house.ID         `json:"point"`
	Medium catalogue.Medium `json:"medium"`
	Why    string           `json:"why"`
}

// Open is a point that could not be landed.
type Open struct {
	Point  house.ID `json:"point"`
	Reason string   `json:"reason"`
	Remedy string   `json:"remedy"`
}

// Result is an allotment.
type Result struct {
	House     *house.House    `json:"-"`     // the house with the new modules and lines
	Price     catalogue.Price `json:"price"` // of all new modules, heads and supplies included
	Value     catalogue.Price `json:"value"` // of the parts, preference included
	Bound     catalogue.Price `json:"bound"`
	Parts     []Part          `json:"parts"`
	Decisions []Decision      `json:"decisions"`
	Open      []Open          `json:"open"`
	Notes     []string        `json:"notes"` // what was assumed
	New       []house.ID      `json:"new"`   // the new modules
}

// Exact tells whether every part is proved least.
func (r *Result) Exact() bool {
	for _, p := range r.Parts {
		if p.Stop != Exact {
			return false
		}
	}
	return true
}

// Allot lands every point of the house that has not landed yet. The house given is not changed. An error says that the
// house names a type which the catalogue does not have; points that cannot land are no error but stand in Result.Open.
func Allot(h *house.House, c *catalogue.Catalogue, opt Options) (*Result, error) {
	if opt.Budget <= 0 {
		opt.Budget = BudgetUsual
	}
	if opt.Remote == 0 {
		opt.Remote = RemoteUsual
	}
	opt.Remote = max(opt.Remote, 0)
	j, err := newJob(h, c, opt)
	if err != nil {
		return nil, err
	}
	j.decide()
	j.boards()
	j.rooms()
	j.lines()
	j.addresses()
	r := j.result
	for _, p := range r.Parts {
		r.Value += p.Value
		r.Bound += p.Bound
	}
	for _, id := range r.New {
		r.Price += j.typeOf(id).Price
	}
	return r, nil
}

// job is one allotment while it is being made.
type job struct {
	house   *house.House // the copy that is being filled
	cat     *catalogue.Catalogue
	opt     Options
	index   *house.Index // of the house as it came
	volts   float64
	result  *Result
	types   map[house.ID]*catalogue.Type // of every module, old and new
	taken   map[string]bool              // identities, addresses and host names in use
	inRooms map[groupKey][]item          // what is gathered room by room
	atBoard map[house.ID][]item          // what has its cable to a board
	used    map[house.ID]map[string]bool // channels in use by module
	at      map[house.ID]int             // index of every module in the house being filled
	reach   reach                        // ways of the bus cable
}

// groupKey names one room search: radio and wired points of a room are apart.
type groupKey struct {
	room   house.ID
	medium catalogue.Medium
}

// item is one point that must land: one channel, or as many as a keypad has keys.
type item struct {
	point    *house.Point
	channels int
}

func newJob(h *house.House, c *catalogue.Catalogue, opt Options) (*job, error) {
	copied := *h
	copied.Modules = append([]house.Module(nil), h.Modules...)
	copied.Lines = append([]house.Line(nil), h.Lines...)
	j := &job{house: &copied, cat: c, opt: opt, index: house.NewIndex(h), volts: 230, result: &Result{House: &copied},
		types: map[house.ID]*catalogue.Type{}, taken: map[string]bool{}, inRooms: map[groupKey][]item{},
		atBoard: map[house.ID][]item{}, used: map[house.ID]map[string]bool{}, at: map[house.ID]int{}}
	if v := h.Site.Supply.Voltage.V(); v > 0 {
		j.volts = v
	}
	for i := range copied.Modules {
		m := &copied.Modules[i]
		t, ok := c.Type(m.Type)
		if !ok {
			return nil, fmt.Errorf("module %s: type %q is not in the catalogue: correct it or add the type", m.ID, m.Type)
		}
		m.Landings = append([]house.Landing(nil), m.Landings...)
		j.types[m.ID], j.at[m.ID] = t, i
		j.reserve(m)
	}
	return j, nil
}

// reserve notes the names, addresses and channels that a module uses.
func (j *job) reserve(m *house.Module) {
	for _, s := range []string{string(m.ID), m.Address, m.Host} {
		j.taken[s] = true
	}
	channels := map[string]bool{}
	for _, l := range m.Landings {
		channels[l.Channel] = true
	}
	j.used[m.ID] = channels
}

func (j *job) typeOf(id house.ID) *catalogue.Type { return j.types[id] }
