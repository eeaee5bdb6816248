package ifc

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wirewright/house"
)

func TestSlugs(t *testing.T) {
	for name, want := range map[string]string{
		"Living Room": "living-room", "A101 Foyer": "a101-foyer", "8 Комната": "комната-8", "С/У": "с-у", "Küche": "küche",
		"T/FDN": "t-fdn", "00 groundfloor": "groundfloor-00", "Стена: 400мм": "стена-400мм", "  --x--  ": "x", "12": "", "": "", "###": "",
		"2nd Floor": "floor-2nd", "ΑΙΘΟΥΣΑ": "αιθουσα", "Wand-Int-ERDG-4": "wand-int-erdg-4",
		"an extraordinarily long name of a room in a castle of many": "an-extraordinarily-long-name-of-a-room-i",
	} {
		if got := slug(name); got != want {
			t.Errorf("%q becomes %q, want %q", name, got, want)
		}
	}
}

// TestSlugsAreIdentities: whatever the name, what comes out is an identity or nothing.
func TestSlugsAreIdentities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.String().Draw(t, "name")
		if s := slug(name); s != "" && house.ID("x."+s).Check() != "" {
			t.Fatalf("%q becomes %q: %s", name, s, house.ID("x."+s).Check())
		}
		id := newNames(nil).give("room", "", slug(name))
		if why := id.Check(); why != "" {
			t.Fatalf("%q becomes %q: %s", name, id, why)
		}
	})
}

