package allot

import (
	"cmp"
	"fmt"
	"slices"

	"wirewright/calc/enclosure"
	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/house"
)

// layoutSteps bounds the search for the layout of one board.
const layoutSteps = 30_000

// slots puts what has no row yet into its board: new rail modules, the devices of circuits, and other devices. A board on
// which nothing stands is laid out anew by package enclosure; where something stands, it stays, and the rest finds places
// beside it.
func (j *job) slots() {
	j.house.Boards = slices.Clone(j.house.Boards)
	j.house.Circuits = slices.Clone(j.house.Circuits)
	for i := range j.house.Boards {
		b := &j.house.Boards[i]
		if b.Rows <= 0 || b.Units <= 0 {
			continue
		}
		r := j.rows(b)
		if len(r.new) == 0 {
			continue
		}
		if len(r.stood) > 0 || !r.lay() {
			r.fit()
		}
	}
}

// rows is one board while its rows are filled.
type rows struct {
	*job
	board  *house.Board
	stood  []enclosure.Stood
	plates []enclosure.Place
	new    []seat
}

// seat is something that shall have a place.
type seat struct {
	item   enclosure.Item
	module house.ID // empty for protective devices
	put    func(enclosure.Place)
}

// rows gathers what stands on the rows of a board, and what has no place: protective devices first, then heads and supplies,
// then the others.
func (j *job) rows(b *house.Board) *rows {
	r := &rows{job: j, board: b}
	for _, p := range b.Partitions {
		r.plates = append(r.plates, enclosure.Place{Row: p.Row, Slot: p.Slot})
	}
	b.Devices = slices.Clone(b.Devices)
	r.devices(false)
	r.circuits()
	r.devices(true)
	for _, leading := range []bool{true, false} {
		for i := range j.house.Modules {
			m := &j.house.Modules[i]
			t := j.types[m.ID]
			if m.Board == b.ID && t.Mount == catalogue.Rail && t.Units > 0 && leads(t) == leading {
				r.module(m, t)
			}
		}
	}
	return r
}

func leads(t *catalogue.Type) bool {
	return t.Role == catalogue.RoleHead || t.Role == catalogue.RoleSupply
}

// devices adds main, residual-current and other devices of the board that are on mains, or on extra-low voltage alone.
func (r *rows) devices(extra bool) {
	rank := func(d house.Device) int {
		return slices.Index([]string{"main", "surge", "meter", "residual", "other", "terminals"}, d.Kind)
	}
	order := make([]int, len(r.board.Devices))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(x, y int) int {
		return cmp.Compare(rank(r.board.Devices[x]), rank(r.board.Devices[y]))
	})
	for _, i := range order {
		d := &r.board.Devices[i]
		if d.Extra != extra {
			continue
		}
		it := enclosure.Item{Name: d.Name, Units: d.Units, Heat: d.Heat.W(), Group: "protection"}
		if d.Extra {
			it.Class, it.Group = enclosure.Extra, "line"
		}
		if d.Kind == "residual" {
			it.After = r.mains()
		}
		r.add(d.Row, d.Slot, seat{it, "", func(p enclosure.Place) { d.Row, d.Slot = p.Row, p.Slot }})
	}
}

// mains are the new incoming devices.
func (r *rows) mains() []int {
	return r.upstream(func(d *house.Device) bool { return d.Kind == "main" })
}

// upstream lists the new devices that pass a test, as positions among what is new.
func (r *rows) upstream(test func(*house.Device) bool) []int {
	var list []int
	for i := range r.board.Devices {
		d := &r.board.Devices[i]
		if d.Row > 0 || d.Extra || !test(d) {
			continue
		}
		if k := slices.IndexFunc(r.new, func(s seat) bool { return s.module == "" && s.item.Name == d.Name }); k >= 0 {
			list = append(list, k)
		}
	}
	return list
}

func (r *rows) circuits() {
	for i := range r.house.Circuits {
		k := &r.house.Circuits[i]
		if k.Board != r.board.ID {
			continue
		}
		feeders := r.upstream(func(d *house.Device) bool {
			return slices.Contains(d.Serves, k.ID) || d.Kind == "main" && len(d.Serves) == 0
		})
		it := enclosure.Item{Name: "the device of " + string(k.ID), Units: k.DeviceUnits(), Group: "protection", After: feeders}
		r.add(k.Row, k.Slot, seat{it, "", func(p enclosure.Place) { k.Row, k.Slot = p.Row, p.Slot }})
	}
}

func (r *rows) module(m *house.Module, t *catalogue.Type) {
	it := enclosure.Item{Name: "module " + string(m.ID), Units: t.Units, Class: check.VoltageClass(t), Heat: t.Heat.W(), Group: "outputs"}
	if it.Class != enclosure.Mains {
		it.Group = "line"
	}
	if m.Row == 0 && !slices.Contains(r.result.New, m.ID) {
		return // a person has not placed it
	}
	r.add(m.Row, m.Slot, seat{it, m.ID, func(p enclosure.Place) { m.Row, m.Slot = p.Row, p.Slot }})
}

