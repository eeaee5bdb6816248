package room

import "math"

// Mass is how heavy a room is built: the rows of ISO 13790, table 12.
type Mass uint8

// The masses.
const (
	VeryLight Mass = iota
	Light
	Medium
	Heavy
	VeryHeavy
)

// factors gives the effective mass area and the heat capacity of a square metre of floor (table 12).
func (m Mass) factors() (area, capacity float64) {
	switch m {
	case VeryLight:
		return 2.5, 80e3
	case Light:
		return 2.5, 110e3
	case Heavy:
		return 3.0, 260e3
	case VeryHeavy:
		return 3.5, 370e3
	}
	return 2.5, 165e3
}

// Built is a room as built.
type Built struct {
	Floor   float64 // conditioned floor area, m²
	Volume  float64 // air volume, m³
	Change  float64 // air changes an hour
	Opaque  float64 // transmission through opaque parts, W/K
	Windows float64 // transmission through windows and doors, W/K
	Mass    Mass
}

// Hourly is a room prepared for the simple hourly method. Conductances are in W/K.
type Hourly struct {
	floor            float64 // m²
	massArea, area   float64 // Am and At, m²
	capacity         float64 // Cm, J/K
	windows, air     float64 // H_tr,w and H_ve
	surface, mass    float64 // H_tr,is and H_tr,ms
	outside          float64 // H_tr,em
	net1, net2, net3 float64 // H_tr,1 to H_tr,3
}

// airLeast keeps a sealed room from dividing by zero, W/K.
const airLeast = 0.01

// NewHourly prepares a room.
func NewHourly(b Built) Hourly {
	area, capacity := b.Mass.factors()
	r := Hourly{floor: b.Floor, massArea: area * b.Floor, area: 4.5 * b.Floor, capacity: capacity * b.Floor, windows: b.Windows}
	r.air = math.Max(airLeast, 1200*b.Volume*b.Change/3600)
	r.surface = 3.45 * r.area                  // equation 9
	r.mass = 9.1 * r.massArea                  // equation 64
	r.outside = 1 / (1/b.Opaque - 1/r.mass)    // equation 63
	r.net1 = 1 / (1/r.air + 1/r.surface)       // equation C.6
	r.net2 = r.net1 + r.windows                // equation C.7
	r.net3 = 1 / (1/r.net2 + 1/r.mass)         // equation C.8
	if !(b.Opaque > 0) || b.Opaque >= r.mass { // no opaque loss, or none that the mass would feel
		r.outside = math.Max(0, math.Min(b.Opaque, r.mass))
	}
	return r
}

// TimeConstant is that of the mass node, in hours.
func (r Hourly) TimeConstant() float64 { return r.capacity / 3600 / (r.net3 + r.outside) }

// Hour is what acts on a room during one hour.
type Hour struct {
	Outside  float64 // °C; also of the air supplied
	Internal float64 // heat of people and devices, W
	Sun      float64 // heat of the sun through windows, W
}

// Plant is what a room is kept at and what keeps it; zero powers mean none.
type Plant struct {
	Heat, Cool           float64 // set points of the air, °C
	HeatPower, CoolPower float64 // greatest powers, W, both positive
}

// Result is a room at the end of an hour; temperatures of air and surfaces are the hour's means.
type Result struct {
	Power     float64 // heating positive, cooling negative, W
	Mass      float64 // mass node at the end of the hour, °C
	Surface   float64 // °C
	Air       float64 // °C
	Operative float64 // what a person feels, °C
}

// Step carries the mass from its temperature at the start of an hour through the hour, with the power that the plant
// gives to hold the set points (C.4.2).
func (r Hourly) Step(mass float64, h Hour, p Plant) Result {
	free := r.with(mass, h, 0)
	set := p.Heat
	switch {
	case free.Air < p.Heat && p.HeatPower > 0:
	case free.Air > p.Cool && p.CoolPower > 0:
		set = p.Cool
	default:
		return free
	}
	trial := 10 * r.floor
	need := trial * (set - free.Air) / (r.with(mass, h, trial).Air - free.Air) // equation C.13
	return r.with(mass, h, math.Max(-p.CoolPower, math.Min(p.HeatPower, need)))
}

// with solves the network for a given power.
func (r Hourly) with(mass float64, h Hour, power float64) Result {
	toAir := 0.5 * h.Internal                                                                           // C.1
	toMass := r.massArea / r.area * (0.5*h.Internal + h.Sun)                                            // C.2
	toSurface := (1 - r.massArea/r.area - r.windows/(9.1*r.area)) * (0.5*h.Internal + h.Sun)            // C.3
	viaAir := h.Outside + (toAir+power)/r.air                                                           // supply air warmed by what enters it
	total := toMass + r.outside*h.Outside + r.net3*(toSurface+r.windows*h.Outside+r.net1*viaAir)/r.net2 // C.5
	c, half := r.capacity/3600, 0.5*(r.net3+r.outside)
	end := (mass*(c-half) + total) / (c + half)                                                                // C.4
	mean := (mass + end) / 2                                                                                   // C.9
	surface := (r.mass*mean + toSurface + r.windows*h.Outside + r.net1*viaAir) / (r.mass + r.windows + r.net1) // C.10
	air := (r.surface*surface + r.air*h.Outside + toAir + power) / (r.surface + r.air)                         // C.11
	return Result{power, end, surface, air, 0.3*air + 0.7*surface}                                             // C.12
}
