//go:build !unix

package store

import "os"

// running tells whether a program of this machine is still there: where a process is opened by number, a process that is
// gone cannot be.
func running(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	_ = p.Release()
	return true
}
