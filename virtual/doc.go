// Package virtual makes software modules to commission against: each a process of its own with an address of its own,
// which begins in set-up mode, is given its network, name and secret through an HTTP page, announces itself by DNS-SD,
// connects to the broker, is loaded, and then does what its program says.
//
// A module is two things. What an installer would meet is Module: the page (page.go), the announcement, and the run-time
// of package site/agent over channels that are only numbers (hardware.go). What an installer's hands and eyes would do is
// the bench (bench.go): put a value on an input, read an output, wind the clock, pull the plug. Bench and module share
// nothing but the channels.
//
// Fleet starts modules as separate processes of the same program, and ends them for certain: their standard input is a
// pipe that closes when the parent ends, however it ends.
//
// Sources: the way of getting a module onto a network is common practice (no source); passwords of the network after IEEE
// 802.11 (8 to 63 printable ASCII characters); secrets after NIST SP 800-63B, 5.1.1 (at least 8 characters, no rules of
// composition, known-bad ones refused).
package virtual
