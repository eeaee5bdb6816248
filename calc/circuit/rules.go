package circuit

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"

	"wirewright/internal/problem"
	"wirewright/internal/yamldoc"
	"wirewright/unit"
)

//go:embed rules/*.yaml
var ruleSets embed.FS

// RulesFormat stands on the first line of a rule set's text form.
const RulesFormat = "wirewright circuit rules 1"

// Rules are the limits and factors that differ between countries and editions. They are data: a set names its base and
// holds what differs, each value with its source, and is printed with every result.
type Rules struct {
	Format    string      `yaml:"format" enum:"wirewright circuit rules 1"`
	Name      string      `yaml:"name" doc:"Short name of the set."`
	Title     string      `yaml:"title" doc:"What it is, for a person."`
	Base      string      `yaml:"base,omitempty" doc:"The set that holds all that this one does not."`
	Note      string      `yaml:"note,omitempty"`
	Limits    []Limit     `yaml:"limits,omitempty"`
	Diversity []Diversity `yaml:"diversity,omitempty"`
}

// Limit is one named limit of a rule set, in the unit that its name asks for.
type Limit struct {
	Name   string  `yaml:"name"`
	Value  float64 `yaml:"value" min:"0" max:"1000000"`
	Unit   string  `yaml:"unit,omitempty"`
	Title  string  `yaml:"title,omitempty"`
	Source string  `yaml:"source" doc:"Standard and clause, or: common practice, no source."`
}

// Diversity says how the loads of one use add up: the largest Whole of them count wholly, then Flat amperes of what is
// left, and the Rest of the remainder as a share.
type Diversity struct {
	Use    string       `yaml:"use"`
	Whole  int          `yaml:"whole,omitempty" min:"0" max:"1000"`
	Flat   unit.Current `yaml:"flat,omitempty" min:"0"`
	Rest   float64      `yaml:"rest" min:"0" max:"1"`
	Source string       `yaml:"source"`
}

// The names of the limits; iec.yaml says what each is.
const (
	VoltageLeast        = "voltage-least"
	TouchVoltage        = "touch-voltage"
	DropLighting        = "drop-lighting"
	DropOther           = "drop-other"
	DropLightingPrivate = "drop-lighting-private"
	DropOtherPrivate    = "drop-other-private"
	DropPerMetre        = "drop-per-metre"
	DropPerMetreMost    = "drop-per-metre-most"
	FinalMost           = "final-most"
	DistributionTN      = "distribution-tn"
	DistributionTT      = "distribution-tt"
	ColdLoop            = "cold-loop"
	ElectrodeMost       = "electrode-most"
	LeakageShare        = "leakage-share"
	ResidualSockets     = "residual-sockets"
	ResidualOutdoors    = "residual-outdoors"
	ResidualLighting    = "residual-lighting"
	SectionLeast        = "section-least"
	SelectiveRatio      = "selective-ratio"
	SelectiveResidual   = "selective-residual"
)

// BaseRules is the name of the set that every other stands on, and that counts where none is named.
const BaseRules = "iec"

// Uses lists the uses that demand knows factors for, in the order of the base set.
const (
	UseLighting = "lighting"
	UseSockets  = "sockets"
	UseHeating  = "heating"
	UseCooking  = "cooking"
	UseWater    = "water"
	UseMotors   = "motors"
	UseVehicle  = "vehicle"
	UseOther    = "other"
)

// RuleNames lists the built-in sets, sorted.
func RuleNames() []string {
	files, _ := fs.Glob(ruleSets, "rules/*.yaml") // the pattern is well formed
	names := make([]string, 0, len(files))
	for _, f := range files {
		names = append(names, strings.TrimSuffix(path.Base(f), ".yaml"))
	}
	return names
}

// NamedRules is the built-in set of a name; "" names the base.
func NamedRules(name string) (*Rules, error) {
	if name == "" {
		name = BaseRules
	}
	if !slices.Contains(RuleNames(), name) {
		return nil, fmt.Errorf("there is no rule set %q: expected one of %s", name, strings.Join(RuleNames(), ", "))
	}
	file := "rules/" + name + ".yaml"
	text, err := ruleSets.ReadFile(file)
	if err != nil {
		return nil, err
	}
	return ReadRules(file, text)
}

// baseRules reads the base once; that it can be read is tested, since it is built in.
var baseRules = sync.OnceValue(func() Rules {
	r, err := NamedRules(BaseRules)
	if err != nil {
		return Rules{Name: BaseRules, Title: err.Error()}
	}
	return *r
})

// IEC is the base set; it is a new one each time, and the caller's own.
func IEC() *Rules {
	r := baseRules()
	r.Limits, r.Diversity = slices.Clone(r.Limits), slices.Clone(r.Diversity)
	return &r
}

// ReadRules reads a rule set in its text form and fills it from its base. The error is a list of every mistake with line
// and column; if there is one, no set is returned.
func ReadRules(file string, text []byte) (*Rules, error) {
	r := &Rules{}
	if err := yamldoc.Decode(file, text, r, func(v any) []yamldoc.Issue { return v.(*Rules).issues() }).Err(); err != nil {
		return nil, err
	}
	if r.Name == BaseRules && r.Base == "" {
		return r, nil
	}
	base, err := NamedRules(BaseRules)
	if err != nil {
		return nil, err
	}
	if r.Base != "" && r.Base != BaseRules {
		if base, err = builtinBase(r.Base); err != nil {
			return nil, err
		}
	}
	return base.with(r), nil
}

