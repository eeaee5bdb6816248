package control

import (
	"fmt"
	"sort"
	"strings"
	"testing"
)

// gestureBed is a key with rules that note every gesture.
func gestureBed(t testing.TB, debounce, long, gap int32) (*bench, int16) {
	b := newBuilder()
	k := b.key("key")
	b.gesture(k, debounce, long, gap)
	for _, c := range []struct {
		kind CauseKind
		name string
	}{{CauseShort, "short"}, {CauseLong, "long"}, {CauseLetGo, "long-release"}, {CauseDouble, "double"}} {
		if c.kind == CauseDouble && gap == 0 || (c.kind == CauseLong || c.kind == CauseLetGo) && long == 0 {
			continue
		}
		b.rule(ruleOf{name: c.name, causes: []Cause{at1(c.kind, k)}, actions: []Action{{Kind: ActionNotify, Index: b.text(c.name)}}})
	}
	h := newBench(t, b.done(t))
	h.start()
	return h, k
}

// playKey plays raw edges (ms, level), lets 5 s pass, and returns what was recognised when, stepping clock by clock.
func playKey(h *bench, k int16, edges [][2]int32) string {
	var got []string
	note := func(out []Effect) {
		for _, e := range out {
			if e.Kind == EffectNotify {
				got = append(got, fmt.Sprintf("%s %d", h.p.Texts[e.Value], h.now))
			}
		}
	}
	until := func(at int64) {
		for h.now < at {
			ms := at - h.now
			if due, ok := h.p.Due(h.s); ok && int64(due) < ms {
				ms = int64(due)
			}
			note(h.wait(int32(ms)))
		}
	}
	for _, e := range edges {
		until(int64(e[0]))
		note(h.input(k, e[1]))
	}
	until(h.now + 5000)
	return strings.Join(got, ", ")
}

// TestReferenceRecogniser has the six cases of the recogniser with debounce 30, long 500 and gap 300 ms, computed by hand.
// That the times are usual is common practice, no source.
func TestReferenceRecogniser(t *testing.T) {
	for _, c := range []struct {
		name  string
		gap   int32
		edges [][2]int32
		want  string
	}{
		{"1 bounce, then short", 300, [][2]int32{{100, 1}, {103, 0}, {106, 1}, {220, 0}}, "short 550"},
		{"1 without double", 0, [][2]int32{{100, 1}, {103, 0}, {106, 1}, {220, 0}}, "short 250"},
		{"2 double", 300, [][2]int32{{100, 1}, {220, 0}, {380, 1}, {470, 0}}, "double 500"},
		{"3 long", 300, [][2]int32{{100, 1}, {900, 0}}, "long 630, long-release 930"},
		{"4 too brief to count", 300, [][2]int32{{100, 1}, {125, 0}}, ""},
		{"5 short, then long", 300, [][2]int32{{100, 1}, {200, 0}, {240, 1}, {1000, 0}}, "short 770, long 770, long-release 1030"},
		{"6 released before the long mark", 300, [][2]int32{{100, 1}, {598, 0}}, "short 928"},
		{"6 released at the long mark", 300, [][2]int32{{100, 1}, {600, 0}}, "short 930"},
		{"6 released after the long mark", 300, [][2]int32{{100, 1}, {601, 0}}, "long 630, long-release 631"},
	} {
		h, k := gestureBed(t, 30, 500, c.gap)
		if got := playKey(h, k, c.edges); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		if h.s[h.p.ix.lay.gesture+gesturePhase] != phaseRest {
			t.Errorf("%s: the key does not come to rest", c.name)
		}
	}
}

