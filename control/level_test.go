package control

import "testing"

func levelBed(t testing.TB, least int32) (*bench, int16) {
	b := newBuilder()
	l := b.dimmer("l", least)
	h := newBench(t, b.done(t))
	h.start()
	return h, l
}

func TestLevelKeepsItsLeast(t *testing.T) {
	h, l := levelBed(t, 80)
	for set, want := range map[int32]int32{1: 80, 79: 80, 80: 80, 81: 81, 1000: 1000, 0: 0} {
		h.command(l, VerbSet, set)
		h.want(l, want)
	}
}

func TestOnIsWhatItWas(t *testing.T) {
	h, l := levelBed(t, 0)
	h.command(l, VerbOn, 0)
	h.want(l, 1000) // never on before
	h.command(l, VerbSet, 350)
	h.command(l, VerbOn, 0)
	h.want(l, 350)
	h.command(l, VerbToggle, 0)
	h.want(l, 0)
	h.command(l, VerbToggle, 0)
	h.want(l, 350)
}

// TestBrighteningGoesAlongTheCurve: from level 60 (0.5 %) in 4 s for the whole range, after a second 253/4 levels further.
func TestBrighteningGoesAlongTheCurve(t *testing.T) {
	h, l := levelBed(t, 0)
	h.command(l, VerbSet, 5)
	if got, want := h.words(h.command(l, VerbRaise, 0)), "output l 1000 over 3067 ms; publish l 5"; got != want { // (254-60)·4000/253
		t.Errorf("%s, want %s", got, want)
	}
	h.wait(1000)
	h.command(l, VerbStop, 0)
	h.want(l, CurveLevel(60+63)) // 63.25 levels in a second
	h.command(l, VerbLower, 0)
	h.wait(500)
	h.command(l, VerbStop, 0)
	want := CurveIndex(CurveLevel(60+63)) - 32 // 31.6 levels in half a second
	if got := CurveIndex(h.value(l)); got < want-1 || got > want+1 {
		t.Errorf("after darkening for half a second level %d, want %d", got, want)
	}
}

func TestStopInAFade(t *testing.T) {
	h, l := levelBed(t, 0)
	h.seq++
	h.step(Event{Kind: EventCommand, Verb: VerbSet, Slot: l, Value: 1000, Peer: -1, Seq: h.seq, Fade: 10_000})
	h.want(l, 1000) // a fade counts as being where it leads
	h.wait(5000)
	h.command(l, VerbStop, 0)
	h.want(l, CurveLevel(127)) // half of the way from nothing
	if got := h.words(h.command(l, VerbStop, 0)); got != "publish l 31" {
		t.Errorf("stop without a run: %s", got)
	}
}

func TestNewWriteEndsAFade(t *testing.T) {
	h, l := levelBed(t, 0)
	fade := func(v, ms int32) string {
		h.seq++
		return h.words(h.step(Event{Kind: EventCommand, Verb: VerbSet, Slot: l, Value: v, Peer: -1, Seq: h.seq, Fade: ms}))
	}
	if got := fade(800, 10_000); got != "output l 800 over 10000 ms; publish l 800" {
		t.Error(got)
	}
	h.wait(1000)
	if got := fade(800, 10_000); got != "publish l 800" {
		t.Errorf("the same again: %s", got)
	}
	if got := fade(800, 0); got != "output l 800; publish l 800" {
		t.Errorf("at once now: %s", got)
	}
	if _, due := h.p.Due(h.s); due {
		t.Error("the fade still runs")
	}
	fade(0, 60_000)
	h.wait(30_000)
	if got := h.words(h.command(l, VerbToggle, 0)); got != "output l 800; publish l 800" {
		t.Errorf("toggle of a lamp that fades out: %s", got)
	}
}

// TestRepeatedRaiseChangesNothing: a repeated command while it brightens is no new run.
func TestRepeatedRaiseChangesNothing(t *testing.T) {
	h, l := levelBed(t, 100)
	h.command(l, VerbRaise, 0)
	h.wait(700)
	before := h.s.Clone()
	if got := h.words(h.command(l, VerbRaise, 0)); got != "publish l 100" {
		t.Errorf("raise again: %s", got)
	}
	h.p.Heard(h.s)[0] = h.p.Heard(before)[0]
	if !h.s.Equal(before) {
		t.Error("raise again changed the state")
	}
}

// TestLevelUnderAHold: no brightening, and what is asked is remembered.
func TestLevelUnderAHold(t *testing.T) {
	b := newBuilder()
	l := b.dimmer("l", 50)
	b.hold("cinema", l, RankManual, -1, true)
	h := newBench(t, b.done(t))
	h.start()
	h.command(l, VerbRaise, 0)
	h.wait(500)
	h.command(l, VerbHold, int32(RankManual)<<16|200)
	h.want(l, 200)
	h.command(l, VerbRaise, 0)
	h.command(l, VerbStop, 0)
	h.command(l, VerbSet, 600)
	h.wait(5000)
	h.want(l, 200)
	h.command(l, VerbRelease, int32(RankManual)<<16)
	h.want(l, 600)
}

// TestWhereItWasStoppedIsWhatWasAsked: after a hold a lamp goes back to where a brightening was stopped.
func TestWhereItWasStoppedIsWhatWasAsked(t *testing.T) {
	b := newBuilder()
	l := b.dimmer("l", 50)
	b.hold("cinema", l, RankManual, -1, true)
	h := newBench(t, b.done(t))
	h.start()
	h.command(l, VerbRaise, 0)
	h.wait(1000)
	h.command(l, VerbStop, 0)
	reached := h.value(l)
	if reached <= 50 || reached >= 1000 {
		t.Fatalf("stopped at %d", reached)
	}
	h.command(l, VerbHold, int32(RankManual)<<16)
	h.want(l, 0)
	h.command(l, VerbRelease, int32(RankManual)<<16)
	h.want(l, reached)
}
