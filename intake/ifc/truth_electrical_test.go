package ifc

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wirewright/house"
	"wirewright/intake/step"
)

func mergedDuplex(tb testing.TB) *Result {
	tb.Helper()
	return Merge(Options{}, importModel(tb, duplex), importModel(tb, electrical))
}

// roomNumbers maps rooms to the numbers on the architect's plan.
func roomNumbers(h *house.House) map[house.ID]string {
	out := map[house.ID]string{}
	for _, r := range h.Rooms {
		out[r.ID] = r.Number
	}
	return out
}

// TestTruthDevicesByRoom holds the 88 devices against the handover table of the building (COBie sheet of the same data set).
func TestTruthDevicesByRoom(t *testing.T) {
	want := map[string]string{
		"A101": "lamp 1 keypad 1 socket 3 board 1", "A102": "lamp 1 keypad 1 socket 3 temperature 1", "A103": "socket 6 none 2",
		"A104": "lamp 1 keypad 1 socket 2", "A105": "lamp 1", "A201": "keypad 1 socket 2",
		"A202": "lamp 1 keypad 1 socket 4 contact 1", "A203": "lamp 1 keypad 1 socket 3 contact 1", "A204": "lamp 1 keypad 1 socket 1",
		"B101": "lamp 1 keypad 1 socket 3 board 1 contact 1", "B102": "lamp 1 keypad 1 socket 3 temperature 1", "B103": "socket 6 none 2",
		"B104": "lamp 1 keypad 1 socket 2", "B105": "lamp 1", "B201": "keypad 1 socket 2",
		"B202": "lamp 1 keypad 1 socket 3 contact 1", "B203": "lamp 1 keypad 1 socket 3 contact 1", "B204": "lamp 1 keypad 1 socket 1",
	}
	r := mergedDuplex(t)
	numbers := roomNumbers(r.House)
	found := map[string]map[Role]int{}
	for _, m := range r.Mapped {
		n := numbers[m.Room]
		if found[n] == nil {
			found[n] = map[Role]int{}
		}
		found[n][m.Role]++
	}
	if len(r.Mapped) != 88 || len(found) != len(want) {
		t.Errorf("%d devices in %d rooms, want 88 in %d", len(r.Mapped), len(found), len(want))
	}
	for room, w := range want {
		var got []string
		for _, role := range []Role{"lamp", "keypad", "socket", "board", "temperature", "contact", "none", "unknown"} {
			if n := found[room][role]; n > 0 {
				got = append(got, fmt.Sprintf("%s %d", role, n))
			}
		}
		if strings.Join(got, " ") != w {
			t.Errorf("%s: %s, want %s", room, strings.Join(got, " "), w)
		}
	}
}

// TestTruthEachDevice holds every device against its row of the device table: kind, room, circuit, load, place.
func TestTruthEachDevice(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(string(readModel(t, "Duplex_Electrical_devices.csv")))).ReadAll()
	if err != nil || len(rows) != 89 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	r := mergedDuplex(t)
	numbers := roomNumbers(r.House)
	points := map[house.ID]house.Point{}
	for _, p := range r.House.Points {
		points[p.ID] = p
	}
	circuits := map[house.ID]string{}
	for _, c := range r.House.Circuits {
		circuits[c.ID] = c.Title
	}
	roles := map[string]Role{"luminaire": "lamp", "switch": "keypad", "socket": "socket", "smoke": "contact", "thermostat": "temperature",
		"distribution": "board", "telephone": "none", "cooker": "none"}
	for _, row := range rows[1:] {
		cell := func(name string) string { return row[slices.Index(rows[0], name)] }
		i := slices.IndexFunc(r.Mapped, func(m Mapping) bool { return m.GlobalID == cell("global_id") })
		if i < 0 {
			t.Errorf("%s is not mapped", cell("tag"))
			continue
		}
		m := r.Mapped[i]
		word, _, _ := strings.Cut(cell("kind"), " ")
		if m.Role != roles[word] || numbers[m.Room] != cell("room_cobie") || m.Tag != cell("tag") {
			t.Errorf("%s (%s): taken for %s in %s, want %s in %s", cell("tag"), cell("kind"), m.Role, m.Room, roles[word], cell("room_cobie"))
		}
		p, isPoint := points[m.Taken]
		if want := m.Role.Kind() != ""; want != isPoint {
			t.Errorf("%s: a point: %v, want %v", cell("tag"), isPoint, want)
		}
		if !isPoint {
			continue
		}
		if strings.HasPrefix(cell("panel"), "Unit") && circuits[p.Circuit] != cell("panel")+" "+cell("circuit") {
			t.Errorf("%s: on circuit %q, want %s %s", cell("tag"), circuits[p.Circuit], cell("panel"), cell("circuit"))
		}
		checkPlace(t, p, cell)
	}
}