// TestKeyWithoutGestureActsAtOnce: recognition costs waiting, so it is done only where needed.
func TestKeyWithoutGestureActsAtOnce(t *testing.T) {
	b := newBuilder()
	k, l := b.key("k"), b.lamp("l")
	b.rule(ruleOf{name: "toggle", causes: []Cause{at1(CausePress, k)}, actions: []Action{do(ActionToggle, l)}})
	h := newBench(t, b.done(t))
	h.start()
	for i, want := range []string{"output l 1 by toggle; publish l 1", "", "output l 0 by toggle; publish l 0", ""} {
		if got := h.words(h.input(k, int32(1-i%2))); got != want {
			t.Errorf("edge %d: %q, want %q", i, got, want)
		}
	}
	if _, due := h.p.Due(h.s); due {
		t.Error("something waits")
	}
}

func chordBed(t testing.TB) (*bench, []int16) {
	b := newBuilder()
	k1, k2, k3 := b.key("k1"), b.key("k2"), b.key("k3")
	for _, k := range []int16{k1, k2} {
		b.gesture(k, 0, 500, 0)
	}
	note := func(kind CauseKind, k int16, name string) {
		b.rule(ruleOf{name: name, causes: []Cause{at1(kind, k)}, actions: []Action{{Kind: ActionNotify, Index: b.text(name)}}})
	}
	note(CauseShort, k1, "k1 short")
	note(CauseShort, k2, "k2 short")
	note(CauseLong, k1, "k1 long")
	note(CauseLetGo, k1, "k1 let go")
	note(CausePress, k3, "k3 press")
	chord := b.list(k1, k2)
	b.rule(ruleOf{name: "both", causes: []Cause{{Kind: CauseChord, List: chord}}, actions: []Action{{Kind: ActionNotify, Index: b.text("both")}}})
	h := newBench(t, b.done(t))
	h.start()
	return h, []int16{k1, k2, k3}
}

func TestChordSpendsItsKeys(t *testing.T) {
	for _, c := range []struct {
		name  string
		edges [][3]int32 // ms, key, level
		want  string
	}{
		{"together", [][3]int32{{100, 0, 1}, {150, 1, 1}, {900, 0, 0}, {950, 1, 0}}, "both 150"},
		{"other order", [][3]int32{{100, 1, 1}, {150, 0, 1}, {200, 0, 0}, {210, 1, 0}}, "both 150"},
		{"one after the other", [][3]int32{{100, 0, 1}, {150, 0, 0}, {200, 1, 1}, {250, 1, 0}}, "k1 short 150, k2 short 250"},
		{"held key stays held", [][3]int32{{100, 0, 1}, {700, 1, 1}, {800, 1, 0}, {900, 0, 0}}, "k1 long 600, both 700, k1 let go 900"},
		{"again after letting one go", [][3]int32{{100, 0, 1}, {150, 1, 1}, {200, 1, 0}, {250, 1, 1}, {300, 1, 0}, {400, 0, 0}}, "both 150, both 250"},
		{"a key outside", [][3]int32{{100, 0, 1}, {150, 2, 1}, {200, 0, 0}}, "k3 press 150, k1 short 200"},
	} {
		h, keys := chordBed(t)
		var got []string
		note := func(out []Effect) {
			for _, e := range out {
				if e.Kind == EffectNotify {
					got = append(got, fmt.Sprintf("%s %d", h.p.Texts[e.Value], h.now))
				}
			}
		}
		for _, e := range c.edges {
			for h.now < int64(e[0]) {
				note(h.wait(1))
			}
			note(h.input(keys[e[1]], e[2]))
		}
		if s := strings.Join(got, ", "); s != c.want {
			t.Errorf("%s: %q, want %q", c.name, s, c.want)
		}
		if ms, due := h.p.Due(h.s); due {
			t.Errorf("%s: with all keys up something waits for %d ms", c.name, ms)
		}
	}
}

