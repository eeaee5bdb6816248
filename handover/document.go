package handover

import (
	"fmt"
	"slices"
	"strings"
)

// chapter is one part of the papers.
type chapter struct {
	group string // for whom
	title string
	draw  func(*paper, chapter)
}

// The groups of the contents.
const (
	forOwner       = "For the owner"
	forElectrician = "For the next electrician"
	forRecord      = "What was shown, and what is to be measured"
)

// PDF makes the whole pack as one document.
func PDF(p Pack) ([]byte, error) {
	b := newBuilder(p)
	list := b.chapters()
	return layout(p, func(w *paper) {
		w.cover(b, list)
		for _, c := range list {
			c.draw(w, c)
		}
	})
}

// chapters lists what the papers hold, in order. What the house has nothing of is left out, and noted for the cover.
func (b *builder) chapters() []chapter {
	list := []chapter{{forOwner, "Owner's guide", b.guide}}
	add := func(ok bool, c chapter) {
		if ok {
			list = append(list, c)
		} else {
			b.leaveOut(lowered(c.title))
		}
	}
	table := func(group string, s Schedule) { add(len(s.Rows) > 0, tableChapter(group, s)) }
	add(b.keysDo(), chapter{forOwner, "Key cards", b.cards})
	table(forOwner, b.wishes())
	list = append(list, b.plans()...)
	add(len(b.pack.House.Points) > 0, chapter{forElectrician, pointsTitle, b.pointsChapter})
	table(forElectrician, b.modules())
	add(len(b.pack.House.Boards) > 0, chapter{forElectrician, "Boards", b.boards})
	table(forElectrician, b.circuits())
	add(len(b.pack.House.Lines) > 0, chapter{forElectrician, "Bus lines", b.lineDiagrams})
	table(forElectrician, b.cables())
	add(len(b.pack.House.Modules) > 0, chapter{forElectrician, "Module labels", b.labels})
	table(forElectrician, b.bill())
	table(forElectrician, b.rules())
	list = append(list, chapter{forRecord, "Findings", b.findingsChapter}, tableChapter(forRecord, b.record()),
		chapter{forRecord, "Test record", b.testRecord}, chapter{forRecord, "Handed over", b.signatures})
	return distinct(list)
}

// keysDo tells whether any key does anything.
func (b *builder) keysDo() bool {
	return slices.ContainsFunc(b.pack.Keys, func(k KeyLegend) bool { return len(k.Lines) > 0 })
}

// leaveOut notes what the papers have no page for, because the house has nothing of it.
func (b *builder) leaveOut(what string) { b.leftOut = append(b.leftOut, what) }

// lowered begins a title in lower case.
func lowered(s string) string { return strings.ToLower(s[:1]) + s[1:] }

// distinct gives chapters of one title a number, so that the contents lead to each of them.
func distinct(list []chapter) []chapter {
	count := map[string]int{}
	for i := range list {
		title := list[i].title
		count[title]++
		for n := count[title]; n > 1; n++ {
			if t := fmt.Sprintf("%s (%d)", title, n); count[t] == 0 {
				list[i].title, count[t] = t, 1
				break
			}
		}
	}
	return list
}

// pointsTitle is the chapter that other chapters refer to.
const pointsTitle = "Points schedule"

// pointsChapter explains the symbols of the plans and lists the points.
func (b *builder) pointsChapter(w *paper, c chapter) {
	s := b.points()
	w.chapter(c.title, "P")
	w.paragraph(s.Intro, bodySize, 70)
	w.symbols()
	w.table(s)
}

// tableChapter is a chapter of one schedule, upright.
func tableChapter(group string, s Schedule) chapter {
	return chapter{group, s.Title, func(w *paper, c chapter) {
		w.chapter(c.title, "P")
		w.paragraph(s.Intro, bodySize, 70)
		w.table(s)
	}}
}

// Schedules builds every table of the pack, in the order of the papers.
func Schedules(p Pack) []Schedule {
	b := newBuilder(p)
	return []Schedule{b.wishes(), b.keys(), b.points(), b.modules(), b.circuits(), b.lines(), b.cables(), b.bill(), b.rules(), b.findings(), b.record()}
}
