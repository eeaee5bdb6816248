package control

// The words of a regulator's memory.
const (
	regulatorSum   = iota // integral part in hundred-millionths of full
	regulatorOut          // output of the law, likewise
	regulatorWant         // what the output is to be now: 0 or 1, or the level in thousandths
	regulatorRest         // ms off that follow the on-time of the pulse under way
	regulatorCarry        // ms that were too short to be given out
	regulatorWords
)

// whole is the full output of a regulator in the steps of regulatorOut.
const whole = 100_000_000

// regulatorMemory returns the memory of a regulator and its clocks: sample and pulse.
func (r *run) regulatorMemory(i int) (words, clocks []int32) {
	at, clock := r.ix.lay.regulate+i*regulatorWords, r.ix.lay.regulator+2*i
	return r.s[at : at+regulatorWords], r.s[clock : clock+2]
}

// startRegulators lets the regulators begin.
func (r *run) startRegulators() {
	for i := range r.p.Regulators {
		reg := &r.p.Regulators[i]
		if reg.Kind == RegulatorProportional {
			_, clocks := r.regulatorMemory(i)
			clocks[0] = reg.sample()
			r.lawAnew(i)
		} else if reg.Blind > 0 && r.value(reg.Sensor) == Unknown {
			r.period(i)
		}
		r.look(i)
	}
}

// sample is the time between two steps of the law.
func (g *Regulator) sample() int32 {
	if g.Sample == 0 {
		return SampleUsual
	}
	return g.Sample
}

// look lets a regulator compare its output with what it is to be, in the next instant.
func (r *run) look(i int) {
	r.regs |= 1 << i
	r.any = true
}

// regulatorSees tells a regulator that a slot which it reads has a new value. A proportional one samples the measured
// value by its own clock, but follows set point, window and the first value at once.
func (r *run) regulatorSees(i int16, slot int16, first bool) {
	reg := &r.p.Regulators[i]
	switch {
	case reg.Kind == RegulatorProportional:
		if slot != reg.Sensor || first || r.value(slot) == Unknown {
			r.lawAnew(int(i))
		}
	case reg.Blind > 0 && slot == reg.Sensor && r.value(slot) == Unknown:
		r.period(int(i))
	case slot == reg.Sensor && first:
		words, clocks := r.regulatorMemory(int(i))
		clocks[1], words[regulatorRest], words[regulatorWant] = 0, 0, 0
	}
	r.look(int(i))
}

// wanted is the set point that counts now, Unknown for "off".
func (r *run) wanted(reg *Regulator) int32 {
	v := Unknown
	if reg.Enable < 0 || r.isOn(reg.Enable) {
		v = r.value(reg.SetPoint)
	}
	if v != Unknown && reg.Window >= 0 && r.isOn(reg.Window) {
		back := -reg.SetBack
		if reg.Cooling {
			back = reg.SetBack
		}
		v = arithmetic(OpAdd, v, back)
	}
	if !reg.Cooling {
		v = max(v, reg.Frost) // Unknown is less than any number
	}
	return v
}

// isOn tells whether a slot is known to be on.
func (r *run) isOn(slot int16) bool {
	v := r.value(slot)
	return v != 0 && v != Unknown
}

// regulator gathers what a regulator writes.
func (g *gather) regulator(i int) {
	r, reg := g.r, &g.r.p.Regulators[i]
	words, _ := r.regulatorMemory(i)
	want := words[regulatorWant]
	if reg.Kind == RegulatorTwoPoint {
		want = r.twoPoint(reg, want)
	}
	if want != r.asked(reg.Output) {
		g.add(write{kind: ActionSet, rank: RankAutomatic, rule: reg.Rule, slot: reg.Output, value: want})
	}
}

