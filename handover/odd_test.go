package handover

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/house"
	"wirewright/house/generated"
	"wirewright/unit"
)

// oddStrings are names that papers must carry without stumbling.
var oddStrings = []string{"", " ", "=A1", "a\nb\tc", "<b>&", "居間の照明", "💡", "\x00\x07", "\xff\xfe", "e\u0301", "\u202eabc", strings.Repeat("x", 400), strings.Repeat("long words in a row ", 60),
	"hall.ceiling", "- - -", "%s %d %!", "„Łódź“", strings.Repeat("a.b-", 80)}

func odd() *rapid.Generator[string] {
	return rapid.OneOf(rapid.SampledFrom(oddStrings), rapid.String())
}

// oddPack is a small house in which anything may be called anything, refer to anything, and stand anywhere.
func oddPack(cat *catalogue.Catalogue) *rapid.Generator[Pack] {
	return rapid.Custom(func(t *rapid.T) Pack {
		h := generated.House(rapid.SampledFrom([]int{1, 2, 8, 16, 30}).Draw(t, "points"), rapid.Uint64Range(1, 5).Draw(t, "seed"))
		name := func(what string) string { return odd().Draw(t, what) }
		id := func(what string) house.ID {
			if rapid.IntRange(0, 3).Draw(t, what+" is odd") == 0 {
				return house.ID(name(what))
			}
			return h.Points[rapid.IntRange(0, len(h.Points)-1).Draw(t, what)].ID
		}
		h.Title, h.Site.Place, h.Site.Currency = name("title"), name("place"), name("currency")
		h.Network.Name = name("network")
		for i := range h.Points {
			if rapid.Bool().Draw(t, "rename") {
				h.Points[i].Title = name("point title")
			}
			if rapid.IntRange(0, 4).Draw(t, "unplace") == 0 {
				h.Points[i].At, h.Points[i].Room = nil, id("room")
			}
		}
		for i := range h.Rooms {
			h.Rooms[i].Title, h.Rooms[i].Number = name("room title"), name("room number")
		}
		for i := range h.Modules {
			m := &h.Modules[i]
			m.Title, m.Address, m.Host = name("module title"), name("address"), name("host")
			if rapid.IntRange(0, 3).Draw(t, "strange") == 0 {
				m.Type, m.Point, m.Row, m.Slot = name("type"), id("point"), rapid.IntRange(-1, 300).Draw(t, "row"), rapid.IntRange(-1, 300).Draw(t, "slot")
			}
		}
		for i := range h.Boards {
			h.Boards[i].Title, h.Boards[i].Rows, h.Boards[i].Units = name("board title"), rapid.IntRange(0, 120).Draw(t, "rows"), rapid.IntRange(0, 250).Draw(t, "units")
		}
		for i := range h.Circuits {
			h.Circuits[i].Title, h.Circuits[i].Rating = name("circuit title"), unit.Amperes(float64(rapid.IntRange(0, 200).Draw(t, "rating")))
		}
		p := Pack{House: h, Catalogue: cat, Revision: name("revision"), Date: date, Digest: name("digest"), Prepared: name("prepared"), Findings: check.Check(h, cat)}
		for range rapid.IntRange(0, 4).Draw(t, "keys") {
			p.Keys = append(p.Keys, KeyLegend{Point: id("keypad"), Key: rapid.IntRange(0, 99).Draw(t, "key"), Caption: name("caption"), Lines: rapid.SliceOfN(odd(), 0, 3).Draw(t, "lines"), Rules: rapid.SliceOfN(odd(), 0, 3).Draw(t, "rules")})
		}
		for range rapid.IntRange(0, 4).Draw(t, "rules") {
			p.Rules = append(p.Rules, Rule{Name: name("rule"), Text: name("text"), Controller: name("controller"), Network: name("network"), Needs: []string{name("needs")}, Wishes: []string{name("wish")}})
			p.Tests = append(p.Tests, Test{Name: name("test"), Steps: rapid.SliceOfN(odd(), 0, 4).Draw(t, "steps"), Results: []TestResult{{Where: Site, When: time.Time{}, Tried: rapid.Bool().Draw(t, "tried"), Detail: name("detail")}}})
		}
		return p
	})
}

// TestAnyHouseFitsItsPages makes papers and workbooks of odd houses: no panic, no error, no letter beside its page.
func TestAnyHouseFitsItsPages(t *testing.T) {
	cat, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	packs := oddPack(cat)
	for seed := range 8 {
		p := packs.Example(seed)
		b, err := PDF(p)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if list := strays(words(t, b)); len(list) > 0 {
			t.Errorf("seed %d: %d words stray: %.600s", seed, len(list), strings.Join(list, "; "))
		}
		if _, err := Workbook(p); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
	}
}

// TestAnyTableFits breaks every schedule of odd houses: columns fill the page exactly, and no line is wider than its
// column.
func TestAnyTableFits(t *testing.T) {
	cat, err := catalogue.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		p := oddPack(cat).Draw(t, "pack")
		for _, s := range Schedules(p) {
			for _, all := range []float64{178, 265} {
				checkTable(t, p, s, all)
			}
		}
	})
}

func checkTable(t *rapid.T, p Pack, s Schedule, all float64) {
	columns := columnWidths{}.of(s, all)
	sum := 0.0
	for _, c := range columns {
		sum += c.width
		if c.width < 2*cellPad {
			t.Errorf("%s at %.0f mm: a column of %.2f mm", s.Name, all, c.width)
		}
	}
	if len(s.Columns) == 0 || sum < all-1e-6 || sum > all+1e-6 {
		t.Errorf("%s: the columns take %.3f of %.0f mm", s.Name, sum, all)
	}
	for _, row := range s.Rows {
		if !isHead(row) && len(row) != len(s.Columns) {
			t.Errorf("%s: a row of %d cells under %d columns", s.Name, len(row), len(s.Columns))
		}
	}
}

func TestDesignationsAreUnique(t *testing.T) {
	form := regexp.MustCompile(`^(\+S\d+\.[^-\s]*)?(-[A-Z]{1,2}\d+)+$`)
	look := func(t interface{ Errorf(string, ...any) }, h *house.House) {
		names := Designations(h)
		by := map[string]house.ID{}
		for id, name := range names {
			if other, ok := by[name]; ok {
				t.Errorf("%s and %s are both %s", id, other, name)
			}
			by[name] = id
			if !form.MatchString(name) {
				t.Errorf("%s is designated %q", id, name)
			}
		}
		if len(names) != len(h.Points)+len(h.Modules)+len(h.Boards) {
			t.Errorf("%d designations", len(names))
		}
	}
	look(t, example().House)
	look(t, generated.House(2000, 1))
	rapid.Check(t, func(t *rapid.T) {
		h := generated.House(rapid.IntRange(1, 60).Draw(t, "points"), 1)
		for i := range h.Rooms {
			h.Rooms[i].Number = rapid.SampledFrom([]string{"", "1", "01", "1-EA1", "1 a", "1.2", "Ä", "-", "+"}).Draw(t, "number")
		}
		look(t, h)
	})
	if got := Designations(example().House)["hall.ceiling"]; got != "+S0.001-EA1" {
		t.Errorf("the ceiling lamp of the hall is %s", got)
	}
}

func TestFiguresOfLargePapers(t *testing.T) {
	if testing.Short() {
		t.Skip("a building of 1000 points takes a moment")
	}
	p := bare(1000)
	p.Findings = nil
	b, err := PDF(p)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(b), "/Type /Page\n"); n < 80 || n > 300 {
		t.Errorf("%d pages", n)
	}
}
