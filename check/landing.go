package check

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/catalogue"
	"wirewright/house"
	"wirewright/internal/problem"
)

// landingRules look at what is connected to what. That a channel has one landing, and that what a landing names is there,
// package house sees to already.
var landingRules = []Rule{
	{
		Slug: "landing/no-channel", Severity: Fault, Kind: "module",
		Title: "A landing names a channel that the type does not have",
		Why: "Channels are named by what they do and counted through each kind of the type: out1, out2 … for relay outputs, dim1 for " +
			"dimmers, sh1 for motor outputs, val1 for valves, in1 for contact inputs, key1 for keys. What lands on a channel that is not " +
			"there is connected to nothing.",
		Source: "the catalogue entry of the type",
		run:    onKnown(noChannel), sees: mending(),
	},
	{
		Slug: "landing/wrong-kind", Severity: Fault, Kind: "module",
		Title: "A point is landed on a channel that cannot serve its kind",
		Why: "An output moves, an input reads. A point that is moved needs an output for its kind (lamps: relay or dimmer; valves: valve " +
			"or relay output; sockets, fans, gates, contactors: relay), a point that is read needs an input for what it says (keys: contact " +
			"input; temperature, light and wind: sensor or analogue input). Mains on an input destroys the module.",
		Source: practice, Caution: cautionMains,
		run: onLanding(wrongKind), sees: mending(),
	},
	{
		Slug: "landing/motor-on-relay", Severity: Fault, Kind: "module",
		Title: "A motor point is landed on a plain relay",
		Why: "A tubular motor has two windings that must never be fed together, and must rest at least 0.5 s before it turns round. A motor " +
			"output interlocks both directions in its hardware and keeps the pause; two relays do not.",
		Source: "manuals of tubular motors: interlock of both directions, pause of at least 0.5 s", Caution: cautionMotor,
		run: onLanding(motorOnRelay), sees: mending(),
	},
	{
		Slug: "landing/not-dimmed", Severity: Caution, Kind: "module",
		Title:  "A lamp that is to be dimmed is landed on a plain relay",
		Why:    "The house says that the lamp is dimmed, but a relay can only switch it. Rules that set a level will switch it fully on.",
		Source: practice, Caution: cautionMains,
		run: onLanding(notDimmed), sees: mending(),
	},
	{
		Slug: "landing/plain-on-dimmer", Severity: Caution, Kind: "module",
		Title: "A lamp that is not to be dimmed is landed on a dimmer",
		Why: "Many LED lamps and all electronic ballasts that are not made for phase-cut supply flicker, hum or fail behind a dimmer, even at " +
			"full level. Say that the lamp is dimmed if it is made for it, or land it on a relay.",
		Source: practice, Caution: cautionMains,
		run: onLanding(plainOnDimmer), sees: mending(),
	},
	{
		Slug: "landing/point-twice", Severity: Fault, Kind: "point",
		Title: "A point is landed on more than one channel",
		Why: "Two outputs on one load join two circuits, or two phases, behind the user's back; two inputs on one contact make two events of one. " +
			"A keypad lands once for each of its keys.",
		Source: practice, Caution: cautionMains,
		run: onPoint(pointTwice), sees: near("module"),
	},
	{
		Slug: "landing/missing", Severity: Fault, Kind: "point",
		Title:  "A point that is to be moved is landed on no channel",
		Why:    "Nothing can move it, and every rule that commands it does nothing.",
		Source: "the points schedule must be complete (practice of ISO 16484)",
		run:    onPoint(notLanded), sees: near("module"),
	},
	{
		Slug: "landing/not-read", Severity: Caution, Kind: "point",
		Title:  "A point that is to be read is landed on no channel",
		Why:    "Nothing hears it: a rule that it causes never fires. A keypad is heard only on those of its keys that are landed.",
		Source: "the points schedule must be complete (practice of ISO 16484)",
		run:    onPoint(notRead), sees: near("module"),
	},
	{
		Slug: "landing/key-range", Severity: Fault, Kind: "module",
		Title: "A landing stands for no key of the keypad",
		Why: "The keys of a keypad are counted from 1 in the order in which they are written on it. A landing of a keypad on a contact input must " +
			"say which key it is, unless there is only one; on a key of the module's own it may leave it out and then means the key of the " +
			"channel's number.",
		Source: practice,
		run:    onLanding(keyRange), sees: near("point module"),
	},
}

