package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"strings"

	"github.com/alecthomas/kong"

	"wirewright/internal/problem"
	"wirewright/job"
)

// The exit codes.
const (
	codeGood   = 0
	codeFaults = 1
	codeCould  = 2
)

// errFaults says that the work was done and faults were found; it is never printed.
var errFaults = errors.New("faults were found")

// misused prints what is wrong with a command line.
func (s *streams) misused(err error) int {
	hint := "wirewright --help lists the verbs"
	var wrong *kong.ParseError
	if errors.As(err, &wrong) && wrong.Context != nil && wrong.Context.Selected() != nil {
		hint = fmt.Sprintf("wirewright %s --help shows an example", wrong.Context.Selected().Name)
	}
	text := strings.NewReplacer("a valid 64 bit int", "a whole number", "a valid 64 bit uint", "a whole number that is not negative").Replace(err.Error())
	if what, missing := strings.CutPrefix(text, "expected "); missing {
		text = strings.ReplaceAll(what, `"`, "") + " is missing"
	}
	fmt.Fprintf(s.err, "wirewright: %s\nhint: %s\n", text, hint)
	return codeCould
}

// code prints an error for the person and maps it to the exit code.
func (s *streams) code(ctx context.Context, err error) int {
	switch {
	case err == nil:
		return codeGood
	case errors.Is(err, errFaults):
		return codeFaults
	case ctx.Err() != nil:
		fmt.Fprintln(s.err, "wirewright: stopped")
		return codeCould
	}
	if list := problems(err); len(list) > 0 {
		s.mistakes(list)
		fmt.Fprintf(s.err, "wirewright: nothing was done: %s\n", count(len(list), "mistake", "mistakes"))
		return codeCould
	}
	hint := job.HintOf(err)
	fmt.Fprintln(s.err, "wirewright: "+strings.ReplaceAll(strings.TrimSuffix(err.Error(), "; "+hint), "\n", "\nwirewright: "))
	if hint != "" {
		fmt.Fprintln(s.err, "hint: "+hint)
	}
	return codeCould
}

// problems are the mistakes of a text, where an error is about such.
func problems(err error) problem.List {
	var list problem.List
	errors.As(err, &list)
	return list
}

// mistakes prints each mistake as file:line:column: text, with the line and a caret under the place where the text is at
// hand.
func (s *streams) mistakes(list problem.List) {
	for _, p := range list {
		fmt.Fprintln(s.err, p.String())
		if text, ok := s.texts[p.File]; ok {
			for _, l := range excerpt(p, text) {
				fmt.Fprintln(s.err, "    "+l)
			}
		}
		for _, n := range p.Notes {
			fmt.Fprintf(s.err, "    %s: %s\n", n.Place, n.Text)
		}
	}
}

// excerptMost is how many characters of a line an excerpt shows.
const excerptMost = 100

// excerpt shows the line of a mistake with a caret under the place; of a long line, what stands about the place.
func excerpt(p problem.Problem, text string) []string {
	full := p.Excerpt(text)
	if full == "" {
		return nil
	}
	line, caret, pointed := strings.Cut(full, "\n")
	r := []rune(line)
	if len(r) <= excerptMost {
		return strings.Split(full, "\n")
	}
	from := 0
	if pointed {
		from = max(0, min(len(caret)-excerptMost/2, len(r)-excerptMost))
		caret = caret[min(from, len(caret)-1):]
	}
	line = string(r[from : from+excerptMost])
	if !pointed {
		return []string{line}
	}
	return []string{line, caret}
}

// rescue catches a broken invariant at the outermost door and writes a report of it.
func (s *streams) rescue(code *int) {
	what := recover()
	if what == nil {
		return
	}
	*code = codeCould
	fmt.Fprintf(s.err, "wirewright: this is a defect of wirewright: %v\n", what)
	f, err := os.CreateTemp("", "wirewright-defect-*.txt")
	if err != nil {
		fmt.Fprintf(s.err, "%s", debug.Stack())
		return
	}
	defer f.Close()
	if _, err := fmt.Fprintf(f, "%v\n\n%s", what, debug.Stack()); err == nil {
		fmt.Fprintln(s.err, "hint: what happened stands in "+f.Name()+"; the job is as it was before the command, or after its last whole step")
	}
}

// count says how many of something there are.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
