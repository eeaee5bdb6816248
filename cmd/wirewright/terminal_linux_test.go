package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"unsafe"
)

// terminal opens a pair of pseudo terminals: what is written to the second is read from the first (pty(7)).
func terminal(t *testing.T) (master, slave *os.File) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("no pseudo terminals here: %v", err)
	}
	t.Cleanup(func() { master.Close() })
	number, unlock := uint32(0), int32(0)
	control := func(request uintptr, at unsafe.Pointer) {
		if _, _, e := syscall.Syscall(syscall.SYS_IOCTL, master.Fd(), request, uintptr(at)); e != 0 {
			t.Skipf("no pseudo terminals here: %v", e)
		}
	}
	control(syscall.TIOCGPTN, unsafe.Pointer(&number))
	control(syscall.TIOCSPTLCK, unsafe.Pointer(&unlock))
	slave, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("no pseudo terminals here: %v", err)
	}
	return master, slave
}

// onTerminal runs the program with standard output and error on terminals, or on pipes where they are to be.
func onTerminal(t *testing.T, env []string, outToo bool, args ...string) (terminalSaw, pipeSaw string) {
	t.Helper()
	master, slave := terminal(t)
	c := exec.Command(program(t), args...)
	c.Env = append(append(os.Environ(), "TERM=xterm"), env...)
	var pipe bytes.Buffer
	c.Stdout, c.Stderr = &pipe, slave
	if outToo {
		c.Stdout = slave
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	slave.Close()
	saw, _ := io.ReadAll(master) // ends with an error when the last writer has gone: that is how a pseudo terminal tells
	_ = c.Wait()                 // exit code 1 is one of the cases
	return string(saw), pipe.String()
}

// A terminal sees progress that overwrites itself and colour; NO_COLOR takes the colour away, a dumb terminal both; a
// pipe beside the terminal stays clean.
func TestTerminal(t *testing.T) {
	name := designed(t)
	good(t, "import", "bare.wirewright", "house.yaml")
	const red, clear = "\x1b[31m", "\r\x1b[K"

	saw, _ := onTerminal(t, nil, true, "rehearse", name)
	if !strings.Contains(saw, clear+"rehearse  1/7  passed: ") || !strings.Contains(saw, clear+"rehearse  7/7  passed: ") {
		t.Errorf("no progress: %q", saw)
	}
	if at := strings.LastIndex(saw, clear); !strings.HasPrefix(saw[at+len(clear):], "rehearsal, revision 3: 7 tests passed") {
		t.Errorf("the line of progress is not cleared before the answer: %q", saw[at:])
	}
	saw, answer := onTerminal(t, nil, false, "rehearse", name)
	if !strings.Contains(saw, clear) || strings.Contains(answer, "\x1b") || !strings.HasPrefix(answer, "rehearsal, ") {
		t.Errorf("beside a pipe: %q, %q", saw, answer)
	}
	for _, c := range []struct {
		env    []string
		colour bool
	}{{nil, true}, {[]string{"NO_COLOR=1"}, false}, {[]string{"TERM=dumb"}, false}} {
		if saw, _ = onTerminal(t, c.env, true, "check", "bare.wirewright"); strings.Contains(saw, red) != c.colour {
			t.Errorf("%v: colour should be %v: %q", c.env, c.colour, saw)
		}
	}
	if saw, _ = onTerminal(t, []string{"TERM=dumb"}, true, "rehearse", name); strings.Contains(saw, "\x1b") || !strings.HasPrefix(saw, "rehearse …\r\n") {
		t.Errorf("a dumb terminal: %q", saw)
	}
}
