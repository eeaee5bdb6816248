package handover

import (
	"fmt"

	"wirewright/check"
	"wirewright/handover/plan"
	"wirewright/handover/scene"
	"wirewright/house"
)

// readable is the smallest scale at which names beside symbols can be read on paper: a storey that needs a smaller one
// is shown in parts.
const readable = 125

// plans are the chapters with the plans: of each storey one with the points, and one with the modules where it has any.
func (b *builder) plans() []chapter {
	var list []chapter
	for _, s := range b.pack.House.Storeys {
		title := plan.Title(b.pack.House, s.ID)
		if !b.hasPoints(s.ID) {
			b.leaveOut("plan of " + title)
			continue
		}
		list = append(list, b.planChapter("Plan: "+title, s.ID, false))
		if b.hasModules(s.ID) {
			list = append(list, b.planChapter("Modules: "+title, s.ID, true))
		}
	}
	return list
}

// hasPoints tells whether a storey has points.
func (b *builder) hasPoints(storey house.ID) bool {
	for _, p := range b.pack.House.Points {
		if r := b.index.Room(p.Room); r != nil && r.Storey == storey {
			return true
		}
	}
	return false
}

// hasModules tells whether a storey has modules outside boards.
func (b *builder) hasModules(storey house.ID) bool {
	for _, m := range b.pack.House.Modules {
		room := m.Room
		if p := b.index.Point(m.Point); p != nil {
			room = p.Room
		}
		if r := b.index.Room(room); m.Board == "" && r != nil && r.Storey == storey {
			return true
		}
	}
	return false
}

// planSheet is one sheet to draw.
type planSheet struct {
	orientation string
	options     plan.Options
	heading     string
}

func (b *builder) planChapter(title string, storey house.ID, modules bool) chapter {
	sheets := b.sheets(storey, modules)
	for i := range sheets {
		if sheets[i].heading == "" {
			sheets[i].heading = title
		} else {
			sheets[i].heading = title + ", " + sheets[i].heading
		}
	}
	drawn := make([]*scene.Scene, len(sheets))
	return chapter{forElectrician, title, func(w *paper, c chapter) {
		for i, s := range sheets {
			if drawn[i] == nil {
				drawn[i] = plan.Draw(b.pack.House, storey, s.options)
			}
			if i == 0 {
				w.begin(c.title, s.orientation)
			} else {
				w.page(s.orientation)
			}
			w.planSheet(s, drawn[i])
		}
	}}
}

// The room that a plan has on a sheet: all of it but the bar below and a heading above.
const (
	planHead = 8.0
	planFoot = 6.0
)

func planRoom(orientation string) (width, height float64) {
	width, height = 210-left-right, 297-top-bottom-planHead-planFoot
	if orientation == "L" {
		width, height = 297-left-right, 210-top-bottom-planHead-planFoot
	}
	return width, height
}

// sheets chooses sheets for a storey: one, turned as fits it best; where names could not be read on it, one that shows
// the parts, and the parts.
func (b *builder) sheets(storey house.ID, modules bool) []planSheet {
	o := plan.Options{Points: true, Names: !modules, Modules: modules}
	if modules {
		o.Cables = b.planCables()
	} else {
		o.Marks = Marks(b.pack.Findings)
	}
	best := planSheet{}
	bestScale := 0.0
	for _, orientation := range []string{"L", "P"} {
		width, height := planRoom(orientation)
		if scale := plan.Fit(b.pack.House, storey, width, height); best.orientation == "" || scale < bestScale {
			o.Width, o.Height = width, height
			best, bestScale = planSheet{orientation: orientation, options: o}, scale
		}
	}
	if bestScale <= readable {
		return []planSheet{best}
	}
	return b.parts(storey, best, o)
}

