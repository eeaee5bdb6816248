// Package prove explores the compiled programs of a house for what must never happen, and answers each question with
// proved, refuted (with the shortest story that shows it) or undecided (with the reason).
//
// A question is about one point that the system moves. The programs that can have a say in it are stepped by the very
// function that runs on site (control.Program.Step); around them stands an adversary: every key, contact, sensor, clock
// entry and message that matters may come at any time, commands and published values travel through channels that
// delay, lose and interleave them, and timers run out in any order. Everything else of the house is cut away (a slice):
// points and rules that cannot influence the point are left at rest.
//
// Time is abstracted: a running clock may be the next to expire whenever it runs, however long the others still have.
// That is more than can really happen, so "proved" is sound for everything that must never happen; a counterexample is
// replayed with true times before it is shown, and is called refuted only when it happens there too, undecided if not.
// What is not explored is stated with each answer: broken components, the position of motors half way, and states
// beyond the bound.
//
// States are stored exactly. Sources: explicit-state search with exact storage is textbook; the reference models in the
// tests have published or closed-form counts.
package prove

// Verdict is the answer to a question.
type Verdict string

// The verdicts.
const (
	Proved    Verdict = "proved"
	Refuted   Verdict = "refuted"
	Undecided Verdict = "undecided"
)

// Answer is the answer to one question.
type Answer struct {
	Point    string   `json:"point"`
	Question string   `json:"question"`
	Verdict  Verdict  `json:"verdict"`
	Reason   string   `json:"reason"` // assumptions of a proof; why it is undecided
	States   int      `json:"states"` // stored while this point was explored
	Moves    int      `json:"moves"`  // transitions between them
	Story    []string `json:"story,omitempty"`
}
