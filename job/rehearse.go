package job

import (
	"context"
	"fmt"
	"time"

	"wirewright/behaviour/accept"
	"wirewright/rehearse"
	"wirewright/store"
)

// Trial is the report of acceptance tests, in rehearsal or on site.
type Trial struct {
	Rev     store.Rev       `json:"revision"`
	Where   string          `json:"where"` // "rehearsal", "site"
	When    time.Time       `json:"when"`
	Seed    uint64          `json:"seed,omitempty"`
	Results []accept.Result `json:"results"`
	Command string          `json:"command,omitempty"` // repeats it
	Life    string          `json:"life,omitempty"`    // what the random days brought
	Faults  int             `json:"faults"`            // of the random days

	Programs string `json:"programs"` // digest of the programs that it was made with
}

// Count is the number of tests that ended so.
func (t Trial) Count(o accept.Outcome) int {
	n := 0
	for _, r := range t.Results {
		if r.Outcome == o {
			n++
		}
	}
	return n
}

// Good tells whether nothing failed.
func (t Trial) Good() bool { return t.Count(accept.Failed) == 0 && t.Faults == 0 }

// Lines implements Report.
func (t Trial) Lines() []string {
	list := []string{fmt.Sprintf("%s, revision %d: %s passed, %d failed, %d not tried", t.Where, t.Rev, plural(t.Count(accept.Passed), "test", "tests"), t.Count(accept.Failed), t.Count(accept.NotTried))}
	for _, r := range t.Results {
		if r.Outcome != accept.Passed {
			list = append(list, fmt.Sprintf("  %s: %s: %s", r.Outcome, r.Test, r.Text))
		}
	}
	if t.Life != "" {
		list = append(list, t.Life)
	}
	if !t.Good() && t.Command != "" {
		list = append(list, "  repeat it: "+t.Command)
	}
	return list
}

// RehearseOptions say what to rehearse.
type RehearseOptions struct {
	Seed  uint64
	Only  []string // words that choose tests by name, rule or wish; all where empty
	Days  int      // random days to live through after the tests
	Trace func(string)
}

// Rehearse tries every acceptance test in a simulated house, and lives through some random days.
func (j *Job) Rehearse(ctx context.Context, o RehearseOptions) (Trial, error) {
	c, rev, err := j.Compile(ctx)
	if err != nil {
		return Trial{}, err
	}
	list, err := tests(c)
	if err != nil {
		return Trial{}, err
	}
	world, err := rehearse.New(rehearse.Options{House: c.House, Catalogue: j.cat, Programs: c.Programs, Seed: o.Seed})
	if err != nil {
		return Trial{}, &Error{Kind: Failed, Subject: "rehearsal", Err: err}
	}
	t := Trial{Rev: rev, Where: "rehearsal", When: j.opt.Now(), Seed: o.Seed, Programs: programsDigest(c), Command: fmt.Sprintf("wirewright rehearse %s --seed %d", j.Path(), o.Seed)}
	t.Results = accept.Run(ctx, chosen(list, o.Only), world, func(done, of int, r accept.Result) {
		j.progress("rehearse", done, of, "%s: %s", r.Outcome, r.Test)
	})
	if o.Trace != nil {
		o.Trace(world.Story(0, world.Elapsed()))
	}
	if o.Days > 0 {
		life, err := world.Day(o.Seed, o.Days)
		if err != nil {
			return t, &Error{Kind: Failed, Subject: "rehearsal", Err: err}
		}
		t.Life, t.Faults = life.String(), len(life.Faults)+life.More
	}
	return t, j.save(ctx, "rehearse", "", rev, t)
}
