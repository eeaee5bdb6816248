package check

import (
	"fmt"
	"math"

	"wirewright/calc/enclosure"
	"wirewright/catalogue"
)

// What is held against a board (common practice, no source).
const (
	riseMost  = 20.0 // K under the top of a board: from a room of 35 °C to electronics that bear 55 °C
	spareLeft = 0.2  // share of all units of a board that should be free
)

// heatRules look at the heat in a board, by package enclosure, and at the room that is left in it.
var heatRules = []Rule{
	{
		Slug: "board/heat", Severity: Fault, Kind: "board",
		Title: "The modules of a board give off more heat than its enclosure may",
		Why: "Household rule: 1.2·Pdp + Pau ≤ Pinv. Pau is the heat of the modules at full load, Pinv what the maker lets the enclosure dissipate. " +
			"Pdp, the losses of the protective devices, is left out here: the modules alone are too much.",
		Formula: "1.2·Pdp + Pau ≤ Pinv with Pdp = 0",
		Source:  "household rule after CEI 23-51 and IEC 60670-24; the catalogue entries", Caution: cautionMains,
		run: onBoard(boardHeat), sees: near("module", "circuit"),
	},
	{
		Slug: "board/heat-devices", Severity: Caution, Kind: "board",
		Title: "The modules of a board with its protective devices may give off more heat than its enclosure may",
		Why: "Household rule: 1.2·Pdp + Pau ≤ Pinv. The house does not say what its devices give off. Each pole is taken with the most that the " +
			"standard lets it at its rated current, times K², where K is the simultaneity by number of circuits (0.8, 0.7, 0.6, 0.5). Main and " +
			"residual-current devices count with the heat that the house states for them; circuits without a rating are not counted.",
		Formula: "1.2·Pdp + Pau ≤ Pinv",
		Source:  "household rule after CEI 23-51 and IEC 60670-24; IEC 61439-3 (K); IEC 60898-1, greatest loss of a pole (from memory, not verified)",
		Caution: cautionMains,
		run:     onBoard(boardHeatDevices), sees: near("module", "circuit"),
	},
	{
		Slug: "board/rise", Severity: Remark, Kind: "board",
		Title: "It gets warm under the top of a board",
		Why: "The rise at mid-height is k·P^0.804, under the top c times that; the board is taken as closed, P as in the household " +
			"rule with the devices estimated. 20 K lead from a room of 35 °C to 55 °C, which is what electronics usually bear. Of a board that is let " +
			"into the wall the front alone is counted. Above 1.25 m² of cooling area the rise under the top is taken by the worst of the standard's curves.",
		Formula: "ΔT(0.5) = k·P^0.804, ΔT(1) = c·ΔT(0.5) ≤ ΔT(most)",
		Source:  "IEC TR 60890:2022, as transcribed publicly, exponent from memory; the limit: " + practice, Caution: cautionMains,
		run: onBoard(boardRise), sees: near("module", "circuit"),
	},
	{
		Slug: "board/heat-unknown", Severity: Remark, Kind: "board",
		Title:  "The heat that a board may give off is not known",
		Why:    "Neither the loss that the maker allows nor width, height and depth are known, so the heat of its modules was held against nothing.",
		Source: practice,
		run:    onBoard(boardHeatUnknown), sees: near("module", "circuit"),
	},
	{
		Slug: "board/spare", Severity: Remark, Kind: "board",
		Title: "A board has little room left",
		Why: "Of all units of all rows, 20 % should be free for what comes. Modules count with their width, each circuit of the board with one unit " +
			"for its device, three on three phases, or what the house says; residual-current devices, main device and terminals count where the house has them.",
		Formula: "n(used) ≤ 0.8·n(all)",
		Source:  "20 % of the total: " + practice, Caution: cautionMains,
		run: onBoard(boardSpare), sees: near("module", "circuit"),
	},
}

// heat is the heat in a board, in W.
type heat struct {
	modules float64 // at full load
	devices float64 // of the protective devices, as far as they are known
	counted int     // devices that are in it
	hottest *module // the module with most, nil where none gives any
}

// total is the heat by the household rule.
func (h *heat) total() float64 { return enclosure.Household(h.devices, h.modules) }

// terms are the figures of the heat in a board.
func (h *heat) terms(b *board) []Term {
	list := []Term{{"heat of the modules at full load", "Pau", h.modules, "W"}, {"losses of the protective devices, estimated", "Pdp", h.devices, "W"},
		{"heat in all, with connections", "P", h.total(), "W"}}
	if b.Loss > 0 {
		list = append(list, Term{"heat that the enclosure may dissipate", "Pinv", b.Loss.W(), "W"})
	}
	return list
}

func (b *board) heat() heat {
	var h heat
	for _, m := range b.modules {
		if m.typ == nil || m.typ.Heat <= 0 {
			continue
		}
		h.modules += m.typ.Heat.W()
		if h.hottest == nil || m.typ.Heat > h.hottest.typ.Heat {
			h.hottest = m
		}
	}
	for _, k := range b.circuits {
		if watts, ok := enclosure.Breaker(k.Rating.A()); ok {
			h.devices += watts * float64(k.poles())
			h.counted++
		}
	}
	h.devices *= math.Pow(enclosure.Diversity(h.counted), 2)
	for i := range b.Devices {
		if w := b.Devices[i].Heat.W(); w > 0 {
			h.devices += w // as it is loaded, the house says
			h.counted++
		}
	}
	return h
}

// poles is how many lines the device of a circuit switches.
func (k *circuit) poles() int {
	if k.threePhase() {
		return 3
	}
	return 1
}

