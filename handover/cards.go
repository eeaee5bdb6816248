package handover

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/handover/scene"
	"wirewright/house"
)

// keys is the key legend, room by room, as a table for the workbook; the papers have cards.
func (b *builder) keys() Schedule {
	s := Schedule{Name: "Keys", Title: "Key legend", Empty: "No key does anything yet.",
		Intro:   "What each key does, in the owner's words.",
		Columns: []Column{{Title: "Keypad", Width: 28}, {Title: "Key", Width: 7, Align: Centre}, {Title: "Written on it", Width: 22}, {Title: "What it does", Width: 65}}}
	b.byRoom(func(title string, points []*house.Point) {
		headed := false
		for _, p := range points {
			for _, k := range b.legends[p.ID] {
				if !headed {
					s.Rows, headed = append(s.Rows, head(title, "")), true
				}
				s.Rows = append(s.Rows, []Cell{text(or(p.Title, string(p.ID))), number(k.Key), text(k.Caption), text(or(strings.Join(k.Lines, "\n"), "nothing yet"))})
			}
		}
	})
	return s
}

// The size of key cards in mm.
const (
	cardColumns = 3
	cardGap     = 4.0
	cardPad     = 3.0
	cardKey     = 5.4 // the square with the number of a key
	cardText    = 2.7
	cardDetail  = 2.4
)

// cards are the key legends as cards to cut out, one a keypad: columns of them, room by room.
func (b *builder) cards(w *paper, c chapter) {
	w.chapter(c.title, "P")
	w.paragraph("One card for each keypad, to be cut out and kept beside it. "+b.networkNote(), bodySize, 70)
	s := &cardSheet{paper: w, wide: (w.width() - cardGap*(cardColumns-1)) / cardColumns}
	s.fresh()
	b.byRoom(func(title string, points []*house.Point) {
		for _, p := range points {
			if keys := b.legends[p.ID]; len(keys) > 0 {
				s.put(b.card(p, title, keys, s.wide))
			}
		}
	})
	w.y = slices.Max(s.y[:])
}

// networkNote explains the mark that a line has which needs the network; empty where none does.
func (b *builder) networkNote() string {
	for _, list := range b.legends {
		for _, k := range list {
			for i := range k.Lines {
				if b.overNetwork(k, i) {
					return "What has (router) behind it works only while the router and the broker run."
				}
			}
		}
	}
	return ""
}

// overNetwork tells whether a line of a legend needs more than its controller.
func (b *builder) overNetwork(k KeyLegend, line int) bool {
	return line < len(k.Rules) && b.rulesByName[k.Rules[line]].Network != ""
}

// cardSheet lays cards into columns.
type cardSheet struct {
	paper *paper
	wide  float64
	top   float64
	y     [cardColumns]float64 // where the columns end
}

// fresh begins all columns at the present place of the page.
func (s *cardSheet) fresh() {
	s.top = s.paper.y
	for i := range s.y {
		s.y[i] = s.top
	}
}

// put places a card below the shortest column, on a new page where none has room.
func (s *cardSheet) put(c *card) {
	w := s.paper
	column := slices.Index(s.y[:], slices.Min(s.y[:]))
	if s.y[column]+c.height > w.height()-bottom && s.y[column] > s.top {
		w.page("P")
		s.fresh()
		column = 0
	}
	c.draw(w, left+float64(column)*(s.wide+cardGap), s.y[column], s.wide)
	s.y[column] += c.height + cardGap
}

// card is one card, broken into lines.
type card struct {
	title, place []string
	keys         []cardLine
	height       float64
}

// cardLine is one key of a card.
type cardLine struct {
	number  string
	caption []string
	detail  []string
	height  float64
}

// linesMost bounds a card, so that it fits a page whatever the rules say.
const linesMost = 60

func (b *builder) card(p *house.Point, room string, keys []KeyLegend, wide float64) *card {
	inner := wide - 2*cardPad
	c := &card{title: wrapped(or(p.Title, string(p.ID)), 3, lettering{3.2, true, 0}, inner), place: wrapped(room+" · "+string(p.ID), 3, lettering{2.2, false, 0}, inner)}
	c.height = 2*cardPad + float64(len(c.title))*3.2*lineHeight + float64(len(c.place))*2.2*lineHeight + 1.5
	left := linesMost
	for i, k := range keys {
		if left <= 0 {
			c.keys = append(c.keys, cardLine{number: "…", detail: []string{fmt.Sprintf("and %d more keys: sheet Keys of the workbook", len(keys)-i)}, height: cardKey + 1})
			c.height += cardKey + 1
			break
		}
		l := b.cardLine(k, inner-cardKey-2, max(left, 2))
		left -= len(l.caption) + len(l.detail)
		c.keys = append(c.keys, l)
		c.height += l.height
	}
	return c
}

func (b *builder) cardLine(k KeyLegend, wide float64, most int) cardLine {
	l := cardLine{number: fmt.Sprint(k.Key)}
	if k.Caption != "" {
		l.caption = wrapped(k.Caption, 3, lettering{cardText, true, 0}, wide)
	}
	for i, s := range k.Lines {
		s = b.plain(s)
		if b.overNetwork(k, i) {
			s += " (router)"
		}
		l.detail = append(l.detail, scene.Wrap(s, cardDetail, wide, false)...)
	}
	if len(k.Lines) == 0 {
		l.detail = []string{"nothing yet"}
	}
	l.detail = scene.Shorten(l.detail, most, cardDetail, wide, false)
	l.height = max(cardKey, float64(len(l.caption))*cardText*lineHeight+float64(len(l.detail))*cardDetail*lineHeight) + 1.4
	return l
}

func (c *card) draw(w *paper, x, y, wide float64) {
	w.f.SetDrawColor(150, 150, 150)
	w.f.SetLineWidth(.15)
	w.f.SetDashPattern([]float64{1.5, 1}, 0)
	w.f.Rect(x, y, wide, c.height, "D")
	w.f.SetDashPattern(nil, 0)
	y += cardPad
	for _, l := range c.title {
		w.say(x+cardPad, y+3.2*.9, 3.2, true, 0, l)
		y += 3.2 * lineHeight
	}
	for _, l := range c.place {
		w.say(x+cardPad, y+2.2*.9, 2.2, false, 110, l)
		y += 2.2 * lineHeight
	}
	y += 1.5
	for _, k := range c.keys {
		k.draw(w, x+cardPad, y)
		y += k.height
	}
}

func (l cardLine) draw(w *paper, x, y float64) {
	w.f.SetDrawColor(60, 60, 60)
	w.f.SetLineWidth(.2)
	w.f.RoundedRect(x, y, cardKey, cardKey, .8, "1234", "D")
	w.say(x+(cardKey-scene.TextWidth(l.number, 2.9, true))/2, y+cardKey*.5+1.05, 2.9, true, 0, l.number)
	y += .2
	for _, s := range l.caption {
		w.say(x+cardKey+2, y+cardText*.9, cardText, true, 0, s)
		y += cardText * lineHeight
	}
	for _, s := range l.detail {
		w.say(x+cardKey+2, y+cardDetail*.95, cardDetail, false, 50, s)
		y += cardDetail * lineHeight
	}
}
