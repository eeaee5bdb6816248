package accept

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"wirewright/behaviour"
	"wirewright/behaviour/syntax"
)

// mutants lists broken twins of a text: each rule left out once, and each effect turned into its contrary where it has
// one, each condition into its contrary, each time made longer.
func mutants(t *testing.T, text string) map[string]string {
	out := map[string]string{}
	count := func() int {
		f, _ := syntax.Parse("", text)
		return len(f.Statements)
	}()
	for i := range count {
		for _, m := range []struct {
			name  string
			spoil func(r *syntax.Rule) bool
		}{{"contrary effect", contraryEffect}, {"contrary condition", contraryCondition}, {"longer time", longerTime}, {"left out", nil}} {
			f, problems := syntax.Parse("", text)
			if len(problems) > 0 {
				t.Fatal(problems)
			}
			r, ok := f.Statements[i].(*syntax.Rule)
			if !ok {
				continue
			}
			name := fmt.Sprintf("line %d, %s", r.At.Line, m.name)
			if m.spoil == nil {
				f.Statements = append(f.Statements[:i], f.Statements[i+1:]...)
			} else if !m.spoil(r) {
				continue
			}
			out[name] = syntax.Format(f)
		}
	}
	return out
}

func contraryEffect(r *syntax.Rule) bool {
	other := map[syntax.Verb]syntax.Verb{syntax.TurnOn: syntax.TurnOff, syntax.TurnOff: syntax.TurnOn, syntax.Raise: syntax.Lower, syntax.Lower: syntax.Raise, syntax.Toggle: syntax.TurnOff}
	e := r.Effects[0]
	v, ok := other[e.Verb]
	e.Verb = v
	return ok
}

func contraryCondition(r *syntax.Rule) bool {
	r.Unless = !r.Unless
	return r.If != nil
}

func longerTime(r *syntax.Rule) bool {
	for _, e := range r.Effects {
		for _, d := range []*int64{(*int64)(e.For), (*int64)(e.Until), (*int64)(e.After)} {
			if d != nil {
				*d *= 2
				return true
			}
		}
	}
	return false
}

// TestGeneratedTestsCatchBrokenRules runs the tests that were made from the sample on worlds with one broken rule each.
func TestGeneratedTestsCatchBrokenRules(t *testing.T) {
	text := readFile(t, "../testdata/sample.txt")
	tests := Generate(sample(t, text))
	all, caught := 0, 0
	for name, broken := range mutants(t, text) {
		h := sample(t, text)
		h.House.Behaviour = broken
		c, problems := behaviour.Compile(h.House, builtin(t))
		if len(problems) > 0 {
			t.Errorf("%s: %v", name, problems)
			continue
		}
		all++
		world := newTiny(t, c)
		if slices.ContainsFunc(tests, func(test Test) bool {
			return Run(context.Background(), []Test{test}, world, nil)[0].Outcome == Failed
		}) {
			caught++
		} else {
			t.Logf("not caught: %s", name)
		}
	}
	t.Logf("%d of %d broken twins caught", caught, all)
	if all < 60 || caught*100 < all*90 {
		t.Errorf("%d of %d broken twins caught, want at least 90 of 100", caught, all)
	}
}
