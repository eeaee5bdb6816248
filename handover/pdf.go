package handover

import (
	"fmt"
	"strings"

	"wirewright/check"
	"wirewright/handover/plan"
	"wirewright/handover/scene"
	"wirewright/house"
)

// cautions stand on the first page of every pack; the wording is ours, the content common practice.
var cautions = []string{
	"Work on mains circuits is for a person licensed or instructed as the law of the place requires. What is computed here does not replace that person's judgement, local rules or a design check.",
	"Before touching: switch off, isolate every source, lock and tag, prove the tester, prove dead on all conductors, prove the tester again.",
	"An output that is shown off is not isolated. Outputs leak, and may close at any moment by a rule, a clock or a command: isolate at the circuit-breaker.",
	"Shutters, awnings and gates may move without warning while the system is being set up or tried: keep people and animals clear, and have someone at the motor.",
	"Unplug the modules, or join line and neutral, before the insulation test at 500 V; test the bus side at 250 V with the modules unplugged.",
}

// PDF makes the whole pack as one document.
func PDF(p Pack) ([]byte, error) {
	b := newBuilder(p)
	schedules := []Schedule{b.wishes(), b.keys(), b.points(), b.modules(), b.lines(), b.bill(), b.rules(), b.record(), b.findings()}
	return layout(p, func(w *paper) {
		w.cover(b)
		for _, s := range p.House.Storeys {
			w.plan(s.ID)
		}
		for _, s := range schedules {
			w.chapter(s.Title, "P")
			w.paragraph(s.Intro, bodySize, 70)
			w.table(s)
		}
		w.signatures()
	})
}

func (w *paper) cover(b *builder) {
	h := w.pack.House
	w.section = "Handover papers"
	w.page("P")
	w.f.Bookmark("Handover papers", 0, -1)
	w.y += 12
	for _, l := range scene.Wrap(or(h.Title, "House"), 10, w.width(), true) {
		w.say(left, w.y+10, 10, true, 0, l)
		w.y += 13
	}
	w.say(left, w.y+5, 4.2, false, 70, "Handover papers of the control system")
	w.y += 14
	w.facts([][2]string{
		{"Place", h.Site.Place},
		{"Revision", fmt.Sprintf("%s of %s", w.pack.Revision, w.pack.Date.Format("2 January 2006 15:04"))},
		{"Prepared by", w.pack.Prepared},
		{"Rooms", fmt.Sprint(len(h.Rooms))},
		{"Points", fmt.Sprintf("%d moved, %d read", moved(h, true), moved(h, false))},
		{"Modules", fmt.Sprintf("%d, on %d bus %s", len(h.Modules), len(h.Lines), plural(len(h.Lines), "line", "lines"))},
		{"Rules and tests", fmt.Sprintf("%d rules, %d acceptance tests", len(w.pack.Rules), len(w.pack.Tests))},
		{"Acceptance", w.acceptance()},
		{"Findings", findingsText(w.pack.Findings)},
	})
	w.heading("Cautions")
	for _, c := range cautions {
		w.paragraph("•  "+c, bodySize, 30)
	}
	w.symbols()
	if len(w.pack.Notes) > 0 {
		w.heading("What was assumed")
		for _, n := range w.pack.Notes {
			w.paragraph("•  "+n, bodySize, 30)
		}
	}
}

func moved(h *house.House, want bool) int {
	n := 0
	for _, p := range h.Points {
		if p.Kind.Moved() == want {
			n++
		}
	}
	return n
}

// acceptance sums the last verdicts up in a line.
func (w *paper) acceptance() string {
	var parts []string
	for _, where := range []string{"rehearsal", "site"} {
		passed, failed, not := 0, 0, 0
		for _, t := range w.pack.Tests {
			switch v := t.verdict(where); {
			case v == "passed":
				passed++
			case strings.HasPrefix(v, "FAILED"):
				failed++
			default:
				not++
			}
		}
		parts = append(parts, fmt.Sprintf("%s: %d passed, %d failed, %d not tried", where, passed, failed, not))
	}
	return strings.Join(parts, "; ")
}

