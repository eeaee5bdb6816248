package circuit

import (
	"fmt"
	"math"
	"slices"
)

// figure is a number of a request with the bounds in which it is believed.
type figure struct {
	name        string
	value       float64
	least, most float64 // least itself is allowed only where it is not 0, or where zero is
	zero        bool    // 0 means not given
	unit        string
}

// check refuses what no circuit has; the error names every such figure.
func (r Request) check(rules *Rules) error {
	if rules == nil {
		return fmt.Errorf("no rule set is given: take NamedRules")
	}
	list := []figure{
		{"voltage", r.Volts, 50, 400, false, "V"}, {"power", r.Watts, 0, 1e6, true, "W"}, {"current", r.Amps, 0, 1e4, true, "A"},
		{"power factor", r.Factor, 0.01, 1, true, ""}, {"efficiency", r.Efficiency, 0.01, 1, true, ""},
		{"protective conductor", r.Earth, 0.5, 300, true, "mm²"}, {"drop before the board", r.DropBefore, 0, 10, true, "%"},
		{"fault current", r.Fault, 1, 1e5, true, "A"}, {"rated residual current", r.Residual, 0.001, 30, true, "A"},
		{"let-through energy", r.LetThrough, 1, 1e9, true, "A²s"}, {"rating", r.Rating, 0.5, 125, true, "A"}, {"thinnest section", r.Section, 0.5, 300, true, "mm²"},
	}
	if !r.without(ByDrop) || !r.without(ByLoop) || !r.without(ByTouch) {
		list = append(list, figure{"length", r.Metres, 0.01, longest, false, "m"})
	}
	if !r.without(ByLoop) || !r.without(ByTouch) {
		list = append(list, figure{"external loop", r.External, 1e-6, 1e5, false, "Ω"})
	}
	for _, f := range list {
		if f.zero && f.value == 0 {
			continue
		}
		if !(f.value >= f.least && f.value <= f.most) {
			return fmt.Errorf("%s of %g %s: expected %g to %g %s", f.name, f.value, f.unit, f.least, f.most, f.unit)
		}
	}
	return r.checkWords()
}

func (r Request) checkWords() error {
	known := []string{ByLoad, ByCapacity, ByDrop, ByLoop, ByTouch, ByHeat, ByBreaking}
	for _, w := range r.Without {
		if !slices.Contains(known, w) {
			return fmt.Errorf("%q is no condition to leave out: expected one of %v", w, known)
		}
	}
	switch {
	case r.Watts > 0 && r.Amps > 0:
		return fmt.Errorf("both a power of %g W and a current of %g A: expected one of them", r.Watts, r.Amps)
	case r.Watts == 0 && r.Amps == 0 && !(r.Rating > 0 && r.without(ByLoad)):
		return fmt.Errorf("neither power nor current: expected one of them, above 0")
	case r.Curve != "" && !slices.Contains(Curves, r.Curve):
		return fmt.Errorf("tripping characteristic %q is not known: expected B, C or D", r.Curve)
	case r.System != TN && r.System != TT && !(r.without(ByLoop) && r.without(ByTouch)):
		return fmt.Errorf("system %q is not computed here: expected TN or TT", r.System)
	case r.System == TT && r.Residual == 0 && !r.without(ByTouch):
		return fmt.Errorf("a TT system needs a residual-current device: expected its rated residual current")
	}
	return checkTree(r.Stretches)
}

// size computes every condition for one cross-section.
func (r Request) size(c *Choice, mm2 float64, rules *Rules) error {
	c.Section, c.Earth, c.Conditions = mm2, r.Earth, nil
	if c.Earth == 0 {
		earth, err := EarthFor(mm2, r.Separate, false)
		if err != nil {
			return err
		}
		c.Earth = earth
	}
	if !r.without(ByLoad) {
		c.add(ByLoad, c.Design, c.Device.Rating, "A", "Ib ≤ In", "IEC 60364-4-43, 433.1")
	}
	for _, f := range []func(*Choice, float64, *Rules) error{r.carries, r.drops, r.disconnects, r.withstands} {
		if err := f(c, mm2, rules); err != nil {
			return err
		}
	}
	return nil
}

// add records a condition: the figure must not exceed the limit by more than the rounding of its computation.
func (c *Choice) add(name string, figure, limit float64, unit, formula, source string) {
	c.Conditions = append(c.Conditions, Condition{Name: name, Figure: figure, Limit: limit, Unit: unit, Formula: formula, Source: source,
		Pass: figure <= limit*(1+1e-9), Headroom: 1 - figure/limit})
}

