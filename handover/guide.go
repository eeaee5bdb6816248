package handover

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"wirewright/house"
)

// guide is the owner's guide: how the house is used, what it does by itself, and what to do when something is not as
// usual. It follows from the rules, the key legends and the circuits; what they do not say, it does not say.
func (b *builder) guide(w *paper, c chapter) {
	w.chapter(c.title, "P")
	w.paragraph("How the house is used, and what to do when something is not as usual. Nobody needs tools for anything on these pages.", bodySize, 70)
	b.guideKeys(w)
	b.guideSilent(w)
	b.guideMoves(w)
	b.guidePower(w)
	b.guideRouter(w)
	b.guideAlone(w)
}

func (b *builder) guideKeys(w *paper) {
	w.heading("Using the keys")
	if !b.keysDo() {
		w.paragraph("No key does anything yet: the behaviour is not written.", bodySize, 30)
		return
	}
	pads := len(b.legends)
	w.paragraph(fmt.Sprintf("There %s in the house. What every key does stands on the key cards, one a keypad (chapter Key cards, page %s). To press means to let go again at once; to hold means to keep the key down until something happens.",
		areCount(pads, "keypad"), w.pageOf("Key cards")), bodySize, 30)
}

func areCount(n int, noun string) string {
	if n == 1 {
		return "is 1 " + noun
	}
	return "are " + count(n, noun)
}

// pageOf is the page of a chapter, as the layout before found it.
func (w *paper) pageOf(title string) string {
	if n := w.known.begins[title]; n > 0 {
		return fmt.Sprint(n)
	}
	return "–"
}

// guideAlone lists the rules that no key causes: what the house does by itself.
func (b *builder) guideAlone(w *paper) {
	byKey := map[string]bool{}
	for _, k := range b.pack.Keys {
		for _, r := range k.Rules {
			byKey[r] = true
		}
	}
	if len(b.pack.Rules) == 0 || len(byKey) == 0 {
		return
	}
	var own []string
	for _, r := range b.pack.Rules {
		if !byKey[r.Name] {
			own = append(own, b.plain(r.Text))
		}
	}
	if len(own) == 0 {
		return
	}
	w.heading("What the house does by itself")
	for _, s := range own {
		w.bullet("•", capital(s)+".")
	}
}

func (b *builder) guidePower(w *paper) {
	w.heading("When the power returns")
	w.paragraph("Nothing moves by itself: shutters, awnings and gates stay where they are until a key, the clock or a sensor moves them. "+
		"Lamps, sockets and valves start switched off.", bodySize, 30)
	for _, r := range b.pack.Rules {
		if strings.Contains(r.Text, "power returns") {
			w.bullet("•", "But: "+b.plain(r.Text)+".")
		}
	}
}

// guideRouter tells what works without router and broker, and what does not.
func (b *builder) guideRouter(w *paper) {
	if len(b.pack.Rules) == 0 {
		return
	}
	w.heading("When the router is off")
	alone := 0
	for _, r := range b.pack.Rules {
		if r.Network == "" {
			alone++
		}
	}
	switch {
	case alone == len(b.pack.Rules):
		w.paragraph("Everything goes on: no rule needs router or broker.", bodySize, 30)
		return
	case alone == 0:
		w.paragraph("All rules need router and broker. Only the switches and keys that act without any rule go on.", bodySize, 30)
	default:
		w.paragraph(fmt.Sprintf("%d of the %s need no router and go on.", alone, count(len(b.pack.Rules), "rule")), bodySize, 30)
	}
	w.paragraph("Switch the router off and on again, and give it five minutes. A command that comes too late does nothing: no lamp lights up long after the key.", bodySize, 30)
	b.withoutRouter(w)
}

// withoutRouter lists, keypad by keypad, the keys that go on working without the router; nothing where that is not known.
func (b *builder) withoutRouter(w *paper) {
	var works []string
	b.byRoom(func(_ string, points []*house.Point) {
		for _, p := range points {
			if keys := b.keysAlone(p.ID); len(keys) > 0 {
				works = append(works, b.spoken(p)+": "+strings.Join(keys, ", "))
			}
		}
	})
	if len(works) == 0 {
		return
	}
	w.paragraph("These keys work all the same:", bodySize, 30)
	for _, s := range works {
		w.bullet("•", s)
	}
}

