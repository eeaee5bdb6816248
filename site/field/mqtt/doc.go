// Package mqtt carries the live protocol over MQTT 5: an embedded broker that lets everybody do only what is theirs, a
// client that reconnects, and the mapping by which devices of other makes are commanded and read.
//
// The broker listens on loopback unless it is told otherwise in so many words; it refuses whoever has no account, holds
// each account to its own topics (package wire says which are whose), and keeps no retained command. The client works
// the same against any other MQTT 5 broker.
//
// Sources: MQTT Version 5.0 (OASIS Standard, 2019).
package mqtt
