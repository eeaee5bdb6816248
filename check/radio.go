package check

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"wirewright/calc/radio"
	"wirewright/catalogue"
	"wirewright/house"
)

// What radio is planned with (common practice, no source, where nothing else is said).
const (
	planLevel   = -67.0 // dBm that an access point should hear from a module
	spreadSigma = 5.0   // dB, of the levels in a home before a survey (IEEE 802.11ax evaluation, residential)
	reachShare  = 0.90  // probability that is asked for
	planEIRP    = 20.0  // dBm of an access point that the house says nothing of; the limit at 2.4 GHz (EN 300 328)
	planCentre  = 2.437 // GHz, channel 6, where neither channel nor frequency is known
	roomMiddle  = 1.2   // m above the floor, of a module of which only the room is known
)

const sourceRadio = "free space ITU-R P.525; walls ITU-R P.2040-2, those of unknown material and floors COST 231 multi-wall (fitted near 1.8 GHz, so " +
	"extrapolated); spread 5 dB and threshold −67 dBm: " + practice

// radioRules predict how well the radio of each Wi-Fi module reaches the access points, by package radio.
var radioRules = []Rule{
	{
		Slug: "radio/weak", Severity: Caution, Kind: "module",
		Title: "The radio of a module hardly reaches an access point",
		Why: "The loss is that of free space, of every wall or opening that the straight way crosses, and of the floors between. Both directions count: " +
			"what the module hears must be above its sensitivity, what the access point hears above −67 dBm; antenna gain at the access point is taken as " +
			"none, and 20 dBm and channel 6 where the house does not say. A door counts as 40 mm of wood, a window as two panes without a coating. Levels in a home spread by 5 dB about the prediction, so 6.4 dB must be left for 90 %. Models disagree by 10 dB and more " +
			"on one and the same floor; reinforcement, damp, coated glass, mirrors and tiles are in none of them. It is a prediction: measure on site.",
		Formula: "level = EIRP + G − L; margin = level − threshold; margin ≥ z(90 %)·σ",
		Source:  sourceRadio,
		run:     onKnown(radioWeak), sees: onAir(),
	},
	{
		Slug: "radio/shielded", Severity: Caution, Kind: "module",
		Title: "The radio of a module is shut in by metal, or may be",
		Why: "A board may be of metal, and metal or foil in a wall lets nothing through: what gets out all the same no formula says. A board of plastic " +
			"does no harm, but the house does not say what it is of.",
		Source: "no standard figure for the loss of a board is known; " + practice,
		run:    onKnown(radioShielded), sees: onAir(),
	},
	{
		Slug: "radio/unknown", Severity: Remark, Kind: "network",
		Title: "The reach of radio could not be checked wholly",
		Why: "A prediction needs the place of every Wi-Fi module and of at least one access point, and the materials of the walls between. A wall of " +
			"unknown material is taken as a heavy one of 6.9 dB. What is not known is not passed.",
		Source: "COST 231 multi-wall model (heavy wall); " + practice,
		run:    onNetwork(radioUnknown), sees: onAir(),
	},
}

// station is an access point whose place is known.
type station struct {
	*house.AccessPoint
	at   house.XYZ
	eirp float64 // dBm
	ghz  float64
	odd  bool // power, or channel and frequency, are ours and not the house's
}

// link is the way between a module and the access point that suits it best.
type link struct {
	path
	station          *station
	atModule, margin float64 // dBm at the module; dB to spare in the weaker direction
	atStation        float64 // dBm at the access point
	down             bool    // the weaker direction is the one to the module
	guess            bool    // the place of the module is the middle of its room
}

// reach is the probability that the weaker direction works.
func (l *link) reach() float64 { return radio.Reaches(l.margin, spreadSigma) }

// radioPlan is what the rules of this file know of a house, computed once.
type radioPlan struct {
	tracer   *tracer
	stations []station
	links    map[*module]*link // of modules with a place
	placed   []*module         // in the order of the house
	lost     []*module         // Wi-Fi modules without a place
	further  map[*module]*further
}

func (v *view) radioPlan() *radioPlan {
	if v.radio == nil {
		v.radio = newRadioPlan(v)
	}
	return v.radio
}

func newRadioPlan(v *view) *radioPlan {
	p := &radioPlan{links: map[*module]*link{}}
	rooms := newRooms(v.house)
	for i := range v.modules {
		if m := &v.modules[i]; m.typ != nil && m.typ.Radio != nil {
			if at, guess, ok := v.placeOf(m, rooms); ok {
				p.links[m] = &link{path: path{a: at}, guess: guess}
				p.placed = append(p.placed, m)
			} else {
				p.lost = append(p.lost, m)
			}
		}
	}
	p.readStations(v.house)
	if len(p.placed) == 0 || len(p.stations) == 0 {
		return p
	}
	p.tracer = &tracer{fabric: newFabric(v.house, v.cat)}
	for _, m := range p.placed {
		p.connect(m)
	}
	p.plan(v, rooms)
	return p
}

