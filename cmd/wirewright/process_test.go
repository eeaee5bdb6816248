package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"net/http"
	"net/http/cookiejar"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"
)

// ran runs the built program with an environment of its own and answers what it printed.
func ran(t *testing.T, env []string, args ...string) said {
	t.Helper()
	c := exec.Command(program(t), args...)
	c.Env = append(os.Environ(), env...)
	var out, fault bytes.Buffer
	c.Stdout, c.Stderr = &out, &fault
	if err := c.Run(); err != nil && c.ProcessState == nil {
		t.Fatal(err)
	}
	return said{out.String(), fault.String(), c.ProcessState.ExitCode()}
}

// The three exit codes, from the process itself, with nothing but the answer on standard output.
func TestExitCodesOfTheProcess(t *testing.T) {
	name := designed(t)
	good(t, "import", "bare.wirewright", "house.yaml")
	for _, c := range []struct {
		args []string
		code int
	}{
		{[]string{"check", name}, 0},
		{[]string{"rehearse", name}, 0},
		{[]string{"--help"}, 0},
		{[]string{"check", "bare.wirewright"}, 1},
		{[]string{"check", "bare.wirewright", "--json"}, 1},
		{[]string{"check", "missing.wirewright"}, 2},
		{[]string{"check", "missing.wirewright", "--json"}, 2},
		{[]string{"check"}, 2},
		{[]string{"frob"}, 2},
	} {
		s := ran(t, nil, c.args...)
		if s.code != c.code {
			t.Errorf("wirewright %s: exit code %d, want %d", strings.Join(c.args, " "), s.code, c.code)
		}
		if c.code == 2 && (s.out != "" || !strings.HasPrefix(s.err, "wirewright: ")) {
			t.Errorf("wirewright %s: %q on standard output, %q on standard error", strings.Join(c.args, " "), s.out, s.err)
		}
		if strings.Contains(s.out+s.err, "\x1b") {
			t.Errorf("wirewright %s: escape codes in a pipe", strings.Join(c.args, " "))
		}
	}
}

// Ctrl+C in the middle of a long rehearsal: exit code 2 within a second, and the job is whole.
func TestInterrupt(t *testing.T) {
	name := designed(t)
	before := good(t, "log", name)
	c := exec.Command(program(t), "rehearse", name, "--days", "3660")
	var out bytes.Buffer
	c.Stdout = &out
	fault, err := c.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewReader(fault)
	if line, err := lines.ReadString('\n'); err != nil || line != "rehearse …\n" { // it has begun
		t.Fatalf("%q, %v", line, err)
	}
	begun := time.Now()
	if err := c.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	last, _ := lines.ReadString('\n')
	_ = c.Wait() // the exit code says it
	if took := time.Since(begun); took > time.Second {
		t.Errorf("it took %v", took)
	}
	if code := c.ProcessState.ExitCode(); code != codeCould || last != "wirewright: stopped\n" || out.Len() > 0 {
		t.Errorf("exit code %d, %q, %q on standard output", code, last, out.String())
	}
	if after := good(t, "log", name); after != before {
		t.Errorf("the job changed: %s", firstDifference(before, after))
	}
	good(t, "check", name)
	if s := here(t, "", "show", name, "hall.keys", "--json"); !strings.Contains(s.out, `"rehearsal": "not tried"`) {
		t.Error("a stopped rehearsal left results behind")
	}
}

// The workbench says its address as JSON too, answers there, and ends well on Ctrl+C.
func TestWorkbenchServesUntilItIsStopped(t *testing.T) {
	name := designed(t)
	c := exec.Command(program(t), "workbench", name, "--json")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { _ = c.Process.Kill() }() // where the test ends early
	var told serving
	if err := json.NewDecoder(out).Decode(&told); err != nil {
		t.Fatal(err)
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client := &http.Client{Jar: jar} // the token is taken once, then it is a cookie
	r, err := client.Get(told.Address)
	if err != nil {
		t.Fatal(err)
	}
	r.Body.Close()
	if r.StatusCode != http.StatusOK {
		t.Errorf("%s: %s", told.Address, r.Status)
	}
	client.CloseIdleConnections()
	if err := c.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := c.Wait(); err != nil {
		t.Errorf("it ended with %v", err)
	}
}

// Commissioning answers as JSON, too; the key lies in a file for its owner alone and is never printed.
func TestCommissionAsJSON(t *testing.T) {
	if testing.Short() {
		t.Skip("starts a process for each controller")
	}
	name := designed(t)
	s := ran(t, nil, "commission", name, "--virtual", "--key", "house.key", "--json", "off")
	var v struct {
		Controllers, Attested int
		Trial                 struct {
			Results []struct{ Test, Outcome string }
		}
		Tasks []string
	}
	if err := json.Unmarshal([]byte(s.out), &v); err != nil || s.err != "" {
		t.Fatalf("%v: %s%s", err, s.out, s.err)
	}
	if v.Controllers != 3 || v.Attested != 3 || len(v.Trial.Results) != 2 || v.Trial.Results[0].Outcome != "passed" {
		t.Errorf("%+v", v)
	}
	key, err := os.Stat("house.key")
	if err != nil || key.Mode().Perm() != 0o600 {
		t.Errorf("the key file: %v %v", key, err)
	}
	if b := read1(t, "house.key"); strings.Contains(s.out, strings.TrimSpace(b)) {
		t.Error("the key is printed")
	}
}
