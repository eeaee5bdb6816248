package rehearse

import (
	"bufio"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"wirewright/house"
	"wirewright/unit"
)

var rewrite = flag.Bool("rewrite", false, "write the stories in testdata anew")

// TestStories plays the scripts in testdata. A script is a text file: comments say what it shows, then steps, then a line
// of dashes, then the story that must come out. Steps are
//
//	network loss|double|overtake N    faults of the data network, of a thousand (before everything else)
//	network typical N                 latency of the radio from 5 ms to twice N less 5
//	press POINT.KEY for 100 ms        a key goes down and up
//	down POINT.KEY / up POINT.KEY     a key goes down or up
//	input POINT VALUE
//	break WHAT / mend WHAT
//	wait 3 s
//	check NAME VALUE                  value now
//	position POINT VALUE SLATS        true position and slats in thousandths
func TestStories(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txt")
	if err != nil || len(files) == 0 {
		t.Fatal("no stories", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) { play(t, file) })
	}
}

// play plays one script.
func play(t *testing.T, file string) {
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	script, want, _ := strings.Cut(string(text), "\n---\n")
	network := perfect()
	var r *Rehearsal
	from := int64(0)
	scan := bufio.NewScanner(strings.NewReader(script))
	for scan.Scan() {
		line := strings.TrimSpace(scan.Text())
		if line == "" || line[0] == '#' {
			continue
		}
		if strings.HasPrefix(line, "network ") {
			setNetwork(t, network, strings.Fields(line)[1:])
			continue
		}
		if r == nil {
			r = start(t, Options{Network: network, Seed: 1})
			from = r.Elapsed()
		}
		perform(t, r, line)
	}
	got := r.Story(from, r.Elapsed()+1)
	if *rewrite {
		if err := os.WriteFile(file, []byte(script+"\n---\n"+got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if got != want {
		t.Errorf("the story went\n%s\ninstead of\n%s\nIf it is right now, run: go test ./rehearse -run TestStories -rewrite", got, want)
	}
}

func setNetwork(t *testing.T, n *Network, words []string) {
	share, err := strconv.Atoi(words[1])
	if err != nil {
		t.Fatal(err)
	}
	switch words[0] {
	case "loss":
		n.WiFi.Loss = share
	case "double":
		n.WiFi.Double = share
	case "typical":
		n.WiFi.Typical = unit.Duration(share)
	case "overtake":
		n.WiFi.Overtake = share
	default:
		t.Fatalf("network %s?", words[0])
	}
}

// perform carries out one step of a script.
func perform(t *testing.T, r *Rehearsal, line string) {
	t.Helper()
	word, rest, _ := strings.Cut(line, " ")
	var err error
	switch word {
	case "press":
		name, d, _ := strings.Cut(rest, " for ")
		duration, bad := unit.ParseDuration(d)
		if bad != nil {
			t.Fatal(bad)
		}
		point, key := keyOf(t, name)
		r.must(t, r.Key(point, key, true))
		r.must(t, r.Advance(duration))
		err = r.Key(point, key, false)
	case "down", "up":
		point, key := keyOf(t, rest)
		err = r.Key(point, key, word == "down")
	case "input":
		name, value, _ := strings.Cut(rest, " ")
		err = r.Input(house.ID(name), number(t, value))
	case "break":
		err = r.Break(rest)
	case "mend":
		err = r.Mend(rest)
	case "wait":
		d, bad := unit.ParseDuration(rest)
		if bad != nil {
			t.Fatal(bad)
		}
		err = r.Advance(d)
	case "check":
		name, value, _ := strings.Cut(rest, " ")
		if got, ok := r.Value(name); !ok || got != number(t, value) {
			t.Errorf("%s is %d (%v), not %s", name, got, ok, value)
		}
	case "position":
		f := strings.Fields(rest)
		p, s, ok := r.Position(house.ID(f[0]))
		if got := fmt.Sprintf("%d %d", p, s); !ok || got != f[1]+" "+f[2] {
			t.Errorf("%s is at %s, not %s %s", f[0], got, f[1], f[2])
		}
	default:
		t.Fatalf("what is %q?", line)
	}
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
}

func keyOf(t *testing.T, name string) (house.ID, int) {
	at := strings.LastIndexByte(name, '.')
	return house.ID(name[:at]), int(number(t, name[at+1:]))
}

func number(t *testing.T, text string) int32 {
	t.Helper()
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil {
		t.Fatal(err)
	}
	return int32(n)
}
