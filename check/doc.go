// Package check says what is wrong with a house, where, by which rule, and what would mend it.
package check
