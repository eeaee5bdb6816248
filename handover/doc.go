// Package handover makes the papers of a house: plans, schedules, key legends, bill of materials and acceptance record,
// as one PDF and one spreadsheet workbook.
//
// A Pack goes in: the house at one revision with what the other parts said about it (findings, key legends, test
// results). Every table is built once as a Schedule and rendered to both papers and workbook; drawings come from
// package plan as scenes. Nothing is typed here that the house does not say, every sheet names the revision and the
// digest of the house that it was made of, and the only date is the revision's: same pack, same bytes.
//
// Sources: IEC 81346-2 letter codes for designations (from memory); the order of the tests and the cautions follow
// IEC 60364-6 and common practice.
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
}

// Rule is one rule of the behaviour as the papers list it.
type Rule struct {
	Name       string
	Text       string
	Controller string
	Network    string // what it needs beside its controller; empty for nothing
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
	Where  string // "rehearsal", "site"
	When   time.Time
	Passed bool
	Tried  bool   // false where it could not be tried; Detail says why
	Detail string // what was seen, where it failed
}
