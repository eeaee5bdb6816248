package catalogue

import (
	"bufio"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

func TestMaterialUnderstandsDrawings(t *testing.T) {
	c := builtinForTest(t)
	for name, want := range map[string]string{
		"Бетон": "concrete", "Железобетон": "concrete", "Деревянный пол": "wood", "Гипс": "plasterboard", "Кирпич керамический": "brick",
		"Stahlbeton 65690": "concrete", "Leichtbeton 102890359": "light-concrete", "Holz": "wood", "Ziegelmauerwerk": "brick", "Kalksandstein 24 cm": "sand-lime",
		"Gipskartonplatte": "plasterboard", "Wärmeschutzglas": "coated-glass", "Glaswolle": "insulation",
		"brick": "brick", "plasterboard": "plasterboard", "metal stud": "air", "Metal - Stud Layer": "air", "Masonry - Concrete Block": "concrete-block",
		"Masonry - Brick": "brick", "Metal - Steel - 345 MPa": "metal", "Wood - Sheathing - plywood": "plywood", "Ceramic Tile": "stone",
		"Misc. Air Layers - Air Space": "air", "gypsum_fiber-board_panel": "plasterboard", "stone_sand-lime": "sand-lime", "concrete_reinforced_in-situ": "concrete",
		"Insulation / Thermal Barriers - Rigid insulation": "insulation", "Aluminium foil": "foil",
		"Béton armé": "concrete", "Ladrillo": "brick", "Cartongesso": "plasterboard", "Cegła pełna": "brick", "Dřevo": "wood",
	} {
		m, ok := c.Material(name)
		if !ok || m.ID != want {
			t.Errorf("%q is taken for %v, want %s", name, m, want)
		}
	}
	for _, name := range []string{"", "Default", "Материал по умолчанию", "virtual_white", "textile", "stair", "Solid 397409098"} {
		if m, ok := c.Material(name); ok {
			t.Errorf("%q is taken for %s; nothing should be guessed", name, m.ID)
		}
	}
}

// TestMaterialCoefficients holds the table against the published one: Recommendation ITU-R P.2040-2, Table 3, as
// transcribed in the open ray-tracing library Sionna (itu_materials.py, which names the edition).
func TestMaterialCoefficients(t *testing.T) {
	c := builtinForTest(t)
	for id, want := range map[string][4]float64{
		"concrete": {5.24, 0, 0.0462, 0.7822}, "brick": {3.91, 0, 0.0238, 0.16}, "plasterboard": {2.73, 0, 0.0085, 0.9395},
		"wood": {1.99, 0, 0.0047, 1.0718}, "glass": {6.31, 0, 0.0036, 1.3394}, "ceiling-board": {1.48, 0, 0.0011, 1.0750},
		"chipboard": {2.58, 0, 0.0217, 0.78}, "plywood": {2.71, 0, 0.33, 0}, "stone": {7.074, 0, 0.0055, 0.9262}, "metal": {1, 0, 1e7, 0},
	} {
		m, ok := c.Material(id)
		if !ok || [4]float64{m.A, m.B, m.C, m.D} != want {
			t.Errorf("%s: %v, want %v", id, m, want)
		}
	}
	for _, m := range c.Materials {
		if !strings.Contains(m.Source, "P.2040-2") && !strings.Contains(m.Source, "common practice") {
			t.Errorf("%s: the source names neither the Recommendation's edition nor practice: %s", m.ID, m.Source)
		}
	}
}

// TestMaterialNamesOfRealModels reads the material names of the open building models beside the repository and asks
// that most are understood.
func TestMaterialNamesOfRealModels(t *testing.T) {
	files, _ := filepath.Glob("../../shared/data/ifc/*.ifc")
	if len(files) == 0 {
		t.Skip("the open building models are not beside the repository")
	}
	c := builtinForTest(t)
	entity := regexp.MustCompile(`IFCMATERIAL\('([^'\\]*)'`)
	known, unknown := 0, []string{}
	seen := map[string]bool{}
	for _, name := range files {
		f, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		s := bufio.NewScanner(f)
		s.Buffer(nil, 1<<24)
		for s.Scan() {
			m := entity.FindStringSubmatch(s.Text())
			if m == nil || seen[m[1]] {
				continue
			}
			seen[m[1]] = true
			if _, ok := c.Material(m[1]); ok {
				known++
			} else {
				unknown = append(unknown, m[1])
			}
		}
		if err := s.Err(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d names understood; not: %q", known, unknown)
	if total := known + len(unknown); known*4 < total*3 {
		t.Errorf("only %d of %d material names are understood: %q", known, total, unknown)
	}
}