func (p *radioPlan) readStations(h *house.House) {
	for i := range h.Network.AccessPoints {
		ap := &h.Network.AccessPoints[i]
		if ap.At == nil || !sane(ap.At.X, ap.At.Y, ap.At.Z) {
			continue
		}
		s := station{AccessPoint: ap, at: *ap.At, eirp: ap.EIRP.DBm(), ghz: planCentre}
		if s.eirp == 0 {
			s.eirp, s.odd = planEIRP, true
		}
		if mhz := ap.Centre.MHz(); mhz >= 100 && mhz <= 100_000 {
			s.ghz = mhz / 1000
		} else if ghz, ok := radio.Centre(ap.Channel); ok {
			s.ghz = ghz
		} else {
			s.odd = true
		}
		p.stations = append(p.stations, s)
	}
}

// placeOf is where a module is: its own place, that of its box or board, else the middle of its room, which is a guess.
func (v *view) placeOf(m *module, x *rooms) (at house.XYZ, guess, ok bool) {
	for _, place := range []*house.XYZ{m.At, v.boxPlace(m), v.boardPlace(m)} {
		if place != nil && sane(place.X, place.Y, place.Z) {
			return *place, false, true
		}
	}
	room := m.Room
	if p := v.byPoint[m.Point]; room == "" && p != nil {
		room = p.Room
	}
	at, ok = x.middle(room, roomMiddle)
	return at, true, ok
}

func (v *view) boxPlace(m *module) *house.XYZ {
	if p := v.byPoint[m.Point]; p != nil {
		return p.At
	}
	return nil
}

func (v *view) boardPlace(m *module) *house.XYZ {
	if b := v.boards[m.Board]; b != nil {
		return b.At
	}
	return nil
}

// rooms finds rooms and the floors of their storeys.
type rooms struct {
	byID   map[house.ID]*house.Room
	floors map[house.ID]float64 // m, by storey
}

func newRooms(h *house.House) *rooms {
	x := &rooms{make(map[house.ID]*house.Room, len(h.Rooms)), make(map[house.ID]float64, len(h.Storeys))}
	for i := range h.Rooms {
		x.byID[h.Rooms[i].ID] = &h.Rooms[i]
	}
	for i := range h.Storeys {
		x.floors[h.Storeys[i].ID] = h.Storeys[i].Elevation.M()
	}
	return x
}

// middle is the middle of a room, some metres above its floor; false where it has no outline.
func (x *rooms) middle(id house.ID, above float64) (house.XYZ, bool) {
	r := x.byID[id]
	if r == nil {
		return house.XYZ{}, false
	}
	c, ok := r.Centroid()
	z := r.Floor.M()
	if z == 0 {
		z = x.floors[r.Storey]
	}
	return house.XYZ{X: c.X, Y: c.Y, Z: z + above}, ok && sane(c.X, c.Y, z)
}

// connect finds the access point that suits a module best: the one with most to spare in the weaker direction.
func (p *radioPlan) connect(m *module) {
	l := p.links[m]
	for i := range p.stations {
		s := &p.stations[i]
		// Free space and floors alone are a bound: what they rule out needs no walls.
		bound := radio.MultiWall(metresBetween(l.a, s.at), s.ghz, 0, p.tracer.floorsBetween(l.a, s.at))
		if l.station != nil && l.shielded == nil && l.weigh(m, s, bound).margin <= l.margin {
			continue
		}
		way := p.tracer.trace(l.a, s.at, s.ghz)
		next := l.weigh(m, s, way.loss())
		next.path = way
		if l.station == nil || (l.shielded != nil && way.shielded == nil) || (next.margin > l.margin && (way.shielded == nil) == (l.shielded == nil)) {
			*l = next
		}
	}
}

// weigh is a link over a loss in dB to an access point.
func (l *link) weigh(m *module, s *station, loss float64) link {
	r := m.typ.Radio
	next := link{path: path{a: l.a}, station: s, guess: l.guess, atModule: s.eirp + r.Gain.DB() - loss, atStation: r.Power.DBm() + r.Gain.DB() - loss}
	next.margin = next.atStation - planLevel
	if d := next.atModule - r.Sensitivity.DBm(); d < next.margin {
		next.margin, next.down = d, true
	}
	return next
}

// weak tells whether a link is computed and below the probability that is asked for.
func (l *link) weak() bool {
	return l.station != nil && l.shielded == nil && l.margin < radio.MarginFor(reachShare, spreadSigma)
}

func radioWeak(v *view, m *module, say sayer) {
	l := v.radioPlan().links[m]
	if l == nil || !l.weak() {
		return
	}
	level, threshold, where := l.atStation, planLevel, "at the access point"
	if l.down {
		level, threshold, where = l.atModule, m.typ.Radio.Sensitivity.DBm(), "at the module"
	}
	say(Finding{
		Text: fmt.Sprintf("%s reaches %s, the best access point, with a probability of %s: predicted are %s ± %s %s, wanted %s. The way: %s.", m.ID, l.station.ID, share(l.reach()),
			tenth(level, "dBm"), figure(spreadSigma, "dB"), where, figure(threshold, "dBm"), l.words()),
		Measured: fmt.Sprintf("%s (margin %s, spread %s)", share(l.reach()), tenth(l.margin, "dB"), figure(spreadSigma, "dB")),
		Limit:    fmt.Sprintf("%s (margin %s)", share(reachShare), tenth(radio.MarginFor(reachShare, spreadSigma), "dB")),
		Terms:    l.terms(level, threshold),
		Remedy:   v.radioPlan().remedy(m),
	})
}

