package job

import (
	"context"
	"errors"
	"fmt"
	"strings"
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
	Command string          `json:"command,omitempty"` // repeats it; with --test NAME, one of its tests
	Story   string          `json:"story,omitempty"`   // what happened in the tests, event by event, where it was asked for
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
		if r.Outcome == accept.Failed && t.Command != "" {
			list = append(list, "    see what happens: "+t.Command+" --test "+shellWord(r.Test)+" --story")
		}
	}
	if t.Story != "" {
		list = append(list, splitLines(t.Story)...)
	}
	if t.Life != "" {
		list = append(list, splitLines(t.Life)...)
	}
	return list
}

// RehearseOptions say what to rehearse.
type RehearseOptions struct {
	Seed    uint64
	Only    []string // words that choose tests by name, rule or wish; all where empty
	Test    string   // the whole name of the one test to try
	Days    int      // random days to live through after the tests
	Presses int      // of the random days: acts of people a day for each key; 0 for the usual
	Outages int      // of the random days: outages a day
	Story   bool     // tell what happened in the tests, event by event
}

// errNoTest and its sister say that a trial would try nothing.
var (
	errNoTest  = errors.New("no acceptance test has this name")
	errNoWords = errors.New("no acceptance test has these words in its name, or is of such a rule or wish")
)

// pick chooses the tests of a trial; words that choose none are a mistake.
func (o *RehearseOptions) pick(list []accept.Test) ([]accept.Test, error) {
	names := make([]string, len(list))
	for i, t := range list {
		if names[i] = t.Name; o.Test == t.Name {
			return list[i : i+1], nil
		}
	}
	hint := "wirewright rehearse without words tries all"
	if o.Test != "" {
		return nil, &Error{Kind: Missing, Subject: o.Test, Err: errNoTest, Hint: or(nearest(o.Test, names), hint)}
	}
	picked := chosen(list, o.Only)
	if len(picked) == 0 && len(o.Only) > 0 {
		return nil, &Error{Kind: Missing, Subject: strings.Join(o.Only, " "), Err: errNoWords, Hint: hint}
	}
	return picked, nil
}

// Rehearse tries every acceptance test in a simulated house, and lives through some random days. The trial is
// kept with the revision, unless it was stopped, or one of the same programs that tried more tests is there.
func (j *Job) Rehearse(ctx context.Context, o RehearseOptions) (Trial, error) {
	c, rev, err := j.Compile(ctx)
	if err != nil {
		return Trial{}, err
	}
	list, err := tests(c)
	if err != nil {
		return Trial{}, err
	}
	picked, err := o.pick(list)
	if err != nil {
		return Trial{}, err
	}
	world, err := rehearse.New(rehearse.Options{House: c.House, Catalogue: j.cat, Programs: c.Programs, Seed: o.Seed})
	if err != nil {
		return Trial{}, &Error{Kind: Failed, Subject: "rehearsal", Err: err}
	}
	t := Trial{Rev: rev, Where: "rehearsal", When: j.opt.Now(), Seed: o.Seed, Programs: programsDigest(c), Command: fmt.Sprintf("wirewright rehearse %s --seed %d", shellWord(j.Path()), o.Seed)}
	t.Results = accept.Run(ctx, picked, world, func(done, of int, r accept.Result) {
		j.progress("rehearse", done, of, "%s: %s", r.Outcome, r.Test)
	})
	if o.Story {
		t.Story = world.Story(0, world.Elapsed())
	}
	if err := j.live(ctx, &t, world, o); err != nil {
		return t, err
	}
	if err := ctx.Err(); err != nil {
		return t, err
	}
	return t, j.keep(ctx, t)
}

// keep stores a trial with its revision, unless one of the same programs that tried more tests is there.
func (j *Job) keep(ctx context.Context, t Trial) error {
	var before Trial
	ok, err := j.load(ctx, "rehearse", t.Rev, &before)
	if err != nil || ok && before.Programs == t.Programs && len(before.Results) > len(t.Results) {
		return err
	}
	t.Story = ""
	return j.save(ctx, "rehearse", t.Rev, t)
}

// live lives through the random days, if there are any.
func (j *Job) live(ctx context.Context, t *Trial, world *rehearse.Rehearsal, o RehearseOptions) error {
	if o.Days == 0 || ctx.Err() != nil {
		return nil
	}
	life, err := world.Live(rehearse.Life{Seed: o.Seed, Days: o.Days, Presses: o.Presses, Outages: o.Outages, Tell: func(hours int) bool {
		j.progress("rehearse", hours/24, o.Days, "days lived")
		return ctx.Err() == nil
	}})
	switch {
	case errors.Is(err, rehearse.ErrStopped):
		return ctx.Err()
	case err != nil:
		return &Error{Kind: Invalid, Err: errors.New(strings.TrimPrefix(err.Error(), "rehearse: "))}
	}
	life.Command = t.Command + fmt.Sprintf(" --days %d", o.Days)
	if o.Presses != 0 {
		life.Command += fmt.Sprintf(" --presses %d", o.Presses)
	}
	if o.Outages != 0 {
		life.Command += fmt.Sprintf(" --outages %d", o.Outages)
	}
	t.Life, t.Faults = life.String(), len(life.Faults)+life.More
	return nil
}
