//go:build !unix

package virtual

import "os/exec"

// apart does nothing where there are no process groups.
func apart(*exec.Cmd) {}

// kill ends the process at once.
func kill(c *exec.Cmd) { _ = c.Process.Kill() }
