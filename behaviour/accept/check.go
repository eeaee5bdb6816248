package accept

import (
	"fmt"
	"slices"

	"wirewright/behaviour"
	"wirewright/internal/problem"
)

// Check holds tests against a compiled house: every name must be one of its points, keys and modes, every word must suit
// what it is said of. It fills in the values of the words of modes, so it must be called before tests with such words
// are run. The mistakes have the lines of the text, file being its name.
func Check(c *behaviour.Compiled, file string, tests []Test) problem.List {
	k := &checker{c: c, file: file, names: c.Names()}
	for i := range tests {
		t := &tests[i]
		if t.Rule != "" && c.Rule(t.Rule) == nil {
			k.say(t.Line, k.near(t.Rule, k.ruleNames()), "there is no rule %s", t.Rule)
		}
		for j := range t.Steps {
			k.step(&t.Steps[j])
		}
	}
	return k.list
}

// checker holds tests against a house.
type checker struct {
	c     *behaviour.Compiled
	file  string
	names []string
	list  problem.List
}

func (k *checker) say(line int, hint, format string, args ...any) {
	if len(k.list) < maxProblems {
		k.list = append(k.list, problem.Problem{Place: problem.Place{File: k.file, Line: line}, Text: fmt.Sprintf(format, args...), Hint: hint})
	}
}

func (k *checker) near(word string, names []string) string { return problem.DidYouMean(word, names) }

func (k *checker) ruleNames() []string {
	var names []string
	for i := range k.c.Rules {
		names = append(names, k.c.Rules[i].Name)
	}
	return names
}

// step checks one step.
func (k *checker) step(s *Step) {
	switch s.Kind {
	case StepPress, StepHold, StepLetGo:
		name := fmt.Sprintf("%s.%d", s.Name, s.Key)
		if t, ok := k.c.Thing(name); !ok || t.Key == 0 {
			k.say(s.Line, k.near(name, k.names), "there is no key %s", name)
		}
	case StepSet, StepExpect, StepStays:
		if t, ok := k.thing(s); ok {
			k.state(s, t)
		}
	case StepMoves:
		if t, ok := k.thing(s); ok && !t.Kind.Motorised() {
			k.say(s.Line, "", "%s has no motor", s.Name)
		}
	}
}

func (k *checker) thing(s *Step) (behaviour.Thing, bool) {
	t, ok := k.c.Thing(s.Name)
	if ok && t.Name != s.Name {
		if t.Values != nil {
			k.say(s.Line, "write mode "+s.Name, "%s is a mode", s.Name)
		} else {
			k.say(s.Line, "write "+t.Name, "%s is a keypad", s.Name)
		}
		return t, false
	}
	if !ok {
		k.say(s.Line, k.near(s.Name, k.names), "there is no point or mode %s", s.Name)
	}
	return t, ok
}

// state checks that a word or quantity suits a thing.
func (k *checker) state(s *Step, t behaviour.Thing) {
	if s.State.Quantity != nil {
		if unit := stateOf(t, 1); unit.Quantity == nil || unit.Quantity.Kind != s.State.Quantity.Kind {
			k.say(s.Line, "", "%s is never %s", s.Name, s.State)
		}
		return
	}
	if s.State.Word == "unknown" {
		return
	}
	words := k.c.Words(s.Name)
	v, ok := words[s.State.Word]
	if !ok {
		var list []string
		for w := range words {
			list = append(list, w)
		}
		slices.Sort(list)
		k.say(s.Line, k.near(s.State.Word, list), "%s is never %s", s.Name, s.State.Word)
		return
	}
	if t.Values != nil {
		s.State.Index = &v
	}
}