func noChannel(v *view, m *module, say sayer) {
	for k := range m.landings {
		l := &m.landings[k]
		if l.channel != nil {
			continue
		}
		names := make([]string, 0, len(m.channels))
		for _, c := range m.typ.ChannelList() {
			names = append(names, c.Name)
		}
		f := Finding{
			Text:     fmt.Sprintf("%s lands on channel %q of %s, but %s has no such channel.", l.Point, l.Channel, m.ID, m.typ.ID),
			Measured: l.Channel, Limit: spans(names),
			Remedy: &Remedy{Text: "Name one of the channels of the type, or choose a type that has it."},
		}
		if l.point != nil {
			if name, ok := v.freeChannel(m, l.point); ok {
				f.Remedy = l.moved(name)
			}
		}
		if near := problem.DidYouMean(l.Channel, names); near != "" && len(f.Remedy.Changes) == 0 {
			f.Remedy.Text += " " + strings.ToUpper(near[:1]) + near[1:]
		}
		say(f)
	}
}

// spans writes a list of channel names briefly: in1 … in8, out1 … out4.
func spans(names []string) string {
	var parts []string
	for i := 0; i < len(names); {
		stem := strings.TrimRight(names[i], "0123456789")
		j := i
		for j+1 < len(names) && strings.TrimRight(names[j+1], "0123456789") == stem {
			j++
		}
		if j > i {
			parts = append(parts, names[i]+" … "+names[j])
		} else {
			parts = append(parts, names[i])
		}
		i = j + 1
	}
	return strings.Join(parts, ", ")
}

func motorOn(l *landing) bool {
	return l.point.Kind.Motorised() && l.channel.Kind == catalogue.Relay
}

func wrongKind(v *view, l *landing, say sayer) {
	if Fits(l.channel.Kind, l.point.Point) || motorOn(l) {
		return
	}
	expected := make([]string, 0, 2)
	for _, k := range kindsFor[l.point.Kind] {
		expected = append(expected, string(k))
	}
	text := fmt.Sprintf("%s (%s) is landed on %s of %s, which does not serve that kind.", l.point.ID, l.point.Kind, l.Channel, l.module.ID)
	switch moved := l.point.Kind.Moved(); {
	case moved && !l.channel.Kind.Output():
		text = fmt.Sprintf("%s (%s) is moved, but %s of %s is an input.", l.point.ID, l.point.Kind, l.Channel, l.module.ID)
	case !moved && l.channel.Kind.Output():
		text = fmt.Sprintf("%s (%s) is read, but %s of %s is an output.", l.point.ID, l.point.Kind, l.Channel, l.module.ID)
	}
	say(Finding{Text: text, Measured: string(l.channel.Kind), Limit: strings.Join(expected, " or "),
		Remedy: v.mend(l, "Land it on a channel of a kind that serves it.")})
}

func motorOnRelay(v *view, l *landing, say sayer) {
	if motorOn(l) {
		say(Finding{
			Text:     fmt.Sprintf("%s is a motor point, but %s of %s is a plain relay.", l.point.ID, l.Channel, l.module.ID),
			Measured: string(catalogue.Relay), Limit: string(catalogue.MotorOut),
			Remedy: v.mend(l, "Land it on a motor output (sh), one motor to each."),
		})
	}
}

func notDimmed(v *view, l *landing, say sayer) {
	if l.channel.Kind == catalogue.Relay && l.point.Kind == house.Lamp && l.point.Load != nil && l.point.Load.Dimmed {
		say(Finding{
			Text:   fmt.Sprintf("%s is to be dimmed, but %s of %s can only switch it.", l.point.ID, l.Channel, l.module.ID),
			Remedy: v.mend(l, "Land it on a dimmer output, or say that it is only switched."),
		})
	}
}

func plainOnDimmer(v *view, l *landing, say sayer) {
	if l.channel.Kind == catalogue.Dimmer && l.point.Kind == house.Lamp && l.point.Load != nil && !l.point.Load.Dimmed {
		say(Finding{
			Text:   fmt.Sprintf("%s is not said to be dimmed, but %s of %s is a dimmer.", l.point.ID, l.Channel, l.module.ID),
			Remedy: v.mend(l, "Land it on a relay output, or say that it is dimmed if it is made for it."),
		})
	}
}

func pointTwice(v *view, p *point, say sayer) {
	for _, l := range doubles(p) {
		first := p.landings[slices.IndexFunc(p.landings, func(o *landing) bool { return keyOf(o) == keyOf(l) })]
		what := string(p.ID)
		if p.Kind == house.Keypad {
			what = fmt.Sprintf("%s, key %d,", p.ID, keyOf(l))
		}
		say(Finding{
			Text:     fmt.Sprintf("%s is landed on %s of %s and again on %s of %s.", what, first.Channel, first.module.ID, l.Channel, l.module.ID),
			Measured: "2 channels", Limit: "1 channel",
			Remedy: l.removed(fmt.Sprintf("Take away the landing on %s of %s.", l.Channel, l.module.ID)),
		})
	}
}

// doubles lists the landings of a point that stand for what an earlier one stands for.
func doubles(p *point) []*landing {
	var list []*landing
	for i, l := range p.landings {
		if slices.ContainsFunc(p.landings[:i], func(o *landing) bool { return keyOf(o) == keyOf(l) }) {
			list = append(list, l)
		}
	}
	return list
}

