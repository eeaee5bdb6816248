package accept

import (
	"fmt"
	"strings"
)

// Format prints tests in their canonical form; Parse reads the same tests from it.
func Format(tests []Test) string {
	var b strings.Builder
	for i := range tests {
		t := &tests[i]
		for _, c := range t.Lead {
			if c == "" {
				b.WriteByte('\n')
			} else {
				b.WriteString("# " + c + "\n")
			}
		}
		fmt.Fprintf(&b, "test %s\n", quote(t.Name))
		if t.Rule != "" {
			fmt.Fprintf(&b, "  of rule %s\n", quoteUnlessWord(t.Rule))
		}
		if len(t.Wishes) > 0 {
			fmt.Fprintf(&b, "  for wish %s\n", strings.Join(t.Wishes, " and "))
		}
		for _, s := range t.Steps {
			b.WriteString("  " + s.String())
			if s.Note != "" {
				b.WriteString("  # " + s.Note)
			}
			b.WriteByte('\n')
		}
	}
	return b.String()
}

func quote(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

// quoteUnlessWord puts a name in quotation marks where it is not a single plain word.
func quoteUnlessWord(s string) string {
	if s != strings.ToLower(s) || strings.ContainsAny(s, " \t\r\"#\\") {
		return quote(s)
	}
	return s
}

// String prints the step as the text writes it, without its comment.
func (s *Step) String() string {
	within := ""
	if !usual(s.Time) {
		within = " within " + s.Time.String()
	}
	key := fmt.Sprintf("%s.%d", s.Name, s.Key)
	switch s.Kind {
	case StepPress:
		if s.Twice {
			return "press " + key + " twice"
		}
		return "press " + key
	case StepHold:
		return "hold " + key
	case StepLetGo:
		return "let go " + key
	case StepSet:
		return "set " + s.Name + " to " + s.State.String()
	case StepMessage:
		return "message " + quote(s.Name)
	case StepWait:
		return "wait " + s.Time.String()
	case StepAt:
		layout := "2006-01-02 15:04"
		if s.Clock.Second() != 0 {
			layout += ":05"
		}
		return "at " + s.Clock.Format(layout)
	case StepExpect:
		return "expect " + s.Name + " " + s.State.String() + within
	case StepStays:
		return "expect " + s.Name + " stays " + s.State.String() + " for " + s.Time.String()
	case StepMoves:
		return "expect " + s.Name + " moves " + s.State.Word + within
	case StepNotice:
		return "expect notice " + quote(s.Name) + within
	case StepBreak:
		return "break " + s.Name
	}
	return "mend " + s.Name
}
