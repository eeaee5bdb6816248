package handover

import (
	"fmt"
	"strings"

	"wirewright/check"
	"wirewright/handover/diagram"
	"wirewright/handover/scene"
	"wirewright/house"
)

// builder makes the schedules and chapters of one pack.
type builder struct {
	pack        Pack
	index       *house.Index
	names       map[house.ID]string
	legends     map[house.ID][]KeyLegend
	rulesByName map[string]Rule
	drawer      *diagram.Drawer
	titles      map[string]int            // how many points have a title
	drawn       map[house.ID]*scene.Scene // labels
	leftOut     []string                  // chapters of which the house has nothing
	routed      bool                      // cableRuns are computed
	cableRuns   []run
	router      *check.Router
}

func newBuilder(p Pack) *builder {
	b := &builder{pack: p, index: house.NewIndex(p.House), names: Designations(p.House), legends: map[house.ID][]KeyLegend{}, rulesByName: map[string]Rule{}, drawn: map[house.ID]*scene.Scene{}}
	for _, k := range p.Keys {
		b.legends[k.Point] = append(b.legends[k.Point], k)
	}
	b.titles = map[string]int{}
	for _, x := range p.House.Points {
		b.titles[x.Title]++
	}
	for _, r := range p.Rules {
		b.rulesByName[r.Name] = r
	}
	b.drawer = diagram.New(b.index, p.Catalogue, b.names)
	return b
}

// points is the points schedule: what is moved and read, room by room, and where it lands.
func (b *builder) points() Schedule {
	s := Schedule{Name: "Points", Title: pointsTitle, Empty: "The house has no points yet.",
		Intro: "Everything that the system moves or reads. A landing names the module and its channel.",
		Columns: []Column{{Title: "Point", Width: 26}, {Title: "Designation", Width: 18, Under: true}, {Title: "What it is", Width: 34}, {Title: "Kind", Width: 22, Under: true},
			{Title: "Load", Width: 26}, {Title: "Circuit", Width: 14}, {Title: "Lands on", Width: 26}}}
	b.byRoom(func(title string, points []*house.Point) {
		s.Rows = append(s.Rows, head(title, ""))
		for _, p := range points {
			s.Rows = append(s.Rows, []Cell{text(string(p.ID)), text(b.names[p.ID]), text(or(p.Title, kindText(p))), text(kindUnder(p)), text(LoadText(p)), text(string(p.Circuit)), text(b.landing(p))})
		}
	})
	return s
}

// kindUnder is the kind that stands below a title, empty where there is no title.
func kindUnder(p *house.Point) string {
	if p.Title == "" {
		return ""
	}
	return kindText(p)
}

// byRoom calls do for every room with points, in the order of the house, and for the points without a room last.
func (b *builder) byRoom(do func(title string, points []*house.Point)) {
	for _, r := range b.pack.House.Rooms {
		if list := b.index.PointsIn(r.ID); len(list) > 0 {
			do(b.roomTitle(r.ID), list)
		}
	}
	var rest []*house.Point
	for i := range b.pack.House.Points {
		if p := &b.pack.House.Points[i]; b.index.Room(p.Room) == nil {
			rest = append(rest, p)
		}
	}
	if len(rest) > 0 {
		do("Without a room", rest)
	}
}

// roomTitle is number, title and storey of a room.
func (b *builder) roomTitle(id house.ID) string {
	r := b.index.Room(id)
	if r == nil {
		return string(id)
	}
	title := or(r.Title, string(r.ID))
	if r.Number != "" {
		title = r.Number + "  " + title
	}
	if s := b.index.Storey(r.Storey); s != nil {
		title += ", " + or(s.Title, string(s.ID))
	}
	return title
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// kindWords are the kinds of point whose word in the model is not what people say.
var kindWords = map[house.Kind]string{house.Thermometer: "temperature sensor", house.Light: "light sensor", house.Presence: "presence detector",
	house.Wind: "wind sensor", house.Rain: "rain sensor"}

// kindText is the kind of a point with what matters of it.
func kindText(p *house.Point) string {
	word := or(kindWords[p.Kind], string(p.Kind))
	if n := len(p.Keys); n > 0 {
		word += " with " + count(n, "key")
	}
	if p.Load != nil && p.Load.Dimmed {
		word += ", dimmed"
	}
	return word
}

// What says in a few words what a point is: its title and its kind.
func What(p *house.Point) string {
	if p.Title == "" {
		return kindText(p)
	}
	return p.Title + " (" + kindText(p) + ")"
}

// count is a number with its noun.
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// LoadText is the electrical side of a point in one line, empty for what is read.
func LoadText(p *house.Point) string {
	l := p.Load
	if l == nil {
		return ""
	}
	var parts []string
	if l.Count > 1 {
		parts = append(parts, fmt.Sprintf("%d ×", l.Count))
	}
	parts = append(parts, string(l.Category))
	if l.Power != 0 {
		parts = append(parts, l.Power.String())
	}
	if l.Apparent != 0 {
		parts = append(parts, l.Apparent.String())
	}
	if l.Factor != 0 && l.Factor != 1 {
		parts = append(parts, fmt.Sprintf("cosφ %g", l.Factor))
	}
	return strings.Join(parts, " ")
}

// landing names where a point lands; the keys of a keypad on one module are one range.
func (b *builder) landing(p *house.Point) string {
	var parts []string
	last := house.ID("")
	for _, l := range b.index.LandingsOf(p.ID) {
		if l.Module.ID == last {
			i := len(parts) - 1
			first, _, _ := strings.Cut(parts[i], "…")
			parts[i] = first + "…" + l.Landing.Channel
			continue
		}
		last = l.Module.ID
		parts = append(parts, string(l.Module.ID)+" "+l.Landing.Channel)
	}
	if len(parts) == 0 {
		return "not landed"
	}
	return strings.Join(parts, ", ")
}
