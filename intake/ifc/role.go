package ifc

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/house"
	"wirewright/internal/yamldoc"
)

// Role is what an electrical element is taken for: the kind of point that it becomes, or one of those below.
type Role string

// The roles that are no kinds of point.
const (
	RoleBoard   Role = "board"   // a distribution board
	RoleNone    Role = "none"    // known, and no business of the control system: an appliance, a telephone outlet
	RoleUnknown Role = "unknown" // nothing says what it is
)

// Kind returns the kind of point that the role stands for; empty where it stands for none.
func (r Role) Kind() house.Kind {
	if slices.Contains(house.Kinds, house.Kind(r)) {
		return house.Kind(r)
	}
	return ""
}

// Valid tells whether the role is one that a correction may name.
func (r Role) Valid() bool { return r == RoleBoard || r == RoleNone || r.Kind() != "" }

// roleTable is roles.yaml.
type roleTable struct {
	Classes []struct {
		Role    Role     `yaml:"role"`
		Classes []string `yaml:"classes"`
	} `yaml:"classes"`
	Words []struct {
		Role   Role     `yaml:"role"`
		Weight int      `yaml:"weight"`
		Words  []string `yaml:"words"`
	} `yaml:"words"`
	Properties struct {
		Panel     []string `yaml:"panel"`
		Circuit   []string `yaml:"circuit"`
		Load      []string `yaml:"load"`
		BoardName []string `yaml:"board-name"`
	} `yaml:"properties"`

	byWord map[string]Role // class → role
}

func builtinRoles() roleTable {
	var t roleTable
	if list := yamldoc.Decode("roles.yaml", rolesText, &t); len(list) > 0 {
		panic(fmt.Sprintf("invariant: the embedded table of roles is sound: %v", list))
	}
	t.byWord = map[string]Role{}
	for _, row := range t.Classes {
		for _, c := range row.Classes {
			t.byWord[c] = row.Role
		}
	}
	return t
}

// evidence is what speaks for a role.
type evidence struct {
	class, predefined         string // of the element
	typeClass, typePredefined string // of its type object
	name, typeName            string
	voltAmperes               float64
	hasLoad                   bool
}

// nameDecides is the weight from which a word in the name outranks the class.
const nameDecides = 2

// verdict is a role, by what it was told, and the weight of the word in the name, 0 where no word spoke.
type verdict struct {
	role   Role
	why    string
	weight int
}

// decide weighs class, name and load, in this order, and says by what it decided.
func (t roleTable) decide(e evidence) verdict {
	byClass, class := t.byClass(e)
	byName, word, weight := t.byName(e.name + " | " + e.typeName)
	switch {
	case byName != "" && (byClass == "" || byClass == byName):
		if byClass == byName {
			return verdict{byName, fmt.Sprintf("its class %s and the word %q in its name", class, word), weight}
		}
		return verdict{byName, fmt.Sprintf("the word %q in its name; its class says nothing", word), weight}
	case byName != "" && weight >= nameDecides:
		return verdict{byName, fmt.Sprintf("the word %q in its name, against its class %s, which says %s", word, class, byClass), weight}
	case byClass == Role(house.Lamp) && e.hasLoad && e.voltAmperes == 0:
		return verdict{Role(house.Keypad), fmt.Sprintf("its load of 0 VA, against its class %s: what draws nothing switches", class), 0}
	case byClass != "":
		return verdict{byClass, "its class " + class, 0}
	}
	return verdict{RoleUnknown, "neither class nor name says what it is", 0}
}

// byClass finds the most exact entry for the type or, failing that, the element.
func (t roleTable) byClass(e evidence) (Role, string) {
	for _, c := range []struct{ class, predefined string }{{e.typeClass, e.typePredefined}, {e.class, e.predefined}} {
		base := strings.TrimSuffix(c.class, "TYPE")
		if r, ok := t.byWord[base+"."+c.predefined]; ok {
			return r, c.class + " (" + c.predefined + ")"
		}
		if r, ok := t.byWord[base]; ok {
			return r, c.class
		}
	}
	return "", ""
}

// byName finds the heaviest word; of equal weight the one that stands last, because the last word of a name is what the
// thing is ("lighting switch").
func (t roleTable) byName(name string) (role Role, word string, weight int) {
	text, end := plainWords(name), -1
	for _, row := range t.Words {
		for _, w := range row.Words {
			at, n := findWord(text, w)
			if at < 0 {
				continue
			}
			if row.Weight > weight || row.Weight == weight && at+n > end {
				role, word, weight, end = row.Role, strings.TrimSpace(w), row.Weight, at+n
			}
		}
	}
	return role, word, weight
}

// correct finds the first correction that fits a device.
func correct(list []Correction, d device) (Role, bool) {
	for _, c := range list {
		m := strings.TrimSpace(c.Match)
		if m == "" {
			continue
		}
		if m == d.globalID || m == d.tag || strings.EqualFold(m, d.typeName) ||
			strings.Contains(strings.ToLower(d.name), strings.ToLower(m)) {
			return c.Role, true
		}
	}
	return "", false
}