// add notes a seat as standing or new.
func (r *rows) add(row, slot int, s seat) {
	if row > 0 && slot > 0 {
		r.stood = append(r.stood, enclosure.Stood{Place: enclosure.Place{Row: row, Slot: slot}, Units: s.item.Units, Class: s.item.Class, Heat: s.item.Heat})
		return
	}
	r.new = append(r.new, s)
}

func (r *rows) frame() enclosure.Frame {
	return enclosure.Frame{Units: r.board.Units, Rows: r.board.Rows, Hot: check.HotFrom, Gap: check.HotGap, Budget: layoutSteps}
}

// lay tries to lay out the whole board: with rows of their own for protective devices, which leaves those rows to further
// ones; with rows for mains and extra-low voltage apart; with plates between them; at last without gaps beside what is
// warm. False where it does not fit.
func (r *rows) lay() bool {
	if r.layApart() {
		return true
	}
	for _, gaps := range []bool{true, false} {
		for _, plates := range []bool{false, true} {
			f := r.frame()
			f.Partitions = plates
			if !gaps {
				f.Hot = 0
			}
			l, err := enclosure.Lay(items(r.new), f)
			if err != nil {
				return false
			}
			if l.Fits(f) {
				r.write(l, gaps)
				return true
			}
		}
	}
	return false
}

// layApart lays out protective devices above and everything else below, where the board has rows for both.
func (r *rows) layApart() bool {
	n := slices.IndexFunc(r.new, func(s seat) bool { return s.item.Group != "protection" })
	if n <= 0 || slices.ContainsFunc(r.new[n:], func(s seat) bool { return s.item.Group == "protection" }) {
		return false
	}
	upper, err := enclosure.Lay(items(r.new[:n]), r.frame())
	if err != nil {
		return false
	}
	lower, err := enclosure.Lay(items(r.new[n:]), r.frame())
	if err != nil || upper.Rows+lower.Rows > r.board.Rows {
		return false
	}
	for i, s := range r.new[:n] {
		s.put(upper.Places[i])
	}
	for i, s := range r.new[n:] {
		s.put(enclosure.Place{Row: upper.Rows + lower.Places[i].Row, Slot: lower.Places[i].Slot})
	}
	return true
}

func items(seats []seat) []enclosure.Item {
	list := make([]enclosure.Item, len(seats))
	for i, s := range seats {
		list[i] = s.item
	}
	return list
}

func (r *rows) write(l *enclosure.Layout, gaps bool) {
	for i, s := range r.new {
		s.put(l.Places[i])
	}
	for _, p := range l.Partitions {
		r.part(p)
	}
	if !gaps {
		r.note("board %s has no room for free units beside its warm modules: a larger board stays cooler", r.board.ID)
	}
}

// part sets a plate at the left edge of a unit.
func (r *rows) part(p enclosure.Place) {
	r.plates = append(r.plates, p)
	r.board.Partitions = append(slices.Clip(r.board.Partitions), house.Partition{Row: p.Row, Slot: p.Slot})
	r.note("board %s has a partition in row %d at slot %d between mains and extra-low voltage", r.board.ID, p.Row, p.Slot)
}

func (r *rows) note(format string, args ...any) {
	r.result.Notes = append(r.result.Notes, fmt.Sprintf(format, args...))
}

// fit gives each a place beside what stands: modules after the first row, which is left to protective devices as long as
// there are others. Protective devices come last, so that modules of one house stand where they stood without them.
func (r *rows) fit() {
	slices.SortStableFunc(r.new, func(x, y seat) int { return cmp.Compare(seatRank(x), seatRank(y)) })
	for _, s := range r.new {
		at, ok := enclosure.Fit(r.stood, r.plates, s.item, r.frame(), r.order(s.module == ""))
		if !ok {
			r.note("board %s has no %d free units side by side for %s: a larger board or a second one is needed", r.board.ID, s.item.Units, s.item.Name)
			continue
		}
		s.put(at)
		r.stood = append(r.stood, enclosure.Stood{Place: at, Units: s.item.Units, Class: s.item.Class, Heat: s.item.Heat})
		r.divide(at)
	}
}

func seatRank(s seat) int {
	if s.module == "" {
		return 1
	}
	return 0
}

// order is the order in which the rows are offered.
func (r *rows) order(protection bool) []int {
	var list []int
	for n := 1; n <= r.board.Rows; n++ {
		list = append(list, n)
	}
	if !protection && len(list) > 1 {
		list = append(list[1:], 1)
	}
	return list
}

// divide sets plates beside the device that has just been placed, where its neighbours are of another voltage.
func (r *rows) divide(at enclosure.Place) {
	row := slices.DeleteFunc(slices.Clone(r.stood), func(s enclosure.Stood) bool { return s.Row != at.Row })
	slices.SortFunc(row, func(x, y enclosure.Stood) int { return cmp.Compare(x.Slot, y.Slot) })
	for i := 1; i < len(row); i++ {
		if (row[i].Place == at || row[i-1].Place == at) && enclosure.Mixed(r.plates, row[i-1], row[i]) {
			r.part(row[i].Place)
		}
	}
}