func checkPlace(t *testing.T, p house.Point, cell func(string) string) {
	t.Helper()
	number := func(name string) float64 {
		v, err := strconv.ParseFloat(cell(name), 64)
		if err != nil {
			t.Errorf("%s: column %s: %v", p.ID, name, err)
		}
		return v
	}
	z := number("z_m_above_storey")
	if cell("storey") == "Level 2" {
		z += 3.1
	}
	if !near(p.At.X, number("x_m"), 0.001) || !near(p.At.Y, number("y_m"), 0.001) || !near(p.At.Z, z, 0.001) {
		t.Errorf("%s is at %v, want %v %v %v", p.ID, *p.At, number("x_m"), number("y_m"), z)
	}
	if p.Load != nil && !near(p.Load.Apparent.VA(), number("load_va"), 1e-6) {
		t.Errorf("%s draws %s, want %v VA", p.ID, p.Load.Apparent, number("load_va"))
	}
}

// TestTruthCircuits: the sums by circuit, which the boards of the model carry as connected loads too.
func TestTruthCircuits(t *testing.T) {
	want := map[string]float64{
		"Unit A Panelboard 1": 460, "Unit A Panelboard 2": 640, "Unit A Panelboard 3": 1080, "Unit A Panelboard 4": 690,
		"Unit A Panelboard 5": 690, "Unit A Panelboard 6": 510, "Unit A Panelboard 7": 870, "Unit A Panelboard 8": 280,
		"Unit B Panelboard 1": 690, "Unit B Panelboard 2": 1080, "Unit B Panelboard 3": 460, "Unit B Panelboard 4": 640,
		"Unit B Panelboard 5": 690, "Unit B Panelboard 6": 280, "Unit B Panelboard 7": 510, "Unit B Panelboard 8": 690,
	}
	h := mergedDuplex(t).House
	if len(h.Circuits) != len(want) || len(h.Boards) != 2 {
		t.Errorf("%d circuits on %d boards, want %d on 2", len(h.Circuits), len(h.Boards), len(want))
	}
	boards := map[string]float64{}
	for _, c := range h.Circuits {
		sum := 0.0
		for _, p := range h.Points {
			if p.Circuit == c.ID && p.Load != nil {
				sum += p.Load.Apparent.VA()
			}
		}
		if w, ok := want[c.Title]; !ok || !near(sum, w, 1e-6) {
			t.Errorf("%s: %v VA, want %v", c.Title, sum, w)
		}
		boards[string(c.Board)] += sum
	}
	// 'Receptacle Connected' plus 'Lighting - Dwelling Unit Connected' of the boards, without the factor 1/0.3048² that the
	// writer of the model slipped in.
	foot2 := 0.3048 * 0.3048
	for board, stated := range map[string]float64{"unit-a-panelboard": (46500.093000186 + 9687.51937503875) * foot2,
		"unit-b-panelboard": (44562.5891251783 + 9687.51937503875) * foot2} {
		if !near(boards[board], stated, 0.01) {
			t.Errorf("%s: circuits of %v VA, the board states %.2f", board, boards[board], stated)
		}
	}
	if v := h.Site.Supply.Voltage.V(); v != 120 {
		t.Errorf("the supply has %v V, want 120", v)
	}
}

