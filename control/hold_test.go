package control

import (
	"fmt"
	"testing"
)

// TestHoldOfALamp walks through putting and ending a hold with and without doing afterwards what was last asked for.
func TestHoldOfALamp(t *testing.T) {
	for _, restore := range []bool{false, true} {
		b := newBuilder()
		l := b.lamp("l")
		b.hold("fire", l, RankSafety, -1, restore)
		h := newBench(t, b.done(t))
		h.start()
		h.command(l, VerbHold, int32(RankSafety)<<16|1)
		h.want(l, 1)
		h.command(l, VerbSet, 0)
		h.want(l, 1)
		h.command(l, VerbToggle, 0) // of what was asked: now on
		h.command(l, VerbToggle, 0) // now off
		h.want(l, 1)
		h.command(l, VerbRelease, int32(RankSafety)<<16)
		h.want(l, truth(!restore))
		h.command(l, VerbToggle, 0)
		h.want(l, truth(restore))
	}
}

// TestHoldsByRank: the highest rank rules, whatever the order in which holds come and go.
func TestHoldsByRank(t *testing.T) {
	check(t, func(g gen) {
		b := newBuilder()
		l := b.dimmer("l", 30)
		roof := b.peer("roof")
		rows := []Hold{{Rank: RankAutomatic, Peer: -1}, {Rank: RankManual, Peer: -1}, {Rank: RankManual, Peer: roof}, {Rank: RankSafety, Peer: roof}}
		for _, r := range rows {
			b.hold("h", l, r.Rank, r.Peer, g.yes())
		}
		h := newBench(t, b.done(t))
		h.start()
		standing := map[int]int32{}
		asked := int32(0)
		seq := uint32(0)
		for range 20 {
			i, v := int(g.number(0, 3)), g.number(1, 20)*50
			seq++
			e := Event{Kind: EventCommand, Slot: l, Peer: rows[i].Peer, Seq: seq, Expiry: 1}
			switch g.number(0, 3) {
			case 0, 1:
				e.Verb, e.Value = VerbHold, int32(rows[i].Rank)<<16|v
				standing[i] = v
			case 2:
				e.Verb, e.Value = VerbRelease, int32(rows[i].Rank)<<16
				was := naiveRuler(rows, standing)
				if _, ok := standing[i]; ok && was == i && len(standing) == 1 && !h.p.Holds[i].Restore {
					asked = standing[i]
				}
				delete(standing, i)
			case 3:
				e.Verb, e.Value = VerbSet, v
				asked = v
			}
			h.step(e)
			want := asked
			if r := naiveRuler(rows, standing); r >= 0 {
				want = standing[r]
			}
			if got := h.value(l); got != want {
				g.fatalf("after %+v: %d, want %d (standing %v, asked %d)", e, got, want, standing, asked)
			}
		}
	})
}

// naiveRuler is the hold of the highest rank, the first row of equal ones, -1 for none.
func naiveRuler(rows []Hold, standing map[int]int32) int {
	best := -1
	for i := range rows {
		if _, ok := standing[i]; ok && (best < 0 || rows[i].Rank > rows[best].Rank) {
			best = i
		}
	}
	return best
}

// TestHoldStandsAgainstRulesOfAnyRank: rank decides between rules in one instant; a hold outranks them all.
func TestHoldStandsAgainstRulesOfAnyRank(t *testing.T) {
	b := newBuilder()
	k, m := b.key("k"), b.shutter("m", 0)
	b.hold("shade", m, RankAutomatic, -1, true)
	b.rule(ruleOf{name: "both", rank: RankSafety, causes: []Cause{at1(CausePress, k)},
		actions: []Action{do(ActionLower, m), {Kind: ActionHold, Index: m, Rank: RankAutomatic, Const: 300}}})
	h := newBench(t, b.done(t))
	h.start()
	h.wait(500)
	h.input(k, 1)
	h.wait(60_000)
	h.want(m, 300)
	h.command(m, VerbRaise, 0)
	h.command(m, VerbSlat, 0)
	h.wait(70_000)
	h.want(m, 300)
	h.command(m, VerbRelease, int32(RankAutomatic)<<16)
	h.wait(70_000)
	h.want(m, 0) // what was last asked for
}

// TestHoldStill: a hold that keeps a motor from moving at all.
func TestHoldStill(t *testing.T) {
	b := newBuilder()
	m := b.shutter("m", 0)
	b.hold("door", m, RankSafety, -1, false)
	h := newBench(t, b.done(t))
	h.start()
	h.wait(500)
	h.command(m, VerbLower, 0)
	h.wait(11_600)
	h.command(m, VerbHold, int32(RankSafety)<<16|HoldStill)
	h.want(m, 200)
	h.command(m, VerbRaise, 0)
	if log := motorLog(h, 60_000, nil); log != "" {
		t.Errorf("held still, it moves: %s", log)
	}
	h.command(m, VerbRelease, int32(RankSafety)<<16)
	if log := motorLog(h, 60_000, nil); log != "" {
		t.Errorf("what was asked meanwhile is not done, as written, yet: %s", log)
	}
}

// TestHoldsOfARule sends a hold to another controller, and ends it.
func TestHoldsOfARule(t *testing.T) {
	b := newBuilder()
	p := b.peer("terrace")
	wind, awning := b.input("wind", QuantityWind), b.mirror("awning", p, 9)
	b.rule(ruleOf{name: "blow", causes: []Cause{{Kind: CauseAbove, Slot: wind, Level: 100, Band: 50}}, actions: []Action{{Kind: ActionHold, Rank: RankSafety, Index: awning}}})
	b.rule(ruleOf{name: "calm", causes: []Cause{{Kind: CauseBelow, Slot: wind, Level: 50, Band: 50}}, actions: []Action{{Kind: ActionRelease, To: TargetPeer, Peer: p, Index: 9, Rank: RankSafety, Expiry: 60_000}}})
	h := newBench(t, b.done(t))
	h.start()
	h.input(wind, 60)
	if got, want := h.words(h.input(wind, 101)), fmt.Sprintf("send terrace slot 9 hold %d seq 1 expiry 2000 by blow", 3<<16); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := h.words(h.input(wind, 40)), fmt.Sprintf("send terrace slot 9 release %d seq 2 expiry 60000 by calm", 3<<16); got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