// TestKeyDownAtPowerOnIsNoPress: a key that is told to be down before the start does nothing until it was let go.
func TestKeyDownAtPowerOnIsNoPress(t *testing.T) {
	h, k := gestureBed(t, 30, 500, 300)
	h.s = h.p.NewState()
	h.input(k, 1)
	h.start()
	if got := playKey(h, k, [][2]int32{{int32(h.now) + 3000, 0}}); got != "" {
		t.Errorf("a key held since power-on gives %q", got)
	}
	at := int32(h.now)
	if got := playKey(h, k, [][2]int32{{at + 100, 1}, {at + 200, 0}}); got != fmt.Sprintf("short %d", at+530) {
		t.Errorf("the next press gives %q", got)
	}
}

// naiveKey recognises gestures the slow, obvious way: millisecond by millisecond, in each first what has been steady long
// enough, then the marks that have come, then what is new at the contact.
type naiveKey struct {
	debounce, long, gap int32
	now, raw, rawSince  int32
	level, downSince    int32
	shorts, upSince     int32
	isLong              bool
	got                 []string
}

func (n *naiveKey) say(s string) { n.got = append(n.got, fmt.Sprintf("%s %d", s, n.now)) }

// settle makes the raw level the debounced one.
func (n *naiveKey) settle() {
	if n.level == n.raw {
		return
	}
	n.level = n.raw
	switch {
	case n.level == 1:
		n.downSince = n.now
	case n.isLong:
		n.say("long-release")
		n.isLong, n.shorts = false, 0
	case n.shorts == 1:
		n.say("double")
		n.shorts = 0
	case n.gap > 0:
		n.shorts, n.upSince = 1, n.now
	default:
		n.say("short")
	}
}

// marks looks whether a press has become long, or no second one has followed a short one.
func (n *naiveKey) marks() {
	switch {
	case n.level == 1 && !n.isLong && n.long > 0 && n.now-n.downSince == n.long:
		if n.shorts == 1 {
			n.say("short")
			n.shorts = 0
		}
		n.say("long")
		n.isLong = true
	case n.level == 0 && n.shorts == 1 && n.now-n.upSince == n.gap:
		n.say("short")
		n.shorts = 0
	}
}

// play runs over the raw edges until a moment.
func (n *naiveKey) play(edges [][2]int32, until int32) string {
	for n.now = 0; n.now < until; n.now++ {
		if n.debounce > 0 && n.now-n.rawSince == n.debounce {
			n.settle()
		}
		n.marks()
		for _, e := range edges {
			if e[0] == n.now {
				n.raw, n.rawSince = e[1], n.now
			}
		}
		if n.debounce == 0 {
			n.settle()
		}
	}
	return strings.Join(n.got, ", ")
}

func TestRecogniserAgreesWithANaiveOne(t *testing.T) {
	check(t, func(g gen) {
		debounce := g.oneOf(0, 10, 30)
		long, gap := g.oneOf(200, 500), g.oneOf(0, 100, 300)
		var edges [][2]int32
		at := int32(1)
		for i := range g.number(1, 12) {
			if i%2 == 0 && len(edges) > 0 && edges[len(edges)-1][1] == 1 {
				t.Fatal("edges must alternate")
			}
			at += g.oneOf(1, 5, 29, 30, 31, 100, 170, 200, 201, 270, 300, 330, 470, 500, 501, 530, 700)
			edges = append(edges, [2]int32{at, (i + 1) % 2})
		}
		if edges[len(edges)-1][1] == 1 {
			edges = append(edges, [2]int32{at + 400, 0})
		}
		h, k := gestureBed(t, debounce, long, gap)
		got := playKey(h, k, edges)
		want := (&naiveKey{debounce: debounce, long: long, gap: gap}).play(edges, at+400+2000)
		if sorted(got) != sorted(want) {
			g.fatalf("debounce %d, long %d, gap %d, edges %v:\n got %s\nwant %s", debounce, long, gap, edges, got, want)
		}
	})
}

func sorted(s string) string {
	parts := strings.Split(s, ", ")
	sort.Strings(parts)
	return strings.Join(parts, ", ")
}
