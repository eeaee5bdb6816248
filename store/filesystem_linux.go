package store

import (
	"path/filepath"
	"syscall"
)

// shared tells the kind of network share that a path lies on, "" for a local disk. The write-ahead log needs memory that
// all programs share, which no network file system gives (sqlite.org/wal.html, "all processes must be on the same host").
// The numbers are the kernel's (statfs(2)).
func shared(path string) string {
	var s syscall.Statfs_t
	if err := syscall.Statfs(filepath.Dir(path), &s); err != nil {
		return ""
	}
	switch uint32(s.Type) {
	case 0x6969:
		return "NFS"
	case 0x517b, 0xfe534d42, 0xff534d42:
		return "SMB"
	case 0x00c36400:
		return "Ceph"
	case 0x01021997:
		return "9P"
	case 0x5346414f:
		return "AFS"
	}
	return ""
}
