//go:build unix

package store

import (
	"errors"
	"syscall"
)

// running tells whether a program of this machine is still there: signal 0 asks without doing anything (kill(2)).
func running(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