// keysAlone names the keys of a keypad of which every line is known to need no network.
func (b *builder) keysAlone(point house.ID) []string {
	var keys []string
	for _, k := range b.legends[point] {
		ok := len(k.Lines) > 0 && len(k.Rules) == len(k.Lines)
		for i := range k.Lines {
			ok = ok && !b.overNetwork(k, i)
		}
		if ok {
			keys = append(keys, or(k.Caption, fmt.Sprint(k.Key)))
		}
	}
	return keys
}

func (b *builder) guideSilent(w *paper) {
	w.heading("When a lamp does not answer")
	steps := []string{
		"Wait a moment and press once more. If another key for the same lamp works, only that keypad is at fault: call the installer and name it.",
		"See whether other things in the room answer. If none does, look at the board: a breaker that has tripped stands lower than the others, or in the middle. Which circuits a room has stands below.",
		"If the key has (router) on its card, look whether the router runs.",
		"Switch a tripped breaker on once. If it trips again, leave it off and call an electrician.",
		fmt.Sprintf("When you call, say the room and what stands on the key. The installer finds the point on the plan and in the points schedule (page %s).", w.pageOf(pointsTitle)),
	}
	for i, s := range steps {
		w.bullet(fmt.Sprintf("%d.", i+1), s)
	}
	if s := b.roomCircuits(); len(s.Rows) > 0 {
		w.y += 1
		w.table(s)
	}
}

// roomCircuits tells the circuits of each room.
func (b *builder) roomCircuits() Schedule {
	s := Schedule{Title: "Circuits by room", Columns: []Column{{Title: "Room", Width: 50}, {Title: "Circuits of what the system moves there", Width: 50}}}
	b.byRoom(func(title string, points []*house.Point) {
		var list []string
		for _, p := range points {
			if p.Circuit != "" && !slices.Contains(list, string(p.Circuit)) {
				list = append(list, string(p.Circuit))
			}
		}
		if len(list) > 0 {
			slices.Sort(list)
			s.Rows = append(s.Rows, []Cell{text(title), text(strings.Join(list, ", "))})
		}
	})
	return s
}

// guideMoves tells which circuits stop what moves.
func (b *builder) guideMoves(w *paper) {
	var list []string
	for _, p := range b.pack.House.Points {
		if (p.Kind.Motorised() || p.Kind == house.Gate) && p.Circuit != "" && !slices.Contains(list, string(p.Circuit)) {
			list = append(list, string(p.Circuit))
		}
	}
	w.heading("When something moves that should not")
	s := "Keep people and animals clear, and switch off the breaker of its circuit."
	if len(list) > 0 {
		slices.Sort(list)
		s += " Motors are on " + strings.Join(list, ", ") + "."
	}
	w.paragraph(s+" Never reach into it: it may start again at any moment until the breaker is off.", bodySize, 30)
}

// plain says a rule with the titles of points and rooms in place of their identities.
func (b *builder) plain(rule string) string {
	var out strings.Builder
	word, before := "", ""
	flush := func() {
		if word == "" {
			return
		}
		bare := strings.TrimRight(word, ".")
		title := b.titleOf(bare)
		if r := b.index.Room(house.ID(bare)); r != nil && r.Title != "" && before == "of" {
			title = "“" + r.Title + "”"
		}
		out.WriteString(title + word[len(bare):])
		word, before = "", bare
	}
	for _, r := range rule {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '.' || r == '-' {
			word += string(r)
			continue
		}
		flush()
		out.WriteRune(r)
	}
	flush()
	return out.String()
}

// titleOf is the title of a point or a key of one, in quotation marks; any other word stays as it is.
func (b *builder) titleOf(word string) string {
	if p := b.index.Point(house.ID(word)); p != nil && p.Title != "" {
		return "“" + b.spoken(p) + "”"
	}
	if i := strings.LastIndexByte(word, '.'); i > 0 {
		if p := b.index.Point(house.ID(word[:i])); p != nil && p.Title != "" {
			return "key " + word[i+1:] + " of “" + b.spoken(p) + "”"
		}
	}
	return word
}

// spoken is the title of a point, with its room where another point has the same title; its identity where it has none.
func (b *builder) spoken(p *house.Point) string {
	if p.Title == "" {
		return string(p.ID)
	}
	r := b.index.Room(p.Room)
	if b.titles[p.Title] < 2 || r == nil {
		return p.Title
	}
	return p.Title + ", " + strings.TrimSpace(r.Number+" "+or(r.Title, string(r.ID)))
}

func capital(s string) string {
	for i, r := range s {
		return string(unicode.ToUpper(r)) + s[i+len(string(r)):]
	}
	return s
}
