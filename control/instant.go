package control

// writesUsual is how many writes most instants stay below; more cost a larger stack frame.
const writesUsual = 24

// write is one thing that an instant is to change, decided on the snapshot and made absolute.
type write struct {
	kind   ActionKind
	verb   Verb // writeSend
	rank   Rank
	fate   fate
	slot   int16 // slot, hold, timer, scene or text; writeSend: slot of the peer
	peer   int16 // writeSend
	rule   int16
	value  int32
	time   int32 // ms: fade, range of a brightening, time of a timer
	expiry int32 // writeSend: ms
}

// writeSend is the kind of a write that commands a peer; it is no action of a program.
const writeSend = ActionKind(actionKinds)

// fate is what becomes of a write when those of one instant are compared.
type fate uint8

const (
	fateOpen fate = iota
	fateKept
	fateDropped
)

// instant is one instant: all pending rules see the same snapshot, then their writes are done in one commit.
func (r *run) instant() {
	var few [writesUsual]write
	g := gather{r: r, w: few[:]}
	g.rules()
	if g.n > len(g.w) {
		r.crowd()
		return
	}
	r.finish(few[:g.n])
}

// crowd is an instant with many writes. Gathering reads the snapshot only, so it can simply begin anew.
func (r *run) crowd() {
	var many [MaxWrites]write
	g := gather{r: r, w: many[:]}
	g.rules()
	if g.n > len(g.w) {
		r.fault(FaultCrowd, -1)
		g.n = 0
	}
	r.finish(many[:g.n])
}

// finish ends the gathering, and does what was gathered.
func (r *run) finish(w []write) {
	r.forget()
	if r.pulse >= 0 {
		r.fall()
	}
	if len(w) > 1 {
		r.compare(w)
	}
	r.commit(w)
}

// gather collects the writes of an instant. Beyond the room it only counts.
type gather struct {
	r *run
	w []write
	n int
}

// add takes one write.
func (g *gather) add(w write) {
	if g.n < len(g.w) {
		g.w[g.n] = w
	}
	g.n++
}

// rules gathers from every pending rule whose condition is true, in the order of the program, then from the regulators.
func (g *gather) rules() {
	r := g.r
	for w := range r.words {
		for set := r.pend[w]; set != 0; set &= set - 1 {
			n := int16(w<<6 + trailing(set))
			rule := &r.p.Rules[n]
			if !r.holdsTrue(rule.Cond) {
				continue
			}
			actions := r.p.Actions[rule.Actions.First : rule.Actions.First+rule.Actions.Count]
			for i := range actions {
				g.action(&actions[i], n, rule.Rank)
			}
		}
	}
	for set := r.regs; set != 0; set &= set - 1 {
		g.regulator(trailing(set))
	}
}

// action gathers what one action does.
func (g *gather) action(a *Action, rule int16, rank Rank) {
	w := write{kind: a.Kind, rank: rank, rule: rule, slot: a.Index, value: a.Const, time: a.Time, expiry: a.Expiry}
	if a.Value.Count > 0 {
		w.value = g.r.eval(a.Value)
		if w.value == Unknown {
			return
		}
	}
	switch {
	case a.Kind <= ActionRelease:
		g.target(a, w)
	case a.Kind == ActionRecall:
		g.recall(a, w)
	case a.Kind == ActionStartTimer:
		if w.time = w.value; a.Value.Count == 0 && a.Const == 0 || w.time < 0 {
			w.time = g.r.p.Timers[a.Index].Time
		}
		g.add(w)
	default:
		g.add(w)
	}
}

// target gathers one write for everything that an action drives.
func (g *gather) target(a *Action, w write) {
	switch a.To {
	case TargetSlot:
		g.slot(a, w, a.Index)
	case TargetHold:
		g.add(w)
	case TargetPeer:
		g.send(a, w, a.Peer, a.Index)
	case TargetList:
		members := g.r.p.list(a.Index)
		if a.Kind == ActionToggle { // decided once for all of them, so that they never split
			w.kind = ActionOn
			if g.r.anyOn(a.Index) == 1 {
				w.kind = ActionOff
			}
		}
		for _, m := range members {
			g.slot(a, w, m)
		}
	}
}

// slot gathers the write for one slot; of a mirror, the command to its owner.
func (g *gather) slot(a *Action, w write, slot int16) {
	s := &g.r.p.Slots[slot]
	if s.Kind == SlotMirror {
		g.send(a, w, s.Peer, s.Remote)
		return
	}
	w.slot = slot
	switch w.kind {
	case ActionToggle:
		w.kind = g.r.opposite(slot)
	case ActionHold, ActionRelease:
		w.slot = g.r.p.holdRow(slot, a.Rank, -1)
	}
	w.settleToggle(w.kind, s.Kind)
	g.add(w)
}

// settleToggle makes "off" a set to 0 and "on" a set to 1, save for levels, where on is what it was when last on.
func (w *write) settleToggle(k ActionKind, slot SlotKind) {
	w.kind = k
	switch {
	case k == ActionOff:
		w.kind, w.value = ActionSet, 0
	case k == ActionOn && slot != SlotLevel:
		w.kind, w.value = ActionSet, 1
	}
}

// opposite is what a toggle comes to: off if on, else on. Under a hold it turns what was asked for.
func (r *run) opposite(slot int16) ActionKind {
	v := r.value(slot)
	if r.standing(slot) >= 0 {
		v = r.asked(slot)
	}
	if v == 0 || v == Unknown {
		return ActionOn
	}
	return ActionOff
}

// send gathers a command to a peer.
func (g *gather) send(a *Action, w write, peer, slot int16) {
	w.peer, w.slot = peer, slot
	if w.kind == ActionHold && (w.value < 0 || w.value > HoldStill) {
		return
	}
	switch w.kind {
	case ActionSet:
		w.verb = VerbSet
	case ActionOff:
		w.verb, w.value = VerbSet, 0
	case ActionOn:
		w.verb = VerbOn
	case ActionToggle:
		w.verb = VerbToggle
	case ActionRaise:
		w.verb = VerbRaise
	case ActionLower:
		w.verb = VerbLower
	case ActionStop:
		w.verb = VerbStop
	case ActionSlats:
		w.verb = VerbSlat
	case ActionHold:
		w.verb, w.value = VerbHold, int32(a.Rank)<<16|w.value
	case ActionRelease:
		w.verb, w.value = VerbRelease, int32(a.Rank)<<16
	}
	w.kind = writeSend
	if w.expiry == 0 {
		w.expiry = ExpiryUsual
	}
	g.add(w)
}

// recall gathers the writes of a scene: what was captured, or what the program says.
func (g *gather) recall(a *Action, w write) {
	at := g.r.ix.lay.scenes[a.Index]
	items := g.r.p.Scenes[a.Index].Items
	for k := range items.Count {
		item := &g.r.p.SceneItems[items.First+k]
		w.kind, w.value, w.time = ActionSet, item.Value, item.Time
		if item.Slats {
			w.kind = ActionSlats
		}
		if at >= 0 {
			w.value = g.r.s[at+int(k)]
		}
		if w.value != Unknown {
			g.slot(a, w, item.Slot)
		}
	}
}
