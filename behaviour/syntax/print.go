package syntax

import "strings"

// Targets prints a list of targets. A list of exceptions takes all names that follow it, so such a target stands last
// or before one that begins with all.
func Targets(list []*Target) string {
	texts := make([]string, len(list))
	for i, t := range list {
		texts[i] = t.String()
	}
	return enumerate(texts)
}

// String prints the target.
func (t *Target) String() string {
	if t.Kind == TargetName {
		return t.Name.Text
	}
	s := "all " + t.Plural
	if t.Facing != "" {
		s += " facing " + t.Facing
	}
	if t.Place.Text != "" {
		s += " of " + t.Place.Text
		if t.Storey {
			s += " storey"
		}
	}
	if len(t.Except) > 0 {
		var texts []string
		for _, e := range t.Except {
			texts = append(texts, e.Name.Text)
		}
		s += " except " + enumerate(texts)
	}
	return s
}

// String prints the state.
func (s State) String() string {
	switch s.Kind {
	case StateOn:
		return "on"
	case StateRaised:
		return "raised"
	case StateLowered:
		return "lowered"
	case StateAt:
		return "at " + s.Value.String() + slatsText(s.Slats)
	}
	return "off"
}

func slatsText(q *Quantity) string {
	if q == nil {
		return ""
	}
	return " with slats at " + q.String()
}

// String prints the rank as the text writes it.
func (r Rank) String() string { return rankWords[r] }

// verbTexts print the verbs whose targets follow at once.
var verbTexts = map[Verb]string{
	TurnOn: "turn on", TurnOff: "turn off", Toggle: "toggle", SetLevel: "set", SetMode: "set", Brighten: "brighten",
	Darken: "darken", Vary: "brighten or darken", Raise: "raise", Lower: "lower", Reverse: "raise or lower",
	Stop: "stop", Move: "move", Tilt: "tilt", Hold: "hold", Release: "release",
}

// String prints the effect on one line.
func (e *Effect) String() string {
	s := ""
	switch e.Verb {
	case SetScene:
		s = "set scene " + e.Scene.Text
	case Notify:
		s = "notify " + quote(e.Text)
	default:
		s = verbTexts[e.Verb] + " " + Targets(e.Targets) + e.operand()
	}
	s += after("over", e.Over)
	if e.WhileHeld {
		s += " while held"
	}
	s += after("for", e.For)
	if e.Until != nil {
		s += after("until", e.Until) + " after it ends"
	}
	s += after("after", e.After)
	if e.Rank != 0 {
		s += " with rank " + e.Rank.String()
	}
	return s
}

func (e *Effect) operand() string {
	switch e.Verb {
	case SetLevel:
		return " to " + e.Value.String()
	case SetMode:
		return " to " + e.Word.Text
	case Move:
		return " to " + e.Value.String() + slatsText(e.Slats)
	case Tilt:
		return " to " + e.Slats.String()
	case Hold:
		return " " + e.State.String()
	}
	return ""
}

// Cond prints a condition, with parentheses only where they are needed.
func Cond(c Condition) string { return cond(c, 0) }

// cond prints a condition inside another that binds as strongly as outer: 0 nothing, 1 or, 2 and, 3 not.
func cond(c Condition, outer int) string {
	s, own := "", 4
	switch c := c.(type) {
	case *Any:
		s, own = terms(c.Terms, " or ", 1), 1
	case *All:
		s, own = terms(c.Terms, " and ", 2), 2
	case *Not:
		s, own = "not "+cond(c.Term, 3), 3
	case *Test:
		s = c.String()
	}
	if own <= outer && own < 3 {
		return "(" + s + ")"
	}
	return s
}

func terms(list []Condition, joint string, own int) string {
	texts := make([]string, len(list))
	for i, t := range list {
		texts[i] = cond(t, own)
	}
	return strings.Join(texts, joint)
}

// String prints the test.
func (t *Test) String() string {
	is := t.Name.Text + " is "
	if t.Not {
		is += "not "
	}
	switch t.Kind {
	case TestIs:
		return is + t.Word.Text
	case TestAbove:
		return is + "above " + t.Level.String() + untilText("below", t.Back)
	case TestBelow:
		return is + "below " + t.Level.String() + untilText("above", t.Back)
	case TestDark:
		return "dark"
	case TestWindow:
		return t.Window.String()
	case TestNetwork:
		return "network is " + t.Word.Text
	case TestModule:
		return "module " + t.Name.Text + " is " + t.Word.Text
	}
	return t.Name.Text
}

func untilText(word string, q *Quantity) string {
	if q == nil {
		return ""
	}
	return " until " + word + " " + q.String()
}
