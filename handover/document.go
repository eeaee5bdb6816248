package handover

import "fmt"

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

// chapters lists what the papers hold, in order; what the house has nothing of is left out.
func (b *builder) chapters() []chapter {
	list := []chapter{{forOwner, "Owner's guide", b.guide}}
	if len(b.pack.Keys) > 0 {
		list = append(list, chapter{forOwner, "Key cards", b.cards})
	}
	list = append(list, tableChapter(forOwner, b.wishes()))
	list = append(list, b.plans()...)
	list = append(list, tableChapter(forElectrician, b.points()), tableChapter(forElectrician, b.modules()))
	if len(b.pack.House.Boards) > 0 {
		list = append(list, chapter{forElectrician, "Boards", b.boards})
	}
	list = append(list, tableChapter(forElectrician, b.circuits()))
	if len(b.pack.House.Lines) > 0 {
		list = append(list, chapter{forElectrician, "Bus lines", b.lineDiagrams})
	}
	if len(b.pack.House.Modules) > 0 {
		list = append(list, chapter{forElectrician, "Module labels", b.labels})
	}
	list = append(list, tableChapter(forElectrician, b.bill()), tableChapter(forElectrician, b.rules()),
		tableChapter(forRecord, b.findings()), tableChapter(forRecord, b.record()),
		chapter{forRecord, "Test record", b.testRecord}, chapter{forRecord, "Handed over", b.signatures})
	return distinct(list)
}

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
	return []Schedule{b.wishes(), b.keys(), b.points(), b.modules(), b.circuits(), b.lines(), b.bill(), b.rules(), b.findings(), b.record()}
}
