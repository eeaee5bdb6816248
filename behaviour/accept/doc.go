// Package accept holds acceptance tests: texts such as
//
//	test "hall key 1 switches the hall lamp"
//	  press hall.keys.1
//	  expect hall.lamp on within 300 ms
//
// It parses them, makes them from the rules of a behaviour, and runs them against a World. The same tests run against
// the rehearsal (package rehearse) and against the real or virtual site (package site): both are Worlds.
package accept