func TestNamesAreGivenOnce(t *testing.T) {
	n := newNames(nil)
	for i, want := range []house.ID{"hall", "hall-2", "hall-3"} {
		if got := n.give("room", "", "hall"); got != want {
			t.Errorf("%d: %s", i, got)
		}
	}
	for _, want := range []house.ID{"ground.wall-1", "ground.wall-2"} {
		if got := n.numbered("wall", "", "ground.wall-"); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	if got := n.give("room", "", "no"); got != "room-no" { // "no" alone reads like a truth value
		t.Errorf("%s", got)
	}
}

func TestUseOfNames(t *testing.T) {
	for name, want := range map[string]string{
		"Bedroom 1": "bedroom", "Master bedroom": "bedroom", "Gästezimmer": "bedroom", "Kinderzimmer 2": "bedroom", "Спальня": "bedroom",
		"Chambre 3": "bedroom", "Wohnküche": "kitchen", "Küche/Essen": "kitchen", "Esszimmer": "dining", "WC": "wc", "Gäste-WC": "wc",
		"Bad": "bathroom", "Badezimmer OG": "bathroom", "Ванная": "bathroom", "С/У": "bathroom", "Salle de bain": "bathroom",
		"Treppenhaus": "stairs", "Flur EG": "hall", "Windfang": "hall", "Прихожая": "hall", "Холл": "hall", "Тамбур": "hall",
		"Коридор": "corridor", "Gang": "corridor", "Garage": "garage", "Гараж": "garage", "HWR": "utility", "Heizung": "utility",
		"Abstellraum": "storage", "Keller 1": "cellar", "Terrasse": "terrace", "Комната": "room", "Zimmer 3": "room", "Büro": "office",
		"Arbeitszimmer": "office", "Галерея": "attic", "Kabinett XY": "", "Sauna": "", "": "",
	} {
		if got := Use(name); got != want {
			t.Errorf("%q is taken for %q, want %q", name, got, want)
		}
	}
}

func TestRoles(t *testing.T) {
	table := builtinRoles()
	for _, c := range []struct {
		about string
		e     evidence
		want  Role
		why   string
	}{
		{"a luminaire of IFC4", evidence{class: "IFCLIGHTFIXTURE", name: "X"}, "lamp", "class"},
		{"the type decides in IFC2X3", evidence{class: "IFCFLOWTERMINAL", typeClass: "IFCOUTLETTYPE", typePredefined: "POWEROUTLET"}, "socket", "POWEROUTLET"},
		{"a data outlet is no socket", evidence{class: "IFCOUTLET", predefined: "DATAOUTLET"}, "none", "DATAOUTLET"},
		{"the name outranks the class", evidence{class: "IFCFLOWTERMINAL", typeClass: "IFCLIGHTFIXTURETYPE", name: "M_Lighting Switches:Single Pole"}, "keypad", "against its class"},
		{"a light word does not outrank the class", evidence{class: "IFCOUTLET", name: "Outlet for the light"}, "socket", "class"},
		{"a panelboard is no protective device", evidence{class: "IFCFLOWCONTROLLER", typeClass: "IFCPROTECTIVEDEVICETYPE", name: "Lighting and Appliance Panelboard"}, "board", "panelboard"},
		{"what draws nothing switches", evidence{class: "IFCLIGHTFIXTURE", name: "Type 7", hasLoad: true}, "keypad", "0 VA"},
		{"what draws something lights", evidence{class: "IFCLIGHTFIXTURE", name: "Type 7", hasLoad: true, voltAmperes: 9}, "lamp", "class"},
		{"the last word of equal weight", evidence{class: "IFCFLOWTERMINAL", name: "Steckdose mit Schalter"}, "keypad", "schalter"},
		{"the telephone outlet", evidence{class: "IFCBUILDINGELEMENTPROXY", name: "M_Telephone Outlet:Telophone Outlet"}, "none", "telephone"},
		{"a compound word", evidence{class: "IFCFLOWTERMINAL", name: "Deckeneinbauleuchte 12"}, "lamp", "leuchte"},
		{"Russian", evidence{class: "IFCFLOWTERMINAL", name: "Розетка двойная"}, "socket", "розетка"},
		{"a smoke sensor", evidence{class: "IFCSENSOR", predefined: "SMOKESENSOR"}, "contact", "SMOKESENSOR"},
		{"a wash basin", evidence{class: "IFCFLOWTERMINAL", typeClass: "IFCSANITARYTERMINALTYPE", name: "Basin"}, "none", "class"},
		{"nobody knows", evidence{class: "IFCFLOWTERMINAL", name: "Ding"}, RoleUnknown, "neither"},
		{"an arrangement is no range", evidence{class: "IFCLIGHTFIXTURE", name: "Arrangement A"}, "lamp", "class"},
	} {
		if got := table.decide(c.e); got.role != c.want || !strings.Contains(got.why, c.why) {
			t.Errorf("%s: %s by %s, want %s by %s", c.about, got.role, got.why, c.want, c.why)
		}
	}
}

// TestTablesAreSound: every role and weight of the tables means something, no word stands for two roles of one weight.
func TestTablesAreSound(t *testing.T) {
	table := builtinRoles()
	for _, row := range table.Classes {
		if !row.Role.Valid() {
			t.Errorf("classes: role %q", row.Role)
		}
	}
	seen := map[string]Role{}
	for _, row := range table.Words {
		if !row.Role.Valid() || row.Weight < 1 {
			t.Errorf("words: role %q, weight %d", row.Role, row.Weight)
		}
		for _, w := range row.Words {
			if other, twice := seen[w]; twice {
				t.Errorf("%q stands for %s and %s", w, other, row.Role)
			}
			seen[w] = row.Role
			if strings.ToLower(w) != w {
				t.Errorf("%q is not in lower case", w)
			}
		}
	}
	for _, row := range builtinUses().Uses {
		for _, w := range row.Words {
			if got := Use(w); got == "" {
				t.Errorf("the word %q of %s is not found by itself", w, row.Use)
			}
		}
	}
}

func TestLoadTexts(t *testing.T) {
	for s, want := range map[string]string{
		" 120 V/1-180 VA": "120 1 180 VA", " 208 V/3-0 VA": "208 3 0 VA", "60 W": "0 0 60 W", "7,2 kW": "0 0 7200 W", "1.5 kVA": "0 0 1500 VA",
		"180": "0 0 -", "": "0 0 -", "12 lm": "0 0 -", "-5 W": "0 0 -", "1e99 W": "0 0 -", "230 V/1-": "230 1 -", "9999999 V/1-10 VA": "0 0 10 VA",
	} {
		got := loadText(s)
		text := "-"
		if got.load != nil {
			text = strings.TrimSuffix(got.load.String(), " VA") + map[bool]string{true: " W", false: " VA"}[got.watts]
		}
		if text = trimFloat(got.volts) + " " + trimFloat(float64(got.poles)) + " " + text; text != want {
			t.Errorf("%q: %s, want %s", s, text, want)
		}
	}
}

func trimFloat(v float64) string { return strings.TrimSuffix(metres(v).String(), " m") }

func TestCircuitNumbersInOrder(t *testing.T) {
	for _, c := range [][2]string{{"2", "10"}, {"10", "10,12,14"}, {"9", "A"}, {"A", "B"}} {
		if !naturalLess(c[0], c[1]) || naturalLess(c[1], c[0]) {
			t.Errorf("%s comes before %s", c[0], c[1])
		}
	}
}
