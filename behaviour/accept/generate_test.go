package accept

import (
	"context"
	"testing"
)

func TestEveryRuleOfTheSampleIsProvedOnTheTinyWorld(t *testing.T) {
	c := sample(t, "")
	tests := Generate(c)
	of := map[string]int{}
	for _, test := range tests {
		of[test.Rule]++
	}
	for _, r := range c.Rules {
		if of[r.Name] == 0 {
			t.Errorf("no test for the rule %s", r.Name)
		}
	}
	for _, r := range Run(context.Background(), tests, newTiny(t, c), nil) {
		if r.Outcome != Passed {
			t.Errorf("%s: %s\n%s", r.Outcome, r.Test, r.Text)
		}
	}
}