// twoPoint is the law with hysteresis: between the two points the output stays. Blind is its output where the sensor is
// unknown.
func (r *run) twoPoint(reg *Regulator, blind int32) int32 {
	sp, v := r.wanted(reg), r.value(reg.Sensor)
	switch {
	case sp == Unknown:
		return 0
	case v == Unknown:
		return blind
	}
	off := int64(v) - int64(sp)
	if reg.Cooling {
		off = -off
	}
	switch {
	case off <= -int64(reg.Half):
		return 1
	case off >= int64(reg.Half):
		return 0
	}
	return truth(r.asked(reg.Output) == 1)
}

// law is one step of u = (1/Xp)·(e + (1/Tn)·∫e dt), kept within 0 and full; while it is at a limit nothing is integrated
// that would lead further beyond (anti-windup). The integral takes the step before the output is worked out.
func (r *run) law(i int, integrate bool) {
	reg := &r.p.Regulators[i]
	words, _ := r.regulatorMemory(i)
	sp, v := r.wanted(reg), r.value(reg.Sensor)
	switch {
	case sp == Unknown:
		words[regulatorSum], words[regulatorOut] = 0, 0
		return
	case v == Unknown:
		words[regulatorOut] = reg.Blind * (whole / 1000)
		return
	}
	e := int64(sp) - int64(v)
	if reg.Cooling {
		e = -e
	}
	part := max(-100*whole, min(whole*e/int64(reg.Band), 100*whole)) // within 64 bits with any sample time
	sum := int64(words[regulatorSum])
	if integrate && reg.Reset > 0 {
		sum += part * int64(reg.sample()) / (1000 * int64(reg.Reset))
		sum = max(-whole, min(sum, whole))
	}
	out := part + sum
	if out >= 0 && out <= whole || out < 0 && e > 0 || out > whole && e < 0 {
		words[regulatorSum] = int32(sum)
	}
	words[regulatorOut] = int32(max(0, min(out, whole)))
}

// lawAnew follows at once, without a step of time.
func (r *run) lawAnew(i int) {
	words, _ := r.regulatorMemory(i)
	words[regulatorCarry] = 0
	r.law(i, false)
	if r.ix.slots[r.p.Regulators[i].Output].kind == SlotSwitch {
		r.period(i)
	} else {
		r.follow(i)
	}
}

// follow makes the level that is regulated what the law says.
func (r *run) follow(i int) {
	words, _ := r.regulatorMemory(i)
	words[regulatorWant] = lit(&r.p.Slots[r.p.Regulators[i].Output], (words[regulatorOut]+whole/2000)/(whole/1000))
}

// period begins a pulse: its on-time is the output's share of the period. What would be shorter than the relay or the
// actuator can follow is carried over to the next.
func (r *run) period(i int) {
	reg := &r.p.Regulators[i]
	words, clocks := r.regulatorMemory(i)
	share := int64(words[regulatorOut])
	if reg.Kind == RegulatorTwoPoint {
		share = int64(reg.Blind) * (whole / 1000)
	}
	on := int64(reg.Period)*share/whole + int64(words[regulatorCarry])
	given := on
	switch period, shortest := int64(reg.Period), int64(reg.Shortest); {
	case share == 0:
		on, given = 0, 0
	case on < shortest || on <= 0:
		given = 0
	case period-on < shortest:
		given = period
	}
	words[regulatorCarry] = int32(on - given)
	words[regulatorWant] = truth(given > 0)
	if given == 0 {
		clocks[1], words[regulatorRest] = reg.Period, 0
	} else {
		clocks[1], words[regulatorRest] = int32(given), reg.Period-int32(given)
	}
}

// regulatorExpired is a clock of a regulator running out: 0 the sample, 1 the pulse.
func (r *run) regulatorExpired(i, which int) {
	words, clocks := r.regulatorMemory(i)
	switch {
	case which == 0:
		clocks[0] = r.p.Regulators[i].sample()
		r.law(i, true)
		if r.ix.slots[r.p.Regulators[i].Output].kind == SlotLevel {
			r.follow(i)
		}
	case words[regulatorRest] > 0:
		words[regulatorWant] = 0
		clocks[1], words[regulatorRest] = words[regulatorRest], 0
	default:
		r.period(i)
	}
	r.look(i)
}
