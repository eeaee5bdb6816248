package check

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"wirewright/catalogue"
	"wirewright/house"
)

// Term is one figure that went into a finding, or came out on the way: a line of its working.
type Term struct {
	Name   string  `json:"name"`           // what it is: "current of the load"
	Symbol string  `json:"symbol"`         // as the formula of the rule names it: "I"
	Value  float64 `json:"value"`          // always finite
	Unit   string  `json:"unit,omitempty"` // "A"; empty for a number
}

// String prints a term as a line of a working: "I = 8.696 A, current of the load".
func (t Term) String() string {
	value := significant(t.Value)
	if t.Unit != "" {
		value += " " + t.Unit
	}
	return fmt.Sprintf("%s = %s, %s", t.Symbol, value, t.Name)
}

// significant prints a figure with four significant digits, whole numbers whole.
func significant(x float64) string {
	if x == math.Trunc(x) && math.Abs(x) < 1e9 {
		return fmt.Sprintf("%.0f", x+0)
	}
	text := fmt.Sprintf("%.4g", x)
	if strings.Contains(text, "e") || !strings.Contains(text, ".") {
		return text
	}
	return strings.TrimRight(strings.TrimRight(text, "0"), ".")
}

// finite leaves out the terms that are no numbers, and rounds the others to nine digits: sums must not depend on the order
// in which a house is written down.
func finite(list []Term) []Term {
	var kept []Term
	for _, t := range list {
		if math.IsNaN(t.Value) || math.IsInf(t.Value, 0) {
			continue
		}
		if x, err := strconv.ParseFloat(strconv.FormatFloat(t.Value, 'g', 9, 64), 64); err == nil {
			t.Value = x + 0
		}
		kept = append(kept, t)
	}
	return kept
}

// terms are the figures of a load at a voltage in V.
func (d draw) terms(volts float64) []Term {
	list := []Term{{"voltage of the supply, line to neutral", "U", volts, "V"}}
	if !d.known {
		return list
	}
	name := "power factor"
	if d.assumed {
		name += ", assumed"
	}
	return append(list, Term{"active power of the load", "P", d.power, "W"}, Term{name, "cosφ", d.factor, ""},
		Term{"apparent power of the load", "S", d.apparent, "VA"}, Term{"current of the load", "I", d.current, "A"})
}

// ratingTerms are the limits of a rating.
func ratingTerms(r *catalogue.Rating) []Term {
	var list []Term
	for _, t := range []Term{
		{"rated current for the category", "I(rating)", r.Current.A(), "A"},
		{"rated active power for the category", "P(rating)", r.Power.W(), "W"},
		{"rated apparent power for the category", "S(rating)", r.Apparent.VA(), "VA"},
	} {
		if t.Value > 0 {
			list = append(list, t)
		}
	}
	return list
}

// terms are the figures of a landing that is held against its rating.
func (x *loaded) terms(v *view) []Term {
	list := x.draw.terms(v.volts)
	if x.rating != nil {
		list = append(list, ratingTerms(x.rating)...)
	}
	return list
}

// lampTerms are the figures of closing currents.
func lampTerms(l *house.Load, r *catalogue.Rating) []Term {
	list := []Term{{"lamps or drivers on the output", "n", float64(lamps(l)), ""}}
	if l.Inrush > 0 {
		list = append(list, Term{"peak closing current of one", "Ipk", l.Inrush.A(), "A"}, Term{"summed peak closing current", "Σ Ipk", inrushOf(l), "A"})
	}
	if r.Count > 0 {
		list = append(list, Term{"most lamps or drivers", "n(rating)", float64(r.Count), ""})
	}
	if r.Inrush > 0 {
		list = append(list, Term{"most summed peak closing current", "I(inrush)", r.Inrush.A(), "A"})
	}
	return list
}
