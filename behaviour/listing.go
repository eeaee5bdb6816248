package behaviour

import (
	"fmt"
	"slices"
	"strings"

	"wirewright/control"
)

// countCommands tells for every rule the most commands that one cause of it sends over the network.
func (c *compiler) countCommands() {
	for _, b := range c.builders {
		for i := range b.p.Rules {
			if o := b.origin[i]; o >= 0 {
				c.rules[o].info.Commands = max(c.rules[o].info.Commands, b.commands(&b.p.Rules[i]))
			}
		}
	}
}

// commands counts what one rule of a program sends.
func (b *builder) commands(r *control.Rule) int {
	n := 0
	for _, a := range b.p.Actions[r.Actions.First : r.Actions.First+r.Actions.Count] {
		switch {
		case a.Kind > control.ActionRelease:
		case a.To == control.TargetPeer:
			n++
		case a.To == control.TargetList:
			l := b.p.Lists[a.Index]
			for _, m := range b.p.Members[l.First : l.First+l.Count] {
				if b.p.Slots[m].Kind == control.SlotMirror {
					n++
				}
			}
		}
	}
	return n
}

// Listing says in words which rule lives where, what it needs of the network, and how many commands a cause sends at
// most. What needs the network needs the router and the broker; everything else goes on without them.
func (c *Compiled) Listing() string {
	var b strings.Builder
	for _, p := range c.Programs {
		c.listController(&b, p)
	}
	var lost []string
	for i := range c.Rules {
		if len(c.Rules[i].Controllers) == 0 {
			lost = append(lost, fmt.Sprintf("  %s (line %d)\n", c.Rules[i].Name, c.Rules[i].Line))
		}
	}
	if len(lost) > 0 {
		b.WriteString("in no program\n" + strings.Join(lost, ""))
	}
	if len(c.Unplaced) > 0 {
		b.WriteString("points without a controller\n")
		for _, u := range c.Unplaced {
			fmt.Fprintf(&b, "  %s: %s\n", u.Point, u.Reason)
		}
	}
	return b.String()
}

// listController lists the rules of one controller.
func (c *Compiled) listController(b *strings.Builder, p *control.Program) {
	need := "none needs the network"
	if n := c.crossing(p.Controller); n > 0 {
		need = fmt.Sprintf("%d %s the network", n, map[bool]string{true: "needs", false: "need"}[n == 1])
	}
	rules := c.rulesOn(p.Controller)
	fmt.Fprintf(b, "controller %s: %d %s of the text, %s; %d slots, %d %s in the program\n",
		p.Controller, len(rules), plural(len(rules), "rule"), need, len(p.Slots), len(p.Rules), plural(len(p.Rules), "rule"))
	for _, m := range c.Modes {
		if m.Controller == p.Controller {
			fmt.Fprintf(b, "  mode %s\n", m.Name)
		}
	}
	for _, r := range rules {
		fmt.Fprintf(b, "  line %d  %s\n", r.Line, r.Text)
		if len(r.Wishes) > 0 {
			fmt.Fprintf(b, "    for wish %s\n", strings.Join(r.Wishes, ", "))
		}
		if len(r.Controllers) > 1 {
			fmt.Fprintf(b, "    also on %s\n", strings.Join(without(r.Controllers, p.Controller), ", "))
		}
		for _, x := range r.crossings {
			if x.here == p.Controller {
				fmt.Fprintf(b, "    router and broker: %s\n", x)
			}
		}
		if r.Commands > 0 {
			fmt.Fprintf(b, "    at most %d %s over the network\n", r.Commands, plural(r.Commands, "command"))
		}
	}
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}

func without(list []string, out string) []string {
	var rest []string
	for _, s := range list {
		if s != out {
			rest = append(rest, s)
		}
	}
	return rest
}

// rulesOn lists the rules that live on a controller, in the order of the text.
func (c *Compiled) rulesOn(controller string) []*RuleInfo {
	var list []*RuleInfo
	for i := range c.Rules {
		for _, name := range c.Rules[i].Controllers {
			if name == controller {
				list = append(list, &c.Rules[i])
			}
		}
	}
	return list
}

// crossing counts the rules of a controller that need the network.
func (c *Compiled) crossing(controller string) int {
	n := 0
	for _, r := range c.rulesOn(controller) {
		if slices.ContainsFunc(r.crossings, func(x crossing) bool { return x.here == controller }) {
			n++
		}
	}
	return n
}
