package behaviour

import (
	"wirewright/behaviour/syntax"
	"wirewright/internal/problem"
)

// Format prints a behaviour text in its canonical form. A text with mistakes is returned as it is, with the mistakes.
func Format(file, text string) (string, problem.List) {
	f, problems := syntax.Parse(file, text)
	if len(problems) > 0 {
		return text, problems
	}
	return syntax.Format(f), nil
}
