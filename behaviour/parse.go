package behaviour

import (
	"wirewright/behaviour/syntax"
	"wirewright/internal/problem"
)

// Parse reads a behaviour text; file is its name in messages. All mistakes come back in one list, each with its line
// and column; the statements that could be read stand in the file all the same.
func Parse(file, text string) (*syntax.File, problem.List) { return syntax.Parse(file, text) }

// Format prints a behaviour text in its canonical form. A text with mistakes is returned as it is, with the mistakes.
func Format(file, text string) (string, problem.List) {
	f, problems := syntax.Parse(file, text)
	if len(problems) > 0 {
		return text, problems
	}
	return syntax.Format(f), nil
}