// parts cuts a storey into sheets at 1:100, the way of the sheet that needs fewest of them.
func (b *builder) parts(storey house.ID, whole planSheet, o plan.Options) []planSheet {
	const scale = 100
	var extents []plan.Extent
	way := "L"
	for _, orientation := range []string{"L", "P"} {
		width, height := planRoom(orientation)
		if list := plan.Split(b.pack.House, storey, scale, width, height); extents == nil || len(list) < len(extents) {
			extents, way = list, orientation
		}
	}
	var list []planSheet
	if !o.Modules { // the sheets with the modules have the same parts
		whole.options.Names, whole.options.Points, whole.options.Parts, whole.heading = false, false, extents, "in parts"
		list = append(list, whole)
	}
	width, height := planRoom(way)
	for i := range extents {
		o.Width, o.Height, o.Window = width, height, &extents[i]
		list = append(list, planSheet{way, o, fmt.Sprintf("part %d of %d", i+1, len(extents))})
	}
	return list
}

// planSheet puts one drawing onto the page, with its heading and a bar that proves the scale.
func (w *paper) planSheet(p planSheet, s *scene.Scene) {
	w.say(left, w.y+4, 4.2, true, 0, scene.Clip(p.heading, 4.2, w.width(), true))
	width, height := planRoom(p.orientation)
	x, y := left+(width-s.Width)/2, w.y+planHead+(height-s.Height)/2
	x, y = max(x, left), max(y, w.y+planHead)
	w.f.ClipRect(left, w.y+planHead-1, width, height+1, false)
	w.draw(s, x, y)
	w.f.ClipEnd()
	w.bar(s)
	w.y = w.height() - bottom
}

// bar is 100 mm long and says so.
func (w *paper) bar(s *scene.Scene) {
	y := w.height() - bottom - 1.5
	w.f.SetDrawColor(0, 0, 0)
	w.f.SetLineWidth(.3)
	w.f.Line(left, y, left+100, y)
	w.f.Line(left, y-1, left, y+1)
	w.f.Line(left+100, y-1, left+100, y+1)
	scale := ""
	if s.Model != nil {
		scale = fmt.Sprintf("1:%g, print at 100 %%: ", s.Model.Scale)
	}
	w.say(left+102, y+.9, 2.4, false, 70, scale+"this bar is then 100 mm long")
	says := "symbols: page " + w.pageOf(pointsTitle)
	w.say(left+w.width()-scene.TextWidth(says, 2.4, false), y+.9, 2.4, false, 70, says)
}

// Marks flags the entities of the findings on a plan.
func Marks(list []check.Finding) map[house.ID][]plan.Mark {
	roles := map[check.Severity]scene.Role{check.Fault: scene.FaultMark, check.Caution: scene.CautionMk}
	m := map[house.ID][]plan.Mark{}
	for _, f := range list {
		if r, ok := roles[f.Severity]; ok {
			m[f.Entity] = append(m[f.Entity], plan.Mark{Role: r, Text: f.Text})
		}
	}
	return m
}

// symbols explains the symbols of the plans.
func (w *paper) symbols() {
	used := map[house.Kind]bool{}
	for _, p := range w.pack.House.Points {
		used[p.Kind] = true
	}
	if len(used) == 0 {
		return
	}
	w.heading("Symbols of the plans")
	const columns = 4
	x, column := left, 0
	put := func(says string, shapes []scene.Shape) {
		w.need(7)
		w.draw(&scene.Scene{Items: []scene.Item{{Shapes: shapes}}}, x, w.y)
		w.say(x+8, w.y+4, 2.7, false, 0, says)
		x += w.width() / columns
		if column++; column == columns {
			x, column = left, 0
			w.y += 7
		}
	}
	for _, k := range house.Kinds {
		if used[k] {
			put(or(kindWords[k], string(k)), plan.Symbol(k, scene.Point{X: 3, Y: 3}))
		}
	}
	for _, s := range plan.Signs(scene.Point{X: 3, Y: 3}) {
		put(s.Says, s.Shapes)
	}
	if column > 0 {
		w.y += 8
	}
	w.y += 3
}
