package handover

import (
	"fmt"
	"strings"

	"wirewright/check"
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

func (w *paper) cover(b *builder, list []chapter) {
	h := w.pack.House
	w.section = "Handover papers"
	w.page("P")
	w.f.Bookmark("Handover papers", 0, -1)
	w.y += 8
	for _, l := range wrapped(or(h.Title, "House"), 3, lettering{9, true, 0}, w.width()) {
		w.say(left, w.y+9, 9, true, 0, l)
		w.y += 11.5
	}
	w.say(left, w.y+4.2, 4.2, false, 70, "Handover papers of the control system")
	w.y += 10
	w.facts([][2]string{
		{"Place", h.Site.Place},
		{"Revision", fmt.Sprintf("%s of %s", w.pack.Revision, w.pack.Date.Format("2 January 2006 15:04"))},
		{"Prepared by", w.pack.Prepared},
		{"House", fmt.Sprintf("%s on %s, %d points moved and %d read", count(len(h.Rooms), "room"), count(len(h.Storeys), "storey"), moved(h, true), moved(h, false))},
		{"Modules", fmt.Sprintf("%d, of which %d on %s", len(h.Modules), b.onLines(), count(len(h.Lines), "bus line"))},
		{"Behaviour", fmt.Sprintf("%s, %s", count(len(w.pack.Rules), "rule"), count(len(w.pack.Tests), "acceptance test"))},
		{"Acceptance", acceptance(w.pack.Tests)},
		{"Findings", findingsText(w.pack.Findings)},
	})
	w.contents(list)
	if len(b.leftOut) > 0 {
		w.paragraph("Left out, since the house has nothing of it: "+strings.Join(b.leftOut, ", ")+".", 2.5, 95)
	}
	w.heading("Cautions")
	for _, c := range cautions {
		w.bullet("•", c)
	}
	w.first(b)
	if len(w.pack.Notes) > 0 {
		w.heading("What was assumed")
		for _, n := range w.pack.Notes {
			w.bullet("•", n)
		}
	}
	w.lacking()
}

func (b *builder) onLines() int {
	n := 0
	for _, m := range b.pack.House.Modules {
		if b.index.LineOf(m.ID) != nil {
			n++
		}
	}
	return n
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
func acceptance(tests []Test) string {
	if len(tests) == 0 {
		return "no acceptance test yet"
	}
	var parts []string
	for _, where := range []string{Rehearsal, Site} {
		n := map[outcome]int{}
		for _, t := range tests {
			n[t.last(where)]++
		}
		says := fmt.Sprintf("%s: %d passed, %d failed", where, n[passed], n[failed])
		if rest := n[untried] + n[impossible]; rest > 0 {
			says += fmt.Sprintf(", %d not tried", rest)
		}
		parts = append(parts, says)
	}
	return strings.Join(parts, "; ")
}

func findingsText(list []check.Finding) string {
	n := map[check.Severity]int{}
	for _, f := range list {
		n[f.Severity]++
	}
	return strings.Join([]string{count(n[check.Fault], "fault"), count(n[check.Caution], "caution"), count(n[check.Remark], "remark")}, ", ")
}

// facts lists names and values in two columns.
func (w *paper) facts(list [][2]string) {
	for _, f := range list {
		if f[1] == "" {
			continue
		}
		for i, l := range scene.Wrap(f[1], bodySize, w.width()-32, false) {
			w.need(bodySize * 1.5)
			if i == 0 {
				w.say(left, w.y+bodySize, bodySize, false, 95, f[0])
			}
			w.say(left+32, w.y+bodySize, bodySize, false, 0, l)
			w.y += bodySize * 1.45
		}
	}
	w.y += 2
}

// contents lists the chapters, group beside group, each a link with its page.
func (w *paper) contents(list []chapter) {
	w.heading("Contents")
	column, gap := 0, 6.0
	groups := []string{forOwner, forElectrician, forRecord}
	wide := (w.width() - gap*float64(len(groups)-1)) / float64(len(groups))
	start, deepest := w.y, w.y
	for _, g := range groups {
		x := left + float64(column)*(wide+gap)
		y := start
		for _, l := range scene.Wrap(g, bodySize, wide, false) {
			w.say(x, y+bodySize, bodySize, false, 95, l)
			y += bodySize * 1.4
		}
		for _, c := range list {
			if c.group == g && y+bodySize*1.5 < w.height()-bottom {
				w.entry(c.title, x, y, wide)
				y += bodySize * 1.55
			}
		}
		deepest = max(deepest, y)
		column++
	}
	w.y = deepest + 1
}

// entry is one line of the contents.
func (w *paper) entry(title string, x, y, wide float64) {
	page := ""
	if n := w.known.begins[title]; n > 0 {
		page = fmt.Sprint(n)
	}
	w.say(x, y+bodySize, bodySize, false, 0, scene.Clip(title, bodySize, wide-8, false))
	w.say(x+wide-scene.TextWidth(page, bodySize, false), y+bodySize, bodySize, false, 0, page)
	w.f.SetDrawColor(215, 218, 222)
	w.f.SetLineWidth(.12)
	w.f.Line(x, y+bodySize*1.35, x+wide, y+bodySize*1.35)
	w.f.Link(x, y, wide, bodySize*1.5, w.link(title))
}

// first says what somebody needs who has never seen the house.
func (w *paper) first(b *builder) {
	h := w.pack.House
	w.heading("To begin with")
	for _, board := range h.Boards {
		where := ""
		if board.Room != "" {
			where = "in " + b.roomTitle(board.Room)
		}
		breakers := ""
		if n := b.circuitsOf(board.ID); n > 0 {
			breakers = "breakers of " + count(n, "circuit")
		}
		w.bullet("•", colon(called(board.Title, board.ID), joined("; ", where, breakers))+".")
	}
	for _, l := range h.Lines {
		w.bullet("•", fmt.Sprintf("%s: a bus line of %s; %s is its head and decides for all of them.", called(l.Title, l.ID), count(len(l.Taps), "tap"), l.Head))
	}
	if s := networkText(h.Network); s != "" {
		w.bullet("•", s)
	}
	w.bullet("•", "No password and no key stands in these papers: they are kept sealed in the job file.")
}

// called is a title with its identity.
func called(title string, id house.ID) string {
	if title == "" {
		return string(id)
	}
	return fmt.Sprintf("%s (%s)", title, id)
}

func networkText(n house.Network) string {
	var parts []string
	if n.Name != "" {
		parts = append(parts, "Wi-Fi network "+n.Name)
	}
	if n.Subnet != "" {
		parts = append(parts, "addresses "+n.Subnet)
	}
	if n.Router != "" {
		parts = append(parts, "router "+n.Router)
	}
	if n.Broker != "" {
		parts = append(parts, "broker "+n.Broker)
	}
	if k := len(n.AccessPoints); k > 0 {
		parts = append(parts, count(k, "access point"))
	}
	if len(parts) == 0 {
		return ""
	}
	return "The house network: " + strings.Join(parts, ", ") + "."
}

// lacking tells which characters the type has no letter for.
func (w *paper) lacking() {
	if len(w.known.lost) == 0 {
		return
	}
	w.heading("Characters that these papers cannot print")
	const most = 40
	var codes []string
	for _, r := range w.known.lost[:min(len(w.known.lost), most)] {
		codes = append(codes, fmt.Sprintf("U+%04X", r))
	}
	s := strings.Join(codes, ", ")
	if n := len(w.known.lost) - most; n > 0 {
		s += fmt.Sprintf(" and %d more", n)
	}
	w.paragraph(fmt.Sprintf("The type of these papers has no letter for %s; %c stands in their place. The workbook and the house text have them right.", s, scene.Lost), bodySize, 30)
}
