package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

var rewrite = flag.Bool("rewrite", false, "write the golden files anew")

// built is the program, built once where a test needs a process.
var built = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "wirewright-program-")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "wirewright")
	build := exec.Command("go", "build", "-o", path, ".")
	build.Dir = home
	if out, err := build.CombinedOutput(); err != nil {
		return path, fmt.Errorf("%w: %s", err, out)
	}
	return path, nil
})

// started tells TestMain whether there is a built program to take away; home is the folder of this package.
var (
	started bool
	home    string
)

func TestMain(m *testing.M) {
	home, _ = os.Getwd()
	code := m.Run()
	if started {
		path, _ := built()
		os.RemoveAll(filepath.Dir(path))
	}
	os.Exit(code)
}

// program is the path of the built program.
func program(t *testing.T) string {
	t.Helper()
	started = true
	path, err := built()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// said is what a run printed and how it ended.
type said struct {
	out, err string
	code     int
}

// the moment at which everything happens where no process is needed
func noon() time.Time { return time.Date(2026, 3, 2, 11, 0, 0, 0, time.UTC) }

// here runs a command line inside of the test.
func here(t *testing.T, in string, args ...string) said {
	t.Helper()
	var out, fault bytes.Buffer
	s := &streams{in: strings.NewReader(in), out: &out, err: &fault, now: noon, user: func() string { return "tester" }}
	code := run(context.Background(), args, s)
	return said{out.String(), fault.String(), code}
}

// good runs a command line that has to end well, and answers what it printed.
func good(t *testing.T, args ...string) string {
	t.Helper()
	s := here(t, "", args...)
	if s.code != codeGood {
		t.Fatalf("wirewright %s: exit code %d\n%s%s", strings.Join(args, " "), s.code, s.out, s.err)
	}
	return s.out
}

// bring copies the input files into a fresh folder and makes it the working folder.
func bring(t *testing.T) {
	t.Helper()
	dir := t.TempDir()
	inputs, err := filepath.Glob(filepath.Join("testdata", "input", "*"))
	if err != nil || len(inputs) == 0 {
		t.Fatalf("no input files: %v", err)
	}
	inputs = append(inputs, filepath.Join("..", "..", "examples", "cottage.ifc"))
	for _, name := range inputs {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, filepath.Base(name)), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(dir)
}

// designed makes a job with behaviour and modules in the working folder.
func designed(t *testing.T) string {
	t.Helper()
	bring(t)
	good(t, "import", "house.wirewright", "house.yaml")
	good(t, "write", "house.wirewright", "--behaviour", "behaviour.txt", "--acceptance", "acceptance.txt")
	good(t, "allot", "house.wirewright")
	return "house.wirewright"
}

// golden compares a text with a file under testdata, or writes it anew.
func golden(t *testing.T, path, got string) {
	t.Helper()
	if *rewrite {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		t.Errorf("%s is not what came; run the test with -rewrite and look at the change\n%s", path, firstDifference(string(want), got))
	}
}

// firstDifference shows where two texts part.
func firstDifference(want, got string) string {
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range max(len(a), len(b)) {
		x, y := "(the end)", "(the end)"
		if i < len(a) {
			x = a[i]
		}
		if i < len(b) {
			y = b[i]
		}
		if x != y {
			return fmt.Sprintf("line %d: want %q\n         got  %q", i+1, x, y)
		}
	}
	return "no difference"
}
