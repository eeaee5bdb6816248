// Package house is the model of one house: what the architect drew, what the system moves and reads, the modules that
// do it, and what the client wished for.
//
// The model is plain data. Everything is found by identity: a short dotted path that a person can say aloud
// ("living.ceiling", "hall.keys", "board1.k3"). Entities lie in flat lists, one list a kind, and name each other by
// identity; Index resolves the names once for whoever computes with the house. Geometry is in metres in one right-handed
// coordinate system for the whole house, z upward from the reference level of the site.
//
// Identities are unique over their kind; those of rooms, boards, points, modules and lines are one name space, because
// texts, topics and labels name these without saying what they are.
//
// Text flows in through Read, which reports every mistake with line, column, what was found and what was expected, and
// hands out no house unless there was none; it flows out through Write, in one canonical form. Validate says the same of a
// house that was built in code. All three refuse only what would make the model meaningless (a dangling reference, a
// negative length); whether a house is well designed is said by package check. Diff tells two revisions apart entity by
// entity, Apply leads from one to the other, Invert back; a Change keeps its form in JSON.
//
// The package knows quantities (package unit) and nothing else of this project: module types are names here, resolved
// against the catalogue by package check. Package generated, below it, makes large houses for benchmarks.
//
// Sources: storeys, spaces, walls and openings follow the terms of ISO 16739 (IFC); points and points schedule those
// of ISO 16484; designations those of IEC 81346.
package house
