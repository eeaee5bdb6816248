package control

import (
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func fixtureNames() []string {
	var names []string
	for name := range fixtures {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// vectors is the folder of the vectors that any implementation of the encoding can be held against.
const vectors = "../vectors/control"

// wrapped prints bytes as lines of 32.
func wrapped(b []byte) string {
	var s strings.Builder
	for chunk := range slices.Chunk(b, 32) {
		s.WriteString(hex.EncodeToString(chunk) + "\n")
	}
	return s.String()
}

// unwrapped reads what wrapped wrote.
func unwrapped(s string) ([]byte, error) {
	return hex.DecodeString(strings.Join(strings.Fields(s), ""))
}

// golden compares with a file, or writes it with -rewrite.
func golden(t *testing.T, file, got string) {
	t.Helper()
	if *rewrite {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; run with -rewrite and look at the difference. Now:\n%s", file, got)
	}
}

// TestVectors holds encoding, digest and listing of four programs against the files in vectors/control.
func TestVectors(t *testing.T) {
	for _, name := range fixtureNames() {
		p := fixture(t, name)
		golden(t, filepath.Join(vectors, name+".hex"), wrapped(p.Encode()))
		golden(t, filepath.Join(vectors, name+".txt"), fmt.Sprintf("sha-256 %x\n%s", p.Digest(), p.Listing()))
		b, err := os.ReadFile(filepath.Join(vectors, name+".hex"))
		if err != nil {
			t.Fatal(err)
		}
		raw, err := unwrapped(string(b))
		if err != nil {
			t.Fatal(err)
		}
		q, err := Decode(raw)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if q.Listing() != p.Listing() {
			t.Errorf("%s: the decoded program lists otherwise", name)
		}
	}
}

// TestRefusedVectors: every line of refused.txt, "HEX reason", must be refused for that reason.
func TestRefusedVectors(t *testing.T) {
	b, err := os.ReadFile(filepath.Join(vectors, "refused.txt"))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for line := range strings.Lines(string(b)) {
		code, reason, ok := strings.Cut(strings.TrimSpace(line), " ")
		if !ok || strings.HasPrefix(line, "#") {
			continue
		}
		n++
		raw, err := unwrapped(code)
		if err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		if _, err := Decode(raw); err == nil || !strings.Contains(err.Error(), reason) {
			t.Errorf("%s: %v, want %q", code, err, reason)
		}
	}
	if n < 10 {
		t.Errorf("only %d vectors", n)
	}
}