func findingsText(list []check.Finding) string {
	n := map[check.Severity]int{}
	for _, f := range list {
		n[f.Severity]++
	}
	return fmt.Sprintf("%d faults, %d cautions, %d remarks", n[check.Fault], n[check.Caution], n[check.Remark])
}

func (w *paper) facts(list [][2]string) {
	for _, f := range list {
		if f[1] == "" {
			continue
		}
		w.say(left, w.y+bodySize, bodySize, false, 95, f[0])
		for _, l := range scene.Wrap(f[1], bodySize, w.width()-42, false) {
			w.say(left+42, w.y+bodySize, bodySize, false, 0, l)
			w.y += bodySize * 1.6
		}
	}
	w.y += 4
}

// plan puts one storey on a sheet of its own, turned as fits it best, with a bar that proves the scale.
func (w *paper) plan(storey house.ID) {
	h := w.pack.House
	title := "Plan: " + plan.Title(h, storey)
	orientation, sc := fitPlan(w.pack, storey)
	w.chapter(title, orientation)
	sc.PDF(w.f, left+(w.width()-sc.Width)/2, w.y+2)
	y := w.height() - bottom - 3
	w.f.SetDrawColor(0, 0, 0)
	w.f.SetLineWidth(.3)
	w.f.Line(left, y, left+100, y)
	w.f.Line(left, y-1, left, y+1)
	w.f.Line(left+100, y-1, left+100, y+1)
	scale := ""
	if sc.Model != nil {
		scale = fmt.Sprintf("1:%g · ", sc.Model.Scale)
	}
	w.say(left+102, y+.9, 2.4, false, 70, scale+"this bar is 100 mm long when printed at 100 %")
}

// fitPlan draws a storey upright and lying and takes the larger scale.
func fitPlan(p Pack, storey house.ID) (string, *scene.Scene) {
	draw := func(width, height float64) *scene.Scene {
		return plan.Draw(p.House, storey, plan.Options{Width: width, Height: height, Points: true, Names: true, Marks: Marks(p.Findings)})
	}
	lying, upright := draw(297-left-right, 210-top-bottom-22), draw(210-left-right, 297-top-bottom-22)
	if upright.Model != nil && lying.Model != nil && upright.Model.Scale < lying.Model.Scale {
		return "P", upright
	}
	return "L", lying
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
	w.heading("Symbols of the plans")
	used := map[house.Kind]bool{}
	for _, p := range w.pack.House.Points {
		used[p.Kind] = true
	}
	x, column := left, 0
	for _, k := range house.Kinds {
		if !used[k] {
			continue
		}
		if column == 0 && w.room() < 8 {
			w.page(w.orientation())
		}
		s := scene.Scene{Items: []scene.Item{{Shapes: plan.Symbol(k, scene.Point{X: 3, Y: 3})}}}
		s.PDF(w.f, x, w.y)
		w.say(x+8, w.y+4, bodySize, false, 0, or(kindWords[k], string(k)))
		x += w.width() / 4
		if column++; column == 4 {
			x, column = left, 0
			w.y += 8
		}
	}
	w.y += 10
}

// signatures is the page that is signed.
func (w *paper) signatures() {
	w.chapter("Handed over", "P")
	w.paragraph("The system was explained, the tests of the acceptance record were shown, and these papers were handed over.", bodySize, 30)
	for _, who := range []string{"Installer", "Owner", "Electrician responsible for the installation"} {
		w.y += 16
		w.f.SetDrawColor(120, 120, 120)
		w.f.SetLineWidth(.2)
		w.f.Line(left, w.y, left+80, w.y)
		w.f.Line(left+95, w.y, left+w.width(), w.y)
		w.say(left, w.y+4, 2.5, false, 95, who+": name and signature")
		w.say(left+95, w.y+4, 2.5, false, 95, "date and place")
		w.y += 5
	}
}
