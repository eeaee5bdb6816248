package job

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"wirewright/behaviour"
	"wirewright/behaviour/accept"
	"wirewright/check"
	"wirewright/house"
	"wirewright/internal/problem"
	"wirewright/store"
)

var (
	errNoRule   = errors.New("no check has this name")
	errNoStorey = errors.New("the house has no such storey")
)

// behaviourFindings turns what the compiler says into findings like all others: its problems are faults.
func behaviourFindings(c *behaviour.Compiled, problems problem.List) []check.Finding {
	var list []check.Finding
	for _, p := range problems {
		list = append(list, check.Finding{Slug: "behaviour/text", Severity: check.Fault, Kind: "text", Entity: house.ID("behaviour"),
			Text: p.String(), Source: "grammar of the behaviour language"})
	}
	if c == nil {
		return list
	}
	for _, f := range c.Findings {
		x := check.Finding{Slug: f.Slug, Severity: check.Severity(f.Severity), Kind: "text", Entity: house.ID("behaviour"), Text: f.Text,
			Source: "semantics of the behaviour language"}
		if f.Point != "" {
			x.Kind, x.Entity = "point", f.Point
		}
		if f.Line > 0 {
			x.Text = fmt.Sprintf("line %d: %s", f.Line, f.Text)
		}
		if f.Remedy != "" {
			x.Remedy = &check.Remedy{Text: f.Remedy}
		}
		list = append(list, x)
	}
	return list
}

// Compile compiles the behaviour of the newest revision; a text with mistakes gives them all as a problem.List.
func (j *Job) Compile(ctx context.Context) (*behaviour.Compiled, store.Rev, error) {
	h, rev, err := j.Head(ctx)
	if err != nil {
		return nil, 0, err
	}
	c, problems := behaviour.Compile(h, j.cat)
	if len(problems) > 0 {
		return nil, rev, problems.Err()
	}
	return c, rev, nil
}

// Programme is the report of the programme stage.
type Programme struct {
	Rev         store.Rev `json:"revision"`
	Rules       int       `json:"rules"`
	Controllers int       `json:"controllers"` // that execute at least one rule
	Alone       int       `json:"alone"`       // rules that need no network
	Unplaced    []string  `json:"unplaced"`
	Listing     string    `json:"listing"`
}

// Lines implements Report.
func (p Programme) Lines() []string {
	list := []string{fmt.Sprintf("%s on %s; without the network: %d", plural(p.Rules, "rule", "rules"), plural(p.Controllers, "controller", "controllers"), p.Alone)}
	for _, u := range p.Unplaced {
		list = append(list, "  not placed: "+u)
	}
	return list
}

// Programme compiles the behaviour and says where each rule lives.
func (j *Job) Programme(ctx context.Context) (Programme, error) {
	c, rev, err := j.Compile(ctx)
	if err != nil {
		return Programme{}, err
	}
	p := Programme{Rev: rev, Rules: len(c.Rules), Listing: c.Listing()}
	at := map[string]bool{}
	for _, r := range c.Rules {
		if len(r.Crosses) == 0 {
			p.Alone++
		}
		for _, name := range r.Controllers {
			at[name] = true
		}
	}
	p.Controllers = len(at)
	for _, u := range c.Unplaced {
		p.Unplaced = append(p.Unplaced, fmt.Sprintf("%s: %s", u.Point, u.Reason))
	}
	return p, j.save(ctx, "programme", rev, p)
}

// SetTexts replaces behaviour and acceptance text of the house; an empty one is left as it is. Mistakes in a text are no
// reason to refuse it, since work on it goes on: Check and Programme tell them.
func (j *Job) SetTexts(ctx context.Context, behaviourText, acceptance, why string) (Edited, error) {
	h, rev, err := j.Head(ctx)
	if err != nil {
		return Edited{}, err
	}
	after := *h
	if behaviourText != "" {
		after.Behaviour = behaviourText
	}
	if acceptance != "" {
		after.Acceptance = acceptance
	}
	next, err := j.become(ctx, rev, h, &after, why)
	return Edited{Rev: next, Changes: len(house.Diff(h, &after))}, err
}

// tests are all acceptance tests of a compiled house: those made of the rules, then those written by hand.
func tests(c *behaviour.Compiled) ([]accept.Test, error) {
	list := accept.Generate(c)
	if strings.TrimSpace(c.House.Acceptance) == "" {
		return list, nil
	}
	own, problems := accept.Parse("acceptance", c.House.Acceptance)
	problems = append(problems, accept.Check(c, "acceptance", own)...)
	if len(problems) > 0 {
		return nil, problems.Err()
	}
	return append(list, own...), nil
}

// Tests lists the acceptance tests of the newest revision.
func (j *Job) Tests(ctx context.Context) ([]accept.Test, error) {
	c, _, err := j.Compile(ctx)
	if err != nil {
		return nil, err
	}
	return tests(c)
}

// Format prints a behaviour text in its one canonical form; mistakes come all at once.
func Format(file, text string) (string, error) {
	out, problems := behaviour.Format(file, text)
	return out, problems.Err()
}

// chosen keeps the tests whose name, rule or wish contains the words given; all of them where there are none.
func chosen(list []accept.Test, words []string) []accept.Test {
	if len(words) == 0 {
		return list
	}
	return slices.DeleteFunc(slices.Clone(list), func(t accept.Test) bool {
		return !slices.ContainsFunc(words, func(w string) bool {
			return strings.Contains(t.Name, w) || t.Rule == w || slices.Contains(t.Wishes, w)
		})
	})
}
