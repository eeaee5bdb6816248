package behaviour

import (
	"fmt"

	"wirewright/behaviour/syntax"
	"wirewright/internal/problem"
)

// mostProblems bounds the mistakes that are reported.
const mostProblems = 500

// problems collects the mistakes of a compilation.
type problems struct {
	list  problem.List
	count int // mistakes, those beyond the bound included
}

// say reports a mistake at a place of the behaviour text; a zero place means the whole.
func (ps *problems) say(at syntax.Pos, hint, format string, args ...any) {
	ps.count++
	if len(ps.list) >= mostProblems {
		return
	}
	ps.list = append(ps.list, problem.Problem{
		Place: problem.Place{File: TextName, Line: int(at.Line), Column: int(at.Column)},
		Text:  fmt.Sprintf(format, args...), Hint: hint,
	})
}

// unknown reports a name that nothing has; others are names that could have been meant beside those of the house.
func (ps *problems) unknown(n syntax.Name, what string, others []string) {
	ps.say(n.At, problem.DidYouMean(n.Text, others), "there is no %s %s", what, n.Text)
}

// note adds a second place to the mistake that was reported last.
func (ps *problems) note(at syntax.Pos, text string) {
	if n := len(ps.list); n > 0 && n < mostProblems {
		ps.list[n-1].Notes = append(ps.list[n-1].Notes, problem.Note{
			Place: problem.Place{File: TextName, Line: int(at.Line), Column: int(at.Column)}, Text: text,
		})
	}
}