// builtinBase reads a base that is not iec; it must itself stand on iec, so that chains end.
func builtinBase(name string) (*Rules, error) {
	base, err := NamedRules(name)
	if err != nil {
		return nil, err
	}
	if base.Base != BaseRules {
		return nil, fmt.Errorf("rule set %q stands on %q: a base must stand on %s", name, base.Base, BaseRules)
	}
	return base, nil
}

// with is the base with the values of a set in the place of its own.
func (r *Rules) with(own *Rules) *Rules {
	all := *own
	all.Limits, all.Diversity = slices.Clone(r.Limits), slices.Clone(r.Diversity)
	if all.Note == "" {
		all.Note = r.Note
	}
	for _, l := range own.Limits {
		at := slices.IndexFunc(all.Limits, func(b Limit) bool { return b.Name == l.Name })
		if at < 0 {
			continue // issues refuses names that the program does not know, so there is none
		}
		if l.Title == "" {
			l.Title = all.Limits[at].Title
		}
		l.Unit = all.Limits[at].Unit
		all.Limits[at] = l
	}
	for _, d := range own.Diversity {
		if at := slices.IndexFunc(all.Diversity, func(b Diversity) bool { return b.Use == d.Use }); at >= 0 {
			all.Diversity[at] = d
		} else {
			all.Diversity = append(all.Diversity, d)
		}
	}
	return &all
}

// limitRange bounds what a limit may be, so that a slip of the pen does not switch a check off.
type limitRange struct{ least, most float64 }

// limitRanges holds every limit that the package knows.
func limitRanges() map[string]limitRange {
	return map[string]limitRange{
		VoltageLeast: {0.8, 1}, TouchVoltage: {10, 50}, DropLighting: {0.5, 10}, DropOther: {0.5, 10}, DropLightingPrivate: {0.5, 10},
		DropOtherPrivate: {0.5, 10}, DropPerMetre: {0, 0.01}, DropPerMetreMost: {0, 1}, FinalMost: {16, 63}, DistributionTN: {0.4, 5},
		DistributionTT: {0.2, 5}, ColdLoop: {0.5, 1}, ElectrodeMost: {1, 2000}, LeakageShare: {0.1, 0.5}, ResidualSockets: {0, 63},
		ResidualOutdoors: {0, 63}, ResidualLighting: {0, 63}, SectionLeast: {1, 4}, SelectiveRatio: {1, 4}, SelectiveResidual: {1, 10},
	}
}

// issues lists what the structure of a set cannot say: unknown and doubled names, values that no country has.
func (r *Rules) issues() []yamldoc.Issue {
	var list []yamldoc.Issue
	known, seen := limitRanges(), map[string]bool{}
	for i, l := range r.Limits {
		at := yamldoc.Path{"limits", i}
		span, ok := known[l.Name]
		switch {
		case !ok:
			list = append(list, yamldoc.Issue{Path: append(at, "name"), Text: fmt.Sprintf("%q is no limit", l.Name), Hint: nearLimit(l.Name, known)})
		case seen[l.Name]:
			list = append(list, yamldoc.Issue{Path: append(at, "name"), Text: fmt.Sprintf("limit %s stands twice", l.Name), Hint: "keep one"})
		case !(l.Value >= span.least && l.Value <= span.most):
			list = append(list, yamldoc.Issue{Path: append(at, "value"), Text: fmt.Sprintf("%s of %g: expected %g to %g", l.Name, l.Value, span.least, span.most)})
		}
		seen[l.Name] = true
	}
	seen = map[string]bool{}
	for i, d := range r.Diversity {
		if d.Use == "" || seen[d.Use] {
			list = append(list, yamldoc.Issue{Path: yamldoc.Path{"diversity", i, "use"}, Text: fmt.Sprintf("use %q is empty or stands twice", d.Use), Hint: "keep one of each"})
		}
		seen[d.Use] = true
	}
	if r.Name == BaseRules && r.Base == "" {
		list = append(list, r.missing(known)...)
	}
	return list
}

func nearLimit(name string, known map[string]limitRange) string {
	names := make([]string, 0, len(known))
	for n := range known {
		names = append(names, n)
	}
	slices.Sort(names)
	if near := problem.Nearest(name, names); near != "" {
		return "did you mean " + near
	}
	return "use one of " + strings.Join(names, ", ")
}

// missing lists the limits that the base set lacks.
func (r *Rules) missing(known map[string]limitRange) []yamldoc.Issue {
	var lacking []string
	for n := range known {
		if !slices.ContainsFunc(r.Limits, func(l Limit) bool { return l.Name == n }) {
			lacking = append(lacking, n)
		}
	}
	slices.Sort(lacking)
	if len(lacking) == 0 {
		return nil
	}
	return []yamldoc.Issue{{Path: yamldoc.Path{"limits"}, Text: "the base set lacks " + strings.Join(lacking, ", ")}}
}

// Limit is a limit of the set; the zero Limit where the package has none of that name.
func (r *Rules) Limit(name string) Limit {
	for _, l := range r.Limits {
		if l.Name == name {
			return l
		}
	}
	return Limit{}
}

// Value is the value of a limit.
func (r *Rules) Value(name string) float64 { return r.Limit(name).Value }

// String prints the name of the set and what it is.
func (r *Rules) String() string { return r.Name + " (" + r.Title + ")" }

// Text prints the whole set in its text form, with what it took from its base.
func (r *Rules) Text() []byte { return yamldoc.Encode(r) }
