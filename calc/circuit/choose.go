package circuit

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Request is a final circuit whose cable and device are to be chosen.
type Request struct {
	Volts      float64 // line to neutral
	Watts      float64 // active power of the load; 0 where Amps is given
	Amps       float64 // design current; 0 where Watts is given
	Factor     float64 // power factor, above 0 up to 1; 0 for 0.8, which is what Annex G takes where it is not known
	Efficiency float64 // of a motor whose Watts are those of the shaft; 0 for 1
	ThreePhase bool

	Metres     float64   // to the farthest load
	Stretches  []Stretch // the branches, where they are known; their sections are those chosen
	Laid       Laid      // Loaded is set by ThreePhase
	Separate   bool      // the protective conductor is separate and unprotected
	Earth      float64   // mm² of the protective conductor; 0 for EarthFor
	DropBefore float64   // % that the voltage drops before the board
	Purpose    Purpose
	Private    bool // from a supply of one's own, with its higher limits of drop

	System     System
	External   float64 // Ω, the loop of the supply (in TT the electrodes, too)
	Fault      float64 // A, prospective fault current at the board; 0: breaking capacity and let-through are not checked
	LetThrough float64 // A²s of the device by its maker; 0 for that of class 3, which is held for 6 kA alone
	Residual   float64 // A, IΔn of the device that covers it; 0 for none

	Curve   string   // B, C or D; "" for B
	Fuse    bool     // a gG fuse in the place of a circuit-breaker; disconnection is then not checked
	Rating  float64  // A, where the device is there already; 0 to choose it
	Section float64  // mm², the thinnest to be taken; 0 for the thinnest of the tables
	Without []string // conditions that are left out, because what they need is not known
}

// The conditions of a choice, as Request.Without and Choice name them.
const (
	ByLoad     = "load"       // Ib ≤ In
	ByCapacity = "capacity"   // In ≤ Iz, I2 ≤ 1.45·Iz
	ByDrop     = "drop"       // Δu
	ByLoop     = "loop"       // Zs·Ia ≤ Cmin·U0
	ByTouch    = "touch"      // Zs·IΔn ≤ 50 V
	ByHeat     = "heat"       // k²S² ≥ I²t
	ByBreaking = "breaking"   // Icn ≥ the fault current
	BySize     = "least size" // the thinnest of the tables and the rules
)

// Condition is one condition with the figures put in.
type Condition struct {
	Name     string
	Figure   float64 // what the circuit has
	Limit    float64 // what it may have at most
	Unit     string
	Formula  string
	Source   string
	Pass     bool
	Headroom float64 // the limit less the figure, as a share of the limit
}

// Choice is the smallest cable and device that satisfy every condition, with all that led to them.
type Choice struct {
	Rules       string // the rule set
	Design      float64
	Device      Device
	Section     float64 // mm²
	Earth       float64 // mm²
	Carrying    Carrying
	Breaking    float64 // A; 0 where the fault current is not known
	Drop        float64 // V, along the circuit
	Loop        float64 // Ω, Zs
	ResidualWhy string  // why it needs a device of 30 mA; "" where it does not
	Conditions  []Condition
	NotChecked  []string
	Governing   string      // the condition that the next thinner cable fails first; least size where none is thinner
	Thinner     []Condition // the conditions of the next thinner cable that fail
}

// Choose finds the smallest cable, and with it the smallest device, that satisfy every condition of a request. The error
// says what the request lacks, what no table holds, or which conditions the thickest cable of the tables still fails.
func Choose(r Request, rules *Rules) (Choice, error) {
	if err := r.check(rules); err != nil {
		return Choice{}, err
	}
	r = r.filled()
	c := Choice{Rules: rules.String(), Design: r.design(), NotChecked: r.notChecked()}
	if err := r.device(&c); err != nil {
		return Choice{}, err
	}
	c.ResidualWhy = ResidualNeed(r.Purpose, c.Device.Rating, rules)
	var failed []Condition
	least := math.Max(r.Section, rules.Value(SectionLeast))
	for _, s := range Sections {
		if s < least {
			continue
		}
		try := c
		if err := r.size(&try, s, rules); err != nil {
			return Choice{}, err
		}
		fails := failing(try.Conditions)
		if len(fails) == 0 {
			try.Governing, try.Thinner = BySize, failed
			if len(failed) > 0 {
				try.Governing = worst(failed).Name
			}
			return try, nil
		}
		failed = fails
	}
	return Choice{}, fmt.Errorf("no cable up to %g mm² satisfies %s: %s", Sections[len(Sections)-1], c.Device, sentence(failed))
}