// terms are the figures of a link in its weaker direction.
func (l *link) terms(level, threshold float64) []Term {
	return []Term{{"straight way", "d", l.metres, "m"}, {"frequency", "f", l.ghz, "GHz"}, {"loss of walls and openings", "L(walls)", l.fabric, "dB"},
		{"loss of floors", "L(floors)", radio.Floors(l.floors), "dB"}, {"loss of the whole way", "L", l.loss(), "dB"},
		{"level where it is received", "level", level, "dBm"}, {"level that is wanted there", "threshold", threshold, "dBm"},
		{"what is left", "margin", l.margin, "dB"}, {"spread of levels in a home", "σ", spreadSigma, "dB"},
		{"margin for 90 %", "z(90 %)·σ", radio.MarginFor(reachShare, spreadSigma), "dB"}}
}

// words describes a way.
func (l *link) words() string {
	parts := []string{tenth(l.metres, "m") + " in a straight line"}
	if l.guess {
		parts[0] += " from the middle of its room"
	}
	if l.walls > 0 {
		text := fmt.Sprintf("%s (%s)", several(l.walls, "wall or opening"), tenth(l.fabric, "dB"))
		if l.path.unknown > 0 {
			text += fmt.Sprintf(", %d of unknown material taken as heavy (COST 231)", l.path.unknown)
		}
		parts = append(parts, text)
	}
	if l.floors > 0 {
		parts = append(parts, fmt.Sprintf("%s (%s)", several(l.floors, "floor"), tenth(radio.Floors(l.floors), "dB")))
	}
	if l.station.odd {
		parts = append(parts, fmt.Sprintf("the access point taken at %s and %s as far as the house does not say", figure(planEIRP, "dBm"), figure(planCentre, "GHz")))
	}
	return strings.Join(parts, ", ")
}

// tenth prints a predicted figure, which is never known better than to a tenth.
func tenth(x float64, unit string) string {
	return strconv.FormatFloat(math.Round(x*10)/10+0, 'f', 1, 64) + " " + unit
}

// share prints a probability in whole per cent, never as certain.
func share(p float64) string {
	switch {
	case p < 0.01:
		return "less than 1 %"
	case p > 0.99:
		return "more than 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

func radioShielded(v *view, m *module, say sayer) {
	if m.typ.Radio == nil {
		return
	}
	l := v.radioPlan().links[m]
	switch {
	case m.typ.Mount == catalogue.Rail && m.Board != "":
		say(Finding{
			Text:     fmt.Sprintf("The radio of %s is inside board %s. If that is of metal, what it lets through is not known.", m.ID, m.Board),
			Measured: "not known",
			Remedy:   &Remedy{Text: "Measure with the board closed, or take a module with an aerial that goes outside, or a wired one."},
		})
	case l != nil && l.shielded != nil:
		say(Finding{
			Text:     fmt.Sprintf("Every way from %s to an access point goes through metal or foil, the best one through wall %s. What gets round it is not known.", m.ID, l.shielded.ID),
			Measured: "not known",
			Remedy:   &Remedy{Text: "Measure on site, or put an access point on its side of the wall."},
		})
	}
}

func radioUnknown(v *view, _ *network, say sayer) {
	p := v.radioPlan()
	n := len(p.placed) + len(p.lost)
	switch {
	case n == 0:
		return
	case len(p.stations) == 0:
		say(Finding{
			Text:     fmt.Sprintf("The house has %s and no access point whose place is known, so their reach could not be checked.", several(n, "Wi-Fi module")),
			Measured: "not known",
			Remedy:   &Remedy{Text: "Write down where the access points are, or will be, with their power and channel."},
		})
	case len(p.lost) > 0:
		say(Finding{
			Text:     fmt.Sprintf("The place of %s of %d is not known, %s first; their reach could not be checked.", several(len(p.lost), "Wi-Fi module"), n, p.lost[0].ID),
			Measured: "not known",
			Remedy:   &Remedy{Text: "Give each a place, a box with a place, or a room with an outline."},
		})
	}
	if taken := p.unknownWays(); taken > 0 {
		say(Finding{
			Text:     fmt.Sprintf("On the way from %s of %d to the access point are walls whose material is not known; each was taken as a heavy wall of 6.9 dB.", several(taken, "Wi-Fi module"), n),
			Measured: "not known",
			Remedy:   &Remedy{Text: "Name the layers of these walls with materials of the catalogue, and their thickness."},
		})
	}
}

// unknownWays counts the best ways that go through walls of unknown material.
func (p *radioPlan) unknownWays() int {
	n := 0
	for _, m := range p.placed {
		n += min(1, p.links[m].path.unknown)
	}
	return n
}
