// Package site is the live side: it enrols modules, finds them, loads them all or none, reads back what they run, and tries
// the house with the acceptance tests that it was rehearsed with.
//
// In: a Plan (house, catalogue and compiled behaviour of one revision). Plan says which controllers there are and what
// each is to run. Enrol gives a new module its network, name and secret through its set-up page. Hail finds what announces
// itself and matches it to the plan. Link is the connection to the broker; over it go Load, Attest, Recover and World, the
// live form of accept.World. Tasks says what is still to do, computed each time from the plan and what is known, so that
// every step can be broken off and taken up again.
//
// Drivers lie under site/field, the protocol in site/wire, the run-time of a controller in site/agent. Evidence and
// secrets leave through interfaces (Journal, Secrets): the package keeps nothing on disk.
//
// Caution: from enrolment on, outputs move. Work on the installation only where it is isolated and proved dead; local
// code and a licensed person decide.
package site