func (r Request) carries(c *Choice, mm2 float64, _ *Rules) error {
	if r.without(ByCapacity) {
		return nil
	}
	carrying, err := CapacityOf(mm2, r.Laid)
	if err != nil {
		return err
	}
	least, err := c.Device.CapacityLeast()
	if err != nil {
		return err
	}
	c.Carrying = carrying
	c.add(ByCapacity, least, carrying.Amps, "A", "max(In, I2/1.45) ≤ Iz = Iz,table·Ca·Cg", "IEC 60364-4-43, 433.1; IEC 60364-5-52:2009, Tables B.52.2, B.52.4, B.52.14, B.52.15, B.52.17")
	return nil
}

func (r Request) drops(c *Choice, mm2 float64, rules *Rules) error {
	if r.without(ByDrop) {
		return nil
	}
	amps := c.Design
	if amps == 0 {
		amps = c.Device.Rating
	}
	c.Drop = Drop(amps, r.Metres, mm2, r.Factor, r.ThreePhase)
	if len(r.Stretches) > 0 {
		list := slices.Clone(r.Stretches)
		for i := range list {
			list[i].MM2 = mm2
		}
		tree, err := Tree(list)
		if err != nil {
			return err
		}
		c.Drop = 0
		for _, d := range tree {
			c.Drop = math.Max(c.Drop, d.Worst)
		}
	}
	c.add(ByDrop, 100*c.Drop/r.Volts+r.DropBefore, DropMost(r.Purpose.Lighting, r.Private, r.Metres, rules), "%", "Δu = 100·b·(ρ·l/S·cosφ + λ·l·sinφ)·Ib/U0",
		rules.Limit(DropLighting).Source+", Annex G")
	return nil
}

// DropMost is the drop in per cent that is allowed from the origin to a load: by use, by who supplies, and a little more
// for runs beyond 100 m.
func DropMost(lighting, private bool, metres float64, rules *Rules) float64 {
	name := DropOther
	switch {
	case lighting && private:
		name = DropLightingPrivate
	case lighting:
		name = DropLighting
	case private:
		name = DropOtherPrivate
	}
	more := math.Max(0, metres-100) * rules.Value(DropPerMetre)
	return rules.Value(name) + math.Min(more, rules.Value(DropPerMetreMost))
}

// disconnects holds the loop against the breaker (TN) and against the residual-current device where there is one. In TT the
// breaker is not asked: the residual-current device disconnects.
func (r Request) disconnects(c *Choice, mm2 float64, rules *Rules) error {
	if r.without(ByLoop) && r.without(ByTouch) {
		return nil
	}
	zs, err := Loop(r.External, r.Metres, mm2, c.Earth)
	if err != nil {
		return err
	}
	c.Loop = zs
	if !r.without(ByLoop) && !r.Fuse && r.System == TN {
		most, err := LoopMost(r.Volts, c.Device.Rating, c.Device.Curve, rules.Value(VoltageLeast))
		if err != nil {
			return err
		}
		c.add(ByLoop, zs, most, "Ω", "Zs = Ze + (R1+R2)·l·1.20 ≤ Cmin·U0/Ia", rules.Limit(VoltageLeast).Source+"; IEC 60898-1")
	}
	if !r.without(ByTouch) && r.Residual > 0 {
		most, err := EarthMost(r.Residual, rules)
		if err != nil {
			return err
		}
		c.add(ByTouch, zs, most, "Ω", "Zs·IΔn ≤ 50 V", rules.Limit(TouchVoltage).Source)
	}
	return nil
}

// withstands holds line and protective conductor against the energy that the device lets through: the maker's figure, or that
// of a device of 6 kA and class 3. Devices of other breaking capacity without a maker's figure are said to be not checked.
func (r Request) withstands(c *Choice, mm2 float64, _ *Rules) error {
	if r.Fault == 0 {
		return nil
	}
	b, err := BreakingFor(r.Fault)
	if err != nil {
		return err
	}
	c.Breaking = b
	if !r.without(ByBreaking) {
		c.add(ByBreaking, r.Fault, b, "A", "Icn ≥ Ik at the board", "IEC 60898-1; usual capacities from memory")
	}
	if r.without(ByHeat) || r.Fuse {
		return nil
	}
	energy, err := r.LetThrough, error(nil)
	if energy == 0 {
		energy, err = c.Device.LetThrough()
	}
	if err != nil || (r.LetThrough == 0 && c.Breaking != 6000) {
		c.NotChecked = append(slices.Clone(c.NotChecked), ByHeat)
		slices.Sort(c.NotChecked)
		c.NotChecked = slices.Compact(c.NotChecked)
		return nil // said, not passed: the maker's figure is needed
	}
	thin := math.Min(mm2, c.Earth)
	c.add(ByHeat, energy, Withstand(thin, K(r.Laid.Insulation)), "A²s", "I²t ≤ k²·S²", "IEC 60364-4-43, 434.5.2; let-through of class 3 from memory")
	return nil
}
