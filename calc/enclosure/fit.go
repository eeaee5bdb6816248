package enclosure

// Stood is a device that stands on a row already.
type Stood struct {
	Place
	Units int
	Class Class
	Heat  float64 // W
}

// end is its last unit.
func (s *Stood) end() int { return s.Slot + s.Units - 1 }

// Parted tells whether a plate stands between two neighbours of a row.
func Parted(plates []Place, left, right Stood) bool {
	for _, p := range plates {
		if p.Row == left.Row && p.Slot > left.end() && p.Slot <= right.Slot {
			return true
		}
	}
	return false
}

// Mixed tells whether two neighbours of a row have mains and extra-low voltage alone, with no plate between.
func Mixed(plates []Place, left, right Stood) bool {
	different := left.Class == Mains && right.Class == Extra || left.Class == Extra && right.Class == Mains
	return different && left.Row == right.Row && !Parted(plates, left, right)
}

// neighbours finds the devices next to a place of a row, and whether the place itself is free.
func neighbours(stood []Stood, s Stood) (left, right *Stood, free bool) {
	for i := range stood {
		o := &stood[i]
		switch {
		case o.Row != s.Row:
		case o.Slot <= s.end() && s.Slot <= o.end():
			return nil, nil, false
		case o.Slot < s.Slot && (left == nil || o.Slot > left.Slot):
			left = o
		case o.Slot > s.Slot && (right == nil || o.Slot < right.Slot):
			right = o
		}
	}
	return left, right, true
}

// Fit finds a place for one more device among those that stand already and stay: the first where it mixes no voltages and
// crowds no heat, row by row in an order given; else the first that is free. False where no row has room.
func Fit(stood []Stood, plates []Place, it Item, f Frame, rows []int) (Place, bool) {
	second, found := Place{}, false
	for _, row := range rows {
		for slot := 1; slot+it.Units-1 <= f.Units; slot++ {
			s := Stood{Place{row, slot}, it.Units, it.Class, it.Heat}
			left, right, free := neighbours(stood, s)
			if !free {
				continue
			}
			if f.calm(plates, left, &s) && f.calm(plates, &s, right) {
				return s.Place, true
			}
			if !found {
				second, found = s.Place, true
			}
		}
	}
	return second, found
}

// calm tells whether two neighbours, of which one may be none, mix no voltages and crowd no heat.
func (f *Frame) calm(plates []Place, left, right *Stood) bool {
	if left == nil || right == nil {
		return true
	}
	warm := f.Hot > 0 && left.Heat >= f.Hot && right.Heat >= f.Hot && right.Slot-left.end()-1 < f.Gap
	return !warm && !Mixed(plates, *left, *right)
}
