package rehearse

import (
	"fmt"
	"strings"

	"wirewright/control"
)

// Story tells what happened from one time up to another (ms since the rehearsal began) in plain lines, times counted from
// the first of them.
func (r *Rehearsal) Story(from, to int64) string {
	var b strings.Builder
	for _, e := range r.Trace(from, to) {
		if line := e.String(); line != "" {
			fmt.Fprintf(&b, "%9s s  %s\n", seconds(e.At-from), line)
		}
	}
	return b.String()
}

// seconds prints ms as seconds with three decimals.
func seconds(ms int64) string { return fmt.Sprintf("%d.%03d", ms/1000, ms%1000) }

// String tells one entry.
func (e Entry) String() string {
	switch e.Kind {
	case KindPress:
		return e.Name + " pressed"
	case KindRelease:
		return e.Name + " let go"
	case KindInput:
		return e.Name + " reads " + show(e.Value, e.Quantity)
	case KindOutput:
		return e.Name + " " + show(e.Value, e.Quantity) + fade(e.Time) + because(e.Rule)
	case KindMotor:
		return e.motor()
	case KindSent:
		return fmt.Sprintf("%s sends %s to %s: %s%s", e.Controller, e.Name, e.Peer, e.Text, because(e.Rule))
	case KindLost, KindDoubled:
		return e.message()
	case KindExpired:
		return fmt.Sprintf("command from %s to %s (%s %s) is %s s old and does nothing", e.Controller, e.Peer, e.Name, e.Text, seconds(int64(e.Time)))
	case KindStart, KindOffline, KindOnline, KindGone:
		return e.Controller + " " + state[e.Kind]
	case KindBroken, KindMended:
		return e.Name + " " + state[e.Kind]
	case KindClock:
		return fmt.Sprintf("calendar: %s %s", e.Name, show(e.Value, control.QuantityBool))
	case KindNotice:
		return fmt.Sprintf("notice: %q%s", e.Text, because(e.Rule))
	case KindMessage:
		return fmt.Sprintf("message %q arrives", e.Name)
	case KindFault:
		return fmt.Sprintf("FAULT at %s: %s%s", e.Controller, e.Text, because(e.Rule))
	}
	return e.Text
}

// state is what the entries say that are about a component alone.
var state = map[Kind]string{
	KindStart: "starts", KindOffline: "has lost the network", KindOnline: "is connected", KindGone: "is gone, the others are told",
	KindBroken: "fails", KindMended: "works again",
}

// motor tells a start or stop.
func (e Entry) motor() string {
	switch {
	case e.Value < 0:
		return fmt.Sprintf("%s runs up from %s%s", e.Name, percent(e.True), because(e.Rule))
	case e.Value > 0:
		return fmt.Sprintf("%s runs down from %s%s", e.Name, percent(e.True), because(e.Rule))
	}
	slats := ""
	if e.Slats != 0 && e.Slats != 1000 {
		slats = ", slats at " + percent(e.Slats)
	}
	return fmt.Sprintf("%s stops at %s%s%s", e.Name, percent(e.True), slats, because(e.Rule))
}

// message tells what became of a message.
func (e Entry) message() string {
	to := ""
	if e.Peer != "" {
		to = " to " + e.Peer
	}
	what := "is lost"
	if e.Kind == KindDoubled {
		what = "comes twice"
	}
	return fmt.Sprintf("message from %s%s about %s (%s) %s", e.Controller, to, e.Name, e.Text, what)
}

func because(rule string) string {
	if rule == "" {
		return ""
	}
	return " (" + rule + ")"
}

func fade(ms int32) string {
	if ms == 0 {
		return ""
	}
	return " over " + seconds(int64(ms)) + " s"
}

// percent prints thousandths.
func percent(v int32) string {
	if v%10 == 0 {
		return fmt.Sprintf("%d %%", v/10)
	}
	return fmt.Sprintf("%d.%d %%", v/10, v%10)
}

// show prints a value in its quantity.
func show(v int32, q control.Quantity) string {
	if v == control.Unknown {
		return "unknown"
	}
	switch q {
	case control.QuantityBool:
		switch v {
		case 0:
			return "off"
		case 1:
			return "on"
		}
		return fmt.Sprint(v)
	case control.QuantityLevel, control.QuantityPosition:
		return percent(v)
	case control.QuantityTemperature:
		return fmt.Sprintf("%.2f °C", float64(v)/100)
	case control.QuantityLight:
		return fmt.Sprintf("%d lx", v)
	case control.QuantityWind:
		return fmt.Sprintf("%.1f m/s", float64(v)/10)
	}
	return fmt.Sprint(v)
}

// verb prints what a command asks.
func verb(v control.Verb, value int32, q control.Quantity) string {
	switch v {
	case control.VerbSet:
		return show(value, q)
	case control.VerbSlat:
		return "slats " + percent(value)
	case control.VerbHold:
		if value&0xffff == control.HoldStill {
			return "hold still"
		}
		return "hold " + show(value&0xffff, q)
	}
	names := []string{control.VerbToggle: "toggle", control.VerbRaise: "raise", control.VerbLower: "lower",
		control.VerbStop: "stop", control.VerbRelease: "release", control.VerbOn: "on"}
	if int(v) < len(names) {
		return names[v]
	}
	return fmt.Sprintf("verb %d", v)
}
