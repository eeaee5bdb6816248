// Package handover makes the papers of a house: an owner's guide, key cards, plans, schedules, board and line drawings,
// module labels, bill of materials, acceptance record and test forms, as one PDF and one spreadsheet workbook.
//
// A Pack goes in: the house at one revision with what the other parts said about it (findings, key legends, test
// results). Every table is built once as a Schedule and rendered to both papers and workbook; drawings come from
// packages plan and diagram as scenes. Nothing is typed here that the house does not say, every sheet names the revision
// and the digest of the house that it was made of, and the only date is the revision's: same pack, same bytes. What the
// type of the papers has no letter for is told on the first page, not silently boxed.
//
// The papers carry no tags for screen readers: the writer cannot make them. The workbook has the same facts as cells.
//
// Sources: IEC 81346-2 letter codes for designations (from memory); the order of the tests, the fields of the test form
// and the cautions follow IEC 60364-6 and common practice.
package handover

import (
	"time"

	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/house"
)

// Pack is everything that the papers are made of.
type Pack struct {
	House     *house.House
	Catalogue *catalogue.Catalogue
	Revision  string    // number of the revision
	Date      time.Time // of the revision; the only date on the papers
	Digest    string    // of the house text
	Prepared  string    // who hands over
	Findings  []check.Finding
	Keys      []KeyLegend
	Rules     []Rule
	Tests     []Test
	Notes     []string // what was assumed on the way
}

// KeyLegend says in plain words what one key does.
type KeyLegend struct {
	Point   house.ID
	Key     int // from 1
	Caption string
	Lines   []string // one a gesture: "press: hall ceiling light on or off"
	Rules   []string // the rule behind each line, as long as Lines, or empty where that is not known
}

// Rule is one rule of the behaviour as the papers list it.
type Rule struct {
	Name       string
	Text       string
	Controller string
	Network    string   // what it needs beside its controller; empty for nothing
	Needs      []string // the same in sentences, one for each thing that goes over the network; may be empty
	Wishes     []string
}

// Test is one acceptance test with what became of it.
type Test struct {
	Name    string
	Rule    string
	Wishes  []string
	Steps   []string
	Results []TestResult
}

// TestResult is one run of a test: in rehearsal or on site.
type TestResult struct {
	Where  string // Rehearsal or Site
	When   time.Time
	Passed bool
	Tried  bool   // false where it could not be tried; Detail says why
	Detail string // what was seen, where it failed
}

// Where a test was made.
const (
	Rehearsal = "rehearsal"
	Site      = "site"
)