func TestTruthHeights(t *testing.T) {
	h := mergedDuplex(t).House
	floors := map[house.ID]float64{}
	for _, s := range h.Storeys {
		floors[s.ID] = s.Elevation.M()
	}
	kinds := map[house.Kind][]float64{house.Keypad: {1.22}, house.Socket: {0.458, 1.068, 1.22, 1.7}, house.Lamp: {1.9, 2.6}, house.Contact: {2.6}, house.Thermometer: {1.32, 1.3}}
	for _, p := range h.Points {
		above := p.At.Z
		if above > 3 {
			above -= 3.1
		}
		ok := false
		for _, z := range kinds[p.Kind] {
			ok = ok || near(above, z, 0.03)
		}
		if !ok {
			t.Errorf("%s (%s) hangs %.3f m above its storey, want one of %v", p.ID, p.Kind, above, kinds[p.Kind])
		}
	}
}

// TestTruthBoundaryDevicesOnEdges: the two pendants on the edge between stairs and hallway go to the stairs, as the handover
// table has it, by the rule of the smaller floor.
func TestTruthEdgeDevices(t *testing.T) {
	r := mergedDuplex(t)
	for tag, room := range map[string]house.ID{"575505": "a105-stair", "575508": "b105-room"} {
		i := slices.IndexFunc(r.Mapped, func(m Mapping) bool { return m.Tag == tag })
		if r.Mapped[i].Room != room {
			t.Errorf("%s lies in %s, want %s", tag, r.Mapped[i].Room, room)
		}
	}
}

func TestMergeKeepsOneHouse(t *testing.T) {
	alone, both := importModel(t, duplex).House, mergedDuplex(t).House
	if len(both.Storeys) != len(alone.Storeys) || len(both.Rooms) != len(alone.Rooms) || len(both.Walls) != len(alone.Walls) {
		t.Errorf("merging added storeys, rooms or walls: %d %d %d", len(both.Storeys), len(both.Rooms), len(both.Walls))
	}
	if n := len(both.Points); n != 82 { // 14 lamps, 14 switches, 47 sockets, 5 smoke detectors, 2 thermostats
		t.Errorf("%d points, want 82", n)
	}
	other := Merge(Options{}, importModel(t, electrical), importModel(t, duplex)).House
	if len(other.Storeys) != len(alone.Storeys) || len(other.Rooms) != len(alone.Rooms) || len(other.Points) != 82 {
		t.Errorf("in the other order: %d storeys, %d rooms, %d points", len(other.Storeys), len(other.Rooms), len(other.Points))
	}
}

// TestMergeDropsTwins merges a model with itself: nothing may stand twice.
func TestMergeDropsTwins(t *testing.T) {
	a := importModel(t, fzk)
	both := Merge(Options{}, a, a)
	if len(both.House.Rooms) != len(a.House.Rooms) || len(both.House.Walls) != len(a.House.Walls) ||
		len(both.House.Openings) != len(a.House.Openings) || len(both.House.Slabs) != len(a.House.Slabs) {
		t.Errorf("rooms %d, walls %d, openings %d, slabs %d stand in the house", len(both.House.Rooms), len(both.House.Walls),
			len(both.House.Openings), len(both.House.Slabs))
	}
}

func TestCorrections(t *testing.T) {
	opts := Options{Mapping: []Correction{{Match: "575492", Role: "socket"}, {Match: "Single Pole", Role: "contact"}, {Match: "sconce", Role: RoleNone}}}
	r, err := Import(electrical, readModel(t, electrical), opts)
	if err != nil {
		t.Fatal(err)
	}
	n := map[Role]int{}
	for _, m := range r.Mapped {
		n[m.Role]++
	}
	if n["socket"] != 48 || n["contact"] != 19 || n["keypad"] != 0 || n["lamp"] != 8 || n[RoleNone] != 9 {
		t.Errorf("roles after corrections: %v", n)
	}
}

func openModel(tb testing.TB, name string) *model {
	tb.Helper()
	f, err := step.Parse(name, readModel(tb, name), step.Limits{})
	if err != nil {
		tb.Fatal(err)
	}
	m, err := open(f)
	if err != nil {
		tb.Fatal(err)
	}
	return m
}
