package rehearse

import (
	"context"
	"fmt"
	"strings"

	"wirewright/behaviour/accept"
)

// Trial is one acceptance test as it went in the rehearsal.
type Trial struct {
	accept.Result
	Faults  []Fault `json:"faults,omitempty"` // what must not happen and did, whatever the test says
	Story   string  `json:"story,omitempty"`  // where it did not pass, or faults came: what happened
	Seed    uint64  `json:"seed"`
	Command string  `json:"command"` // repeats it
}

// Good tells whether the test passed and nothing happened that must not.
func (t Trial) Good() bool { return t.Outcome == accept.Passed && len(t.Faults) == 0 }

// Run tries acceptance tests one after the other, each from a reset house, and tells progress, which may be nil, after
// each. When the context ends, the tests that are left are reported as not tried.
func (r *Rehearsal) Run(ctx context.Context, tests []accept.Test, progress func(done, total int, t Trial)) []Trial {
	trials := make([]Trial, 0, len(tests))
	for i := range tests {
		r.faults = faults{}
		from := r.now
		t := Trial{Result: accept.Run(ctx, tests[i:i+1], r, nil)[0], Faults: r.Faults(), Seed: r.options.Seed}
		t.Command = fmt.Sprintf("wirewright rehearse --seed %d --test %q", t.Seed, t.Test)
		if !t.Good() && t.Outcome != accept.NotTried {
			t.Story = r.Story(from+settleTime, r.now+1)
		}
		trials = append(trials, t)
		if progress != nil {
			progress(i+1, len(tests), t)
		}
	}
	return trials
}

// String tells a trial in a line; one that is not good is followed by its faults, its story and how to repeat it.
func (t Trial) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s", t.Test, t.Outcome)
	if t.Text != "" {
		fmt.Fprintf(&b, ": %s", t.Text)
	}
	b.WriteByte('\n')
	for _, f := range t.Faults {
		fmt.Fprintf(&b, "  fault at %s: %s%s\n", f.Controller, f.Text, because(f.Rule))
	}
	if t.Story != "" {
		b.WriteString(t.Story)
	}
	if !t.Good() && t.Outcome != accept.NotTried {
		fmt.Fprintf(&b, "  seed %d; repeat with: %s\n", t.Seed, t.Command)
	}
	return b.String()
}
