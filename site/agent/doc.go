// Package agent is the run-time of one controller: it keeps the loaded programs, steps the running one with what happens,
// and carries out what comes of it, over the live protocol.
//
// In: messages of the broker (commands of peers, their states, questions of the commissioning side), raw values of the
// local channels, the clock, the calendar. Out: values to the local channels, commands to peers, published states, the
// journal. All of it goes through one goroutine that owns the state (Agent.loop), so that one event is one instant.
//
// The package has no hardware: whoever embeds it gives Channels. Software modules (package virtual) embed it to be
// commissioned against; a stand-in for a device of another make embeds it over a driver.
//
// Loading is in three steps, each safe against a crash: a program is staged and its digest verified, then activated by
// renaming one small file, and the one before it is kept for a rollback. A command is carried out only in the epoch in
// which it was sent, so that controllers of two generations never command each other.
//
// Sources: package control for what a step means; PROTOCOL.md of package wire.
package agent
