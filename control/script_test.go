package control

import (
	"bufio"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

var rewrite = flag.Bool("rewrite", false, "write what is into testdata and vectors instead of comparing")

// TestScripts plays testdata/*.txt. A script names a program, then has one line an event, "MS what", and below it what
// follows: "  MS effect". A line "show NAME" prints the value of a slot. What begins with # says what the script shows.
func TestScripts(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txt")
	if err != nil || len(files) < 8 {
		t.Fatalf("scripts: %d, %v", len(files), err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			b, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			got := playScript(t, string(b))
			if *rewrite {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if got != string(b) {
				t.Errorf("differs; run with -rewrite and look at the difference. Now:\n%s", got)
			}
		})
	}
}

// player plays one script.
type player struct {
	h   *bench
	seq map[string]uint32
	b   strings.Builder
}

func playScript(t *testing.T, script string) string {
	pl := &player{seq: map[string]uint32{}}
	lines := bufio.NewScanner(strings.NewReader(script))
	for lines.Scan() {
		line := lines.Text()
		if strings.HasPrefix(line, "  ") {
			continue
		}
		fields := strings.Fields(line)
		if len(fields) > 0 && fields[0][0] >= '0' && fields[0][0] <= '9' {
			pl.event(line)
			continue
		}
		pl.b.WriteString(line + "\n")
		switch {
		case len(fields) == 0 || strings.HasPrefix(line, "#"):
		case fields[0] == "program":
			pl.h = newBench(t, fixture(t, fields[1]))
		case fields[0] == "show":
			name := strings.TrimPrefix(line, "show ")
			pl.show(name)
		default:
			t.Fatalf("a script has no line like %q", line)
		}
	}
	return pl.b.String()
}

// show prints the value of a slot, of a motor also what it does.
func (pl *player) show(name string) {
	slot := pl.slot(name)
	v := figure(pl.h.value(slot), pl.h.p.Slots[slot].Quantity)
	if pl.h.p.Slots[slot].Kind == SlotMotor {
		dir, pos, slat := pl.h.p.Motion(pl.h.s, slot)
		v = fmt.Sprintf("direction %d, position %s, slats %s", dir, figure(pos, QuantityPosition), figure(slat, QuantityPosition))
	}
	fmt.Fprintf(&pl.b, "  %s: %s\n", name, v)
}

func (pl *player) slot(name string) int16 {
	for i, s := range pl.h.p.Slots {
		if s.Name == name {
			return int16(i)
		}
	}
	pl.h.t.Fatalf("there is no slot %q", name)
	return -1
}

func (pl *player) note(out []Effect) {
	for _, e := range out {
		fmt.Fprintf(&pl.b, "  %d %s\n", pl.h.now, pl.h.p.effectWords(e))
	}
}

// event lets time pass until the moment that begins the line, then does what the line says.
func (pl *player) event(line string) {
	moment, what, _ := strings.Cut(line, " ")
	at, err := strconv.ParseInt(moment, 10, 64)
	if err != nil {
		pl.h.t.Fatalf("a moment in ms is expected: %q", line)
	}
	for pl.h.now < at {
		ms := at - pl.h.now
		if due, ok := pl.h.p.Due(pl.h.s); ok && int64(due) < ms {
			ms = int64(due)
		}
		pl.note(pl.h.wait(int32(ms)))
	}
	pl.b.WriteString(line + "\n")
	if what != "wait" {
		pl.note(pl.h.step(pl.parse(what)))
	}
}

// parse reads an event: "start", "NAME down", "NAME up", "NAME = 7", "NAME unknown", "NAME lost", "NAME back",
// "NAME comes", or "PEER VERB [VALUE] NAME [again] [late] [fade MS]".
func (pl *player) parse(what string) Event {
	if what == "start" {
		return Event{Kind: EventStart, Slot: -1}
	}
	if who, rest, ok := strings.Cut(what, ": "); ok {
		return pl.command(who, rest)
	}
	for i, s := range pl.h.p.Slots {
		if word, ok := strings.CutPrefix(what, s.Name+" "); ok {
			e := Event{Slot: int16(i)}
			e.Kind = map[SlotKind]EventKind{SlotInput: EventInput, SlotKey: EventInput, SlotMirror: EventMirror, SlotClock: EventClock,
				SlotLink: EventLink, SlotMessage: EventMessage}[s.Kind]
			v, ok := map[string]int32{"down": 1, "up": 0, "lost": 0, "back": 1, "comes": 1, "begins": 1, "ends": 0, "unknown": Unknown}[word]
			if !ok {
				n, err := strconv.ParseInt(strings.TrimPrefix(word, "= "), 10, 32)
				if err != nil {
					pl.h.t.Fatalf("a value is expected: %q", what)
				}
				v = int32(n)
			}
			e.Value = v
			return e
		}
	}
	pl.h.t.Fatalf("no event: %q", what)
	return Event{}
}

// command reads "VERB VALUE NAME" with what is special about it.
func (pl *player) command(who, rest string) Event {
	e := Event{Kind: EventCommand, Peer: -1, Expiry: 2000}
	for i, peer := range pl.h.p.Peers {
		if peer == who {
			e.Peer = int16(i)
		}
	}
	pl.seq[who]++
	e.Seq = pl.seq[who]
	if r, ok := strings.CutSuffix(rest, " again"); ok { // the same number once more
		pl.seq[who]--
		e.Seq, rest = pl.seq[who], r
	}
	if r, ok := strings.CutSuffix(rest, " late"); ok {
		e.Age, rest = 2001, r
	}
	verb, rest, _ := strings.Cut(rest, " ")
	for i, w := range verbWords {
		if w == verb {
			e.Verb = Verb(i)
		}
	}
	value, name, _ := strings.Cut(rest, " ")
	n, err := strconv.ParseInt(value, 0, 32)
	if err != nil {
		pl.h.t.Fatalf("a value is expected before the slot: %q", rest)
	}
	e.Value, e.Slot = int32(n), pl.slot(name)
	return e
}
