package ifc

import (
	"sort"
	"strconv"
	"strings"

	"wirewright/intake/step"
	"wirewright/unit"
)

// deviceClasses are the entities that may be electrical elements. The first group says by itself nothing more than "part of
// a distribution system"; the type object says what it is.
var deviceClasses = []string{
	"IFCFLOWTERMINAL", "IFCFLOWCONTROLLER", "IFCDISTRIBUTIONCONTROLELEMENT", "IFCENERGYCONVERSIONDEVICE", "IFCFLOWMOVINGDEVICE",
	"IFCDISTRIBUTIONFLOWELEMENT", "IFCDISTRIBUTIONELEMENT", "IFCELECTRICALELEMENT", "IFCELECTRICDISTRIBUTIONPOINT",
	"IFCLIGHTFIXTURE", "IFCLAMP", "IFCOUTLET", "IFCSWITCHINGDEVICE", "IFCELECTRICDISTRIBUTIONBOARD", "IFCDISTRIBUTIONBOARD",
	"IFCELECTRICAPPLIANCE", "IFCPROTECTIVEDEVICE", "IFCJUNCTIONBOX", "IFCSENSOR", "IFCACTUATOR", "IFCALARM", "IFCCONTROLLER",
	"IFCUNITARYCONTROLELEMENT", "IFCCOMMUNICATIONSAPPLIANCE", "IFCAUDIOVISUALAPPLIANCE", "IFCFAN", "IFCSHADINGDEVICE",
	"IFCFLOWMETER", "IFCVALVE", "IFCSPACEHEATER", "IFCBOILER", "IFCPUMP", "IFCSOLARDEVICE", "IFCELECTRICFLOWSTORAGEDEVICE",
	"IFCTRANSFORMER", "IFCSANITARYTERMINAL", "IFCWASTETERMINAL", "IFCAIRTERMINAL", "IFCSTACKTERMINAL", "IFCMEDICALDEVICE",
	"IFCFIRESUPPRESSIONTERMINAL", "IFCELECTRICMOTOR", "IFCELECTRICGENERATOR", "IFCELECTRICTIMECONTROL", "IFCMOTORCONNECTION",
}

// readDevices reads the electrical elements, in file order. A proxy, which can be anything, counts as one only if its name or
// a property says so clearly.
func (m *model) readDevices(d *draft, opts Options) {
	table := builtinRoles()
	circuits := m.circuitGroups()
	read := func(proxy bool) func(entity) {
		return func(e entity) {
			v := m.device(e, table, circuits, opts)
			if proxy && !v.likely {
				return
			}
			d.counts.Devices++
			d.devices = append(d.devices, v)
		}
	}
	m.each(read(false), deviceClasses...)
	m.each(read(true), "IFCBUILDINGELEMENTPROXY")
	sort.SliceStable(d.devices, func(i, j int) bool { return d.devices[i].line < d.devices[j].line })
}

func (m *model) device(e entity, table roleTable, circuits map[step.ID]string, opts Options) device {
	v := device{source: sourceOf(e), tag: e.text(7)}
	if f, err := m.place(e); err != nil {
		m.skipFor(e, err)
	} else {
		v.at, v.facing = f.o, f.z
	}
	v.storey = m.storeyOf(e.ID)
	ev := evidence{class: e.Keyword, predefined: e.arg(8).Word, name: v.name}
	if t, ok := m.find(m.typeOf[e.ID]); ok {
		v.typeClass, v.typeName = t.Keyword, t.text(2)
		ev.typeClass, ev.typePredefined, ev.typeName = t.Keyword, t.arg(9).Word, t.text(2)
	}
	m.feed(&v, e.ID, table)
	if v.circuit == "" {
		v.circuit = circuits[e.ID]
	}
	if v.apparent != nil {
		ev.voltAmperes, ev.hasLoad = v.apparent.VA(), true
	}
	if role, ok := correct(opts.Mapping, v); ok {
		v.role, v.why, v.likely = role, "you said so", true
	} else {
		said := table.decide(ev)
		v.role, v.why = said.role, said.why
		v.likely = said.weight >= nameDecides || v.panel != "" || v.apparent != nil
	}
	return v
}

// feed reads what feeds an element and what it draws. Only texts with their unit are believed: writers turn numbers without a
// unit into units of their own making.
func (m *model) feed(v *device, id step.ID, table roleTable) {
	props := m.propertiesOf(id)
	text := func(names []string) string {
		for _, name := range names {
			for _, p := range props {
				if p.name == name {
					if s := strings.TrimSpace(p.value.Text()); s != "" && !strings.HasPrefix(s, "<") {
						return s
					}
				}
			}
		}
		return ""
	}
	v.panel, v.circuit, v.boardName = text(table.Properties.Panel), text(table.Properties.Circuit), text(table.Properties.BoardName)
	said := loadText(text(table.Properties.Load))
	v.voltage, v.poles, v.apparent, v.inWatts = said.volts, said.poles, said.load, said.watts
	for _, p := range props {
		if w, ok := p.value.Float(); ok && p.name == "TotalWattage" && p.value.Word == "IFCPOWERMEASURE" && m.units.length == 1 && v.apparent == nil {
			va := unit.VoltAmperes(w)
			v.apparent, v.inWatts = &va, true
		}
	}
}

// electricalText is what a text such as "120 V/1-180 VA" says; what it does not say is zero.
type electricalText struct {
	volts float64
	poles int
	load  *unit.Apparent
	watts bool // the load is in watts
}

// loadText reads volts, poles and load.
func loadText(s string) (t electricalText) {
	s = strings.ReplaceAll(strings.TrimSpace(s), ",", ".")
	if before, after, cut := strings.Cut(s, " V/"); cut {
		t.volts, _ = strconv.ParseFloat(strings.TrimSpace(before), 64)
		n, rest, _ := strings.Cut(after, "-")
		t.poles, _ = strconv.Atoi(strings.TrimSpace(n))
		s = rest
	}
	if !(t.volts > 0 && t.volts < 1000) || t.poles < 0 {
		t.volts, t.poles = 0, 0
	}
	number, symbol, ok := strings.Cut(s, " ")
	v, err := strconv.ParseFloat(number, 64)
	if !ok || err != nil || !(v >= 0 && v < 1e6) {
		return t
	}
	factor := map[string]unit.Apparent{"VA": 1, "W": 1, "kVA": 1000, "kW": 1000}[strings.TrimSpace(symbol)]
	if factor == 0 {
		return t
	}
	a := unit.VoltAmperes(v) * factor
	t.load, t.watts = &a, strings.HasSuffix(symbol, "W")
	return t
}

// circuitGroups reads circuits given as groups.
func (m *model) circuitGroups() map[step.ID]string {
	out := map[step.ID]string{}
	m.each(func(r entity) {
		g, ok := m.find(r.ref(6))
		if !ok || !g.is("IFCELECTRICALCIRCUIT", "IFCDISTRIBUTIONCIRCUIT") {
			return
		}
		for _, id := range r.refs(4) {
			out[id] = g.text(2)
		}
	}, "IFCRELASSIGNSTOGROUP")
	return out
}