// Assess computes every condition of a request for a given cable and device, whether they pass or not.
func Assess(r Request, device Device, mm2 float64, rules *Rules) (Choice, error) {
	r.Rating, r.Curve, r.Fuse = device.Rating, device.Curve, device.Fuse
	if err := r.check(rules); err != nil {
		return Choice{}, err
	}
	r = r.filled()
	c := Choice{Rules: rules.String(), Design: r.design(), NotChecked: r.notChecked(), Device: device}
	c.ResidualWhy = ResidualNeed(r.Purpose, device.Rating, rules)
	return c, r.size(&c, mm2, rules)
}

// Passes tells whether every condition that was checked holds.
func (c Choice) Passes() bool { return len(failing(c.Conditions)) == 0 }

func failing(list []Condition) []Condition {
	return slices.DeleteFunc(slices.Clone(list), func(c Condition) bool { return c.Pass })
}

// worst is the condition that is exceeded most.
func worst(list []Condition) Condition {
	return slices.MinFunc(list, func(a, b Condition) int {
		switch {
		case a.Headroom < b.Headroom:
			return -1
		case a.Headroom > b.Headroom:
			return 1
		}
		return 0
	})
}

func sentence(list []Condition) string {
	parts := make([]string, 0, len(list))
	for _, c := range list {
		parts = append(parts, fmt.Sprintf("%s %.4g %s exceeds %.4g %s", c.Name, c.Figure, c.Unit, c.Limit, c.Unit))
	}
	return strings.Join(parts, "; ")
}

// without tells whether a condition is left out.
func (r Request) without(name string) bool { return slices.Contains(r.Without, name) }

// filled sets what a request may leave open.
func (r Request) filled() Request {
	if r.Factor == 0 {
		r.Factor = 0.8
	}
	if r.Efficiency == 0 {
		r.Efficiency = 1
	}
	if r.Curve == "" && !r.Fuse {
		r.Curve = "B"
	}
	r.Laid.Loaded = 2
	if r.ThreePhase {
		r.Laid.Loaded = 3
	}
	return r
}

// design is the design current Ib in A.
func (r Request) design() float64 {
	if r.Amps > 0 {
		return r.Amps
	}
	volts := r.Volts
	if r.ThreePhase {
		volts *= math.Sqrt(3)
	}
	return Current(r.Watts/r.Efficiency, volts, r.Factor, r.ThreePhase)
}

// device chooses the smallest rating that carries the load, or takes the one that is there.
func (r Request) device(c *Choice) error {
	c.Device = Device{Fuse: r.Fuse, Curve: r.Curve, Rating: r.Rating}
	if r.Rating > 0 {
		return nil
	}
	for _, in := range Ratings {
		if (!r.Fuse || in >= 16) && c.Design <= in*(1+1e-12) {
			c.Device.Rating = in
			return nil
		}
	}
	return fmt.Errorf("a design current of %.4g A: expected at most %g A of a final circuit", c.Design, Ratings[len(Ratings)-1])
}

// notChecked lists the conditions that the request leaves out, and those that its device makes impossible.
func (r Request) notChecked() []string {
	list := slices.Clone(r.Without)
	if r.Fault == 0 {
		list = append(list, ByHeat, ByBreaking)
	}
	if r.Fuse {
		list = append(list, ByLoop, ByHeat)
	}
	slices.Sort(list)
	return slices.Compact(list)
}