// keyOf is the key that a landing of a keypad stands for, from 1; 0 where it does not say, and for every other point.
func keyOf(l *landing) int {
	switch {
	case l.point == nil || l.point.Kind != house.Keypad:
		return 0
	case l.Key != 0:
		return l.Key
	case len(l.point.Keys) == 1:
		return 1
	case l.channel != nil && l.channel.Kind == catalogue.Key:
		return channelNumber(l.Channel)
	}
	return 0
}

// channelNumber is the number at the end of a channel's name, 0 where there is none.
func channelNumber(name string) int {
	n := 0
	for _, c := range name[len(strings.TrimRight(name, "0123456789")):] {
		if n = n*10 + int(c-'0'); n > 1000 {
			return 0
		}
	}
	return n
}

func notLanded(v *view, p *point, say sayer) {
	if p.Kind.Moved() && !p.Plain && len(p.landings) == 0 {
		say(Finding{
			Text:     fmt.Sprintf("%s (%s) is landed on no channel.", p.ID, p.Kind),
			Measured: "0 channels", Limit: "1 channel",
			Remedy: v.place(p),
		})
	}
}

func notRead(v *view, p *point, say sayer) {
	if p.Kind.Moved() || p.Plain {
		return
	}
	if len(p.landings) == 0 {
		say(Finding{
			Text:     fmt.Sprintf("%s (%s) is landed on no channel.", p.ID, p.Kind),
			Measured: "0 channels", Limit: several(max(1, len(p.Keys)), "channel"),
			Remedy: v.place(p),
		})
		return
	}
	if silent := silentKeys(p); len(silent) > 0 {
		say(Finding{
			Text:     fmt.Sprintf("Of the %d keys of %s, %s not landed.", len(p.Keys), p.ID, keyList(silent)),
			Measured: several(len(p.Keys)-len(silent), "key"), Limit: several(len(p.Keys), "key"),
			Remedy: &Remedy{Text: "Land them on free contact inputs, or leave them out of the keypad."},
		})
	}
}

// silentKeys lists the keys of a keypad that no landing stands for.
func silentKeys(p *point) []int {
	if p.Kind != house.Keypad {
		return nil
	}
	heard := map[int]bool{}
	for _, l := range p.landings {
		heard[keyOf(l)] = true
	}
	if heard[0] { // a landing that does not say its key has a finding of its own
		return nil
	}
	var silent []int
	for k := 1; k <= len(p.Keys); k++ {
		if !heard[k] {
			silent = append(silent, k)
		}
	}
	return silent
}

func keyList(keys []int) string {
	if len(keys) == 1 {
		return fmt.Sprintf("key %d is", keys[0])
	}
	parts := make([]string, len(keys))
	for i, k := range keys {
		parts[i] = fmt.Sprint(k)
	}
	return "keys " + strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1] + " are"
}

// place says where a point without a landing could go: a free channel of a module in its box.
func (v *view) place(p *point) *Remedy {
	if p.Kind != house.Keypad || len(p.Keys) <= 1 {
		for _, m := range p.hosts {
			if name, ok := v.freeChannel(m, p); ok {
				landed := house.Landing{Channel: name, Point: p.ID}
				return &Remedy{
					Text:    fmt.Sprintf("Land it on %s of %s, which is free.", name, m.ID),
					Changes: []house.Change{m.changed(func(h *house.Module) { h.Landings = append(h.Landings, landed) })},
				}
			}
		}
	}
	return &Remedy{Text: "Land it by hand, or let the allotment find a channel for it."}
}

func keyRange(v *view, l *landing, say sayer) {
	if l.point.Kind != house.Keypad {
		return
	}
	key, most := keyOf(l), len(l.point.Keys)
	if key >= 1 && key <= most {
		return
	}
	text := fmt.Sprintf("%s of %s stands for key %d of %s, which has %d.", l.Channel, l.module.ID, key, l.point.ID, most)
	if key == 0 {
		text = fmt.Sprintf("%s of %s does not say which key of %s it stands for.", l.Channel, l.module.ID, l.point.ID)
	}
	f := Finding{Text: text, Measured: fmt.Sprintf("key %d", key), Limit: fmt.Sprintf("1 to %d", most),
		Remedy: &Remedy{Text: "Name a key that the keypad has, or write all its keys into the house."}}
	if free := silentKeys(l.point); len(free) == 1 && key > 0 {
		f.Remedy = &Remedy{
			Text:    fmt.Sprintf("Let it stand for key %d, the only one that is not landed.", free[0]),
			Changes: []house.Change{l.module.changed(func(m *house.Module) { m.Landings[l.order].Key = free[0] })},
		}
	}
	say(f)
}
