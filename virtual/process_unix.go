//go:build unix

package virtual

import (
	"os/exec"
	"syscall"
)

// apart puts a module into a process group of its own, so that an interrupt from the terminal reaches the parent first,
// which then ends its modules in order.
func apart(c *exec.Cmd) { c.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// kill ends the whole group at once.
func kill(c *exec.Cmd) { _ = syscall.Kill(-c.Process.Pid, syscall.SIGKILL) }
