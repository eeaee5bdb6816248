// Package problem is how every reader of this project says what is wrong with a text: where, what was found, what was
// expected, what to do. Readers collect all problems of one pass in a List and return it as one error; whoever shows it
// prints the line with a caret under the place.
package problem

import (
	"fmt"
	"sort"
	"strings"
)

// Place is a place in a text; Line and Column count from 1, columns in characters. Line 0 means the text as a whole.
type Place struct {
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
}

// Note points at a second place that belongs to a problem ("the other cause is here").
type Note struct {
	Place Place  `json:"place"`
	Text  string `json:"text"`
}

// Problem is one mistake in a text.
type Problem struct {
	Place
	Text   string `json:"text"`             // what was found and what was expected
	Hint   string `json:"hint,omitempty"`   // what to do, e.g. the nearest name
	Entity string `json:"entity,omitempty"` // the entity concerned, where there is one
	Notes  []Note `json:"notes,omitempty"`
}

// List is all the problems of one pass; as an error it prints one a line.
type List []Problem

// Error prints every problem on a line of its own, as file:line:column: text.
func (l List) Error() string {
	lines := make([]string, len(l))
	for i, p := range l {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}

// Err returns the list as an error, nil when it is empty.
func (l List) Err() error {
	if len(l) == 0 {
		return nil
	}
	return l
}

// Sort orders the list by place, then by text, so that the same text always gives the same list.
func (l List) Sort() {
	sort.SliceStable(l, func(i, j int) bool {
		a, b := l[i], l[j]
		if a.File != b.File {
			return a.File < b.File
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		if a.Column != b.Column {
			return a.Column < b.Column
		}
		return a.Text < b.Text
	})
}

// String prints the problem on one line.
func (p Problem) String() string {
	s := p.Text
	if p.Hint != "" {
		s += " (" + p.Hint + ")"
	}
	if at := p.Place.String(); at != "" {
		s = at + ": " + s
	}
	return s
}

// String prints the place as file:line:column, leaving out what is not known.
func (p Place) String() string {
	parts := make([]string, 0, 3)
	if p.File != "" {
		parts = append(parts, p.File)
	}
	if p.Line > 0 {
		parts = append(parts, fmt.Sprint(p.Line))
		if p.Column > 0 {
			parts = append(parts, fmt.Sprint(p.Column))
		}
	}
	return strings.Join(parts, ":")
}

// Excerpt shows the line of a text that the problem is about, with a caret under the place; empty if there is no line.
func (p Problem) Excerpt(text string) string {
	lines := strings.Split(text, "\n")
	if p.Line < 1 || p.Line > len(lines) {
		return ""
	}
	line := strings.ReplaceAll(strings.TrimRight(lines[p.Line-1], "\r"), "\t", " ")
	if p.Column < 1 {
		return line
	}
	return line + "\n" + strings.Repeat(" ", p.Column-1) + "^"
}