func boardHeat(v *view, b *board, say sayer) {
	h := b.heat()
	if b.Loss <= 0 || h.hottest == nil || !above(enclosure.Household(0, h.modules), b.Loss.W()) {
		return
	}
	say(Finding{
		Text: fmt.Sprintf("The modules of board %s give off %s at full load, more than the %s of its enclosure. The losses of its protective devices, not known, come on top.",
			b.ID, figure(h.modules, "W"), b.Loss),
		Measured: figure(h.modules, "W"), Limit: b.Loss.String(), Terms: h.terms(b),
		Remedy: h.cooler(b),
	})
}

func boardHeatDevices(v *view, b *board, say sayer) {
	h := b.heat()
	if b.Loss <= 0 || h.hottest == nil || above(enclosure.Household(0, h.modules), b.Loss.W()) || !above(h.total(), b.Loss.W()) {
		return
	}
	say(Finding{
		Text: fmt.Sprintf("The modules of board %s give off %s, and its %s up to %s with their connections: %s in all, more than the %s of its enclosure.",
			b.ID, figure(h.modules, "W"), several(h.counted, "device"), figure(h.total()-h.modules, "W"), figure(h.total(), "W"), b.Loss),
		Measured: figure(h.total(), "W"), Limit: b.Loss.String(), Terms: h.terms(b),
		Remedy: h.cooler(b),
	})
}

// cooler is the remedy for too much heat.
func (h *heat) cooler(b *board) *Remedy {
	return &Remedy{Text: fmt.Sprintf("Take an enclosure that may dissipate %s or more, or put %s (%s), which gives off most, into another board.",
		figure(math.Ceil(h.total()), "W"), h.hottest.ID, h.hottest.typ.Heat)}
}

func boardRise(v *view, b *board, say sayer) {
	h := b.heat()
	if h.hottest == nil || b.Height <= 0 || b.Width <= 0 || b.Depth <= 0 {
		return
	}
	middle, top := enclosure.Rises(h.total(), b.Height.M(), b.Width.M(), b.Depth.M(), b.placing())
	if math.IsInf(top, 0) || math.IsNaN(top) || !above(top, riseMost) {
		return
	}
	say(Finding{
		Text: fmt.Sprintf("With %s in all, of which %s are estimated for its devices, board %s gets %s warmer than the room at mid-height and %s under its top.",
			figure(h.total(), "W"), figure(h.total()-h.modules, "W"), b.ID, kelvin(middle), kelvin(top)),
		Measured: kelvin(top), Limit: kelvin(riseMost), Terms: append(h.terms(b), Term{"rise at mid-height", "ΔT(0.5)", middle, "K"},
			Term{"rise under the top", "ΔT(1)", top, "K"}, Term{"rise that electronics bear", "ΔT(most)", riseMost, "K"}),
		Remedy: &Remedy{Text: fmt.Sprintf("Keep what bears heat least out of the upper rows, leave gaps beside %s (%s), or take a larger board.", h.hottest.ID, h.hottest.typ.Heat)},
	})
}

// placing is how the board stands, for its cooling area; on a wall where the house does not say.
func (b *board) placing() enclosure.Placing {
	switch b.Placing {
	case "free":
		return enclosure.Free
	case "flush":
		return enclosure.Flush
	}
	return enclosure.OnWall
}

// kelvin prints a temperature rise, which is never known better than to a tenth.
func kelvin(k float64) string { return figure(math.Round(k*10)/10, "K") }

func boardHeatUnknown(v *view, b *board, say sayer) {
	h := b.heat()
	if h.hottest == nil || b.Loss > 0 || (b.Height > 0 && b.Width > 0 && b.Depth > 0) {
		return
	}
	say(Finding{
		Text:     fmt.Sprintf("The modules of board %s give off %s at full load; what its enclosure may dissipate is not known.", b.ID, figure(h.modules, "W")),
		Measured: "not known",
		Remedy:   &Remedy{Text: "Find the permissible loss on the enclosure's data sheet, or measure its width, height and depth."},
	})
}

func boardSpare(v *view, b *board, say sayer) {
	if !b.sized() || len(b.modules) == 0 {
		return
	}
	all, used := b.Rows*b.Units, 0
	for _, m := range b.modules {
		if m.typ != nil && m.typ.Mount == catalogue.Rail {
			used += m.typ.Units
		}
	}
	if used == 0 {
		return
	}
	for _, k := range b.circuits {
		used += min(k.DeviceUnits(), absurd)
	}
	for i := range b.Devices {
		used += max(0, min(b.Devices[i].Units, absurd))
	}
	if !above(float64(used), (1-spareLeft)*float64(all)) {
		return
	}
	need := int(math.Ceil(float64(used)/(1-spareLeft) - 1e-9))
	say(Finding{
		Text: fmt.Sprintf("Board %s has %d units, of which its modules and the devices of %s take %d: %s left.", b.ID, all, several(len(b.circuits), "circuit"), used,
			figure(math.Round(1000*(1-float64(used)/float64(all)))/10, "%")),
		Terms:    []Term{{"units of all rows", "n(all)", float64(all), ""}, {"units taken", "n(used)", float64(used), ""}},
		Measured: several(used, "unit"), Limit: fmt.Sprintf("%d of %d units", int((1-spareLeft)*float64(all)+1e-9), all),
		Remedy: &Remedy{Text: fmt.Sprintf("Take a board of at least %s: %s of %s.", several(need, "unit"), several((need+b.Units-1)/b.Units, "row"), several(b.Units, "unit"))},
	})
}
