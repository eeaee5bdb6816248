// Package wire is the live protocol: what controllers and the commissioning side say to each other over MQTT 5.
//
// PROTOCOL.md beside this file is the specification; the vectors under vectors/wire show each message as topic and
// bytes. The package makes and parses topics (topic.go), writes and strictly reads payloads (codec.go, message.go), says
// who may publish and hear what (right.go), and describes a controller as a W3C Thing Description (thing.go). It opens no
// socket and knows no clock: drivers under site/field carry the bytes.
//
// State is retained and told with quality of service 1; a command is never retained, carries a number and expires; what
// is loaded is named by its digest. No payload ever holds a secret.
//
// Sources: MQTT Version 5.0 (OASIS Standard, 2019); RFC 8259 (JSON); W3C Web of Things Thing Description 1.1.
package wire
