// Package syntax reads the behaviour language into a tree, and prints the tree in its one canonical form.
//
// Text flows through the lexer (lexer.go), which cuts it into tokens and statements, and a recursive-descent parser
// (parser.go and the files named after what they read). A statement begins in the first column; its further lines are
// indented. So a mistake never costs more than its own statement: the parser reports it with line, column, what was
// found and what was expected, and goes on at the next one. Every mistake of a text comes back in one list.
//
// The grammar is grammar.txt beside this file; testdata/canonical.txt shows every form as the formatter prints it.
// Format keeps comments, and single blank lines between statements; parsing what it prints gives the same tree.
//
// The package knows words, numbers and their units, and nothing of any house: names are resolved by package behaviour.
//
// Sources: edges and timers are those of IEC 61131-3 (rising and falling trigger, on-delay, off-delay); days and times
// of day are written as in ISO 8601's extended format; the grammar's notation is EBNF as in the Go language's.
package syntax
