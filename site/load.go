package site

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"wirewright/site/wire"
)

// Attested is what one controller says that it runs, beside what it should run.
type Attested struct {
	Controller string
	Want       wire.Digest
	Answer     wire.Answer
	Err        error // it did not answer
}

// Good tells whether the controller runs what the design wants.
func (a *Attested) Good() bool {
	return a.Err == nil && a.Answer.Running.Epoch != 0 && a.Answer.Running.Digest == a.Want
}

// Text is one sentence for the person.
func (a *Attested) Text() string {
	switch {
	case a.Err != nil:
		return a.Err.Error()
	case a.Answer.Running.Epoch == 0:
		return a.Controller + " runs no program"
	case !a.Good():
		return fmt.Sprintf("%s runs %s of epoch %d, the design has %s", a.Controller, a.Answer.Running.Digest.Short(), a.Answer.Running.Epoch, a.Want.Short())
	}
	return fmt.Sprintf("%s runs %s of epoch %d, as designed", a.Controller, a.Want.Short(), a.Answer.Running.Epoch)
}

// Attest reads back what each controller runs, in the order of the plan.
func Attest(ctx context.Context, l *Link, tell Progress) []Attested {
	list := make([]Attested, len(l.plan.Controllers))
	ids := names(l.plan)
	var count counter
	_ = each(ids, func(id string) error { // each error stands in its line
		i := slices.Index(ids, id)
		a := &list[i]
		a.Controller, a.Want = id, l.plan.Controllers[i].Digest
		a.Answer, a.Err = l.Ask(ctx, id, wire.Ask{Ask: wire.AskAttest})
		tell.tell(Step{Act: "attest", Controller: id, Done: count.next(), All: len(ids), Err: a.Err})
		return a.Err
	})
	return list
}

// OneEpoch tells whether every controller of a list runs what it should, all of them the same epoch.
func OneEpoch(list []Attested) (epoch uint32, good bool) {
	for i := range list {
		if !list[i].Good() || (i > 0 && list[i].Answer.Running.Epoch != epoch) {
			return 0, false
		}
		epoch = list[i].Answer.Running.Epoch
	}
	return epoch, len(list) > 0
}

// LoadError says which controllers kept a load from being carried out, and what stands now.
type LoadError struct {
	Epoch    uint32
	Act      string // "stage" or "activate"
	Err      error  // of every controller that failed
	Rollback error  // of every controller that could not be rolled back: attest them when they answer again
}

// Error implements error.
func (e *LoadError) Error() string {
	s := fmt.Sprintf("epoch %d could not be %sd everywhere, and was rolled back: %s", e.Epoch, strings.TrimSuffix(e.Act, "e")+"e", e.Err)
	if e.Rollback != nil {
		s += fmt.Sprintf("; not rolled back, recover when they answer again: %s", e.Rollback)
	}
	return s
}

// Unwrap implements errors.Unwrap.
func (e *LoadError) Unwrap() error { return e.Err }

// Load puts the programs of the plan on all controllers, or on none: it stages everywhere, where each controller verifies
// the digest and that the program fits it, and then activates one new epoch everywhere. When any controller fails, the
// epoch is rolled back everywhere. A load that was broken off in between is finished or undone by Recover.
func Load(ctx context.Context, l *Link, tell Progress) (epoch uint32, err error) {
	standing := Attest(ctx, l, nil)
	for i := range standing {
		a := &standing[i].Answer
		epoch = max(epoch, a.Running.Epoch, a.Staged.Epoch, a.Previous.Epoch)
		err = errors.Join(err, standing[i].Err)
	}
	epoch++
	if err != nil {
		return 0, &LoadError{Epoch: epoch, Act: "stage", Err: err}
	}
	if err := l.SetPlace(ctx); err != nil {
		return 0, err
	}
	for _, act := range []string{"stage", "activate"} {
		if err := perform(ctx, l, act, epoch, tell); err != nil {
			// A load that was called off must still be undone, so the rollback has a time of its own.
			undo, cancel := context.WithTimeout(context.WithoutCancel(ctx), 3*askLimit)
			defer cancel()
			return 0, &LoadError{epoch, act, err, Rollback(undo, l, epoch, tell)}
		}
	}
	return epoch, nil
}

// perform does one act at all controllers.
func perform(ctx context.Context, l *Link, act string, epoch uint32, tell Progress) error {
	ids := names(l.plan)
	var count counter
	return each(ids, func(id string) error {
		c := l.plan.Controller(id)
		var err error
		if act == "stage" {
			err = stage(ctx, l, c, epoch)
		} else {
			_, err = l.Ask(ctx, id, wire.Ask{Ask: wire.AskActivate, Epoch: epoch, Digest: c.Digest})
		}
		tell.tell(Step{Act: act, Controller: id, Done: count.next(), All: len(ids), Err: err})
		return err
	})
}

// stage sends a program in chunks; the controller says after each how much it has.
func stage(ctx context.Context, l *Link, c *Controller, epoch uint32) error {
	for offset := 0; offset < len(c.Encoded); {
		chunk := c.Encoded[offset:min(offset+wire.ChunkMost, len(c.Encoded))]
		a, err := l.Ask(ctx, c.ID, wire.Ask{Ask: wire.AskStage, Epoch: epoch, Digest: c.Digest, Size: len(c.Encoded), Offset: offset, Data: chunk})
		if err != nil {
			return err
		}
		if a.Have <= offset {
			return fmt.Errorf("%s: stage: it has %d octets after %d were sent", c.ID, a.Have, offset+len(chunk))
		}
		offset = a.Have
	}
	return nil
}

// Rollback drops an epoch at every controller, staged or running, and tells those that did not answer.
func Rollback(ctx context.Context, l *Link, epoch uint32, tell Progress) error {
	ids := names(l.plan)
	var count counter
	return each(ids, func(id string) error {
		_, err := l.Ask(ctx, id, wire.Ask{Ask: wire.AskRollback, Epoch: epoch})
		tell.tell(Step{Act: "roll back", Controller: id, Done: count.next(), All: len(ids), Err: err})
		return err
	})
}

// Recovery is what Recover did.
type Recovery string

// What Recover does.
const (
	RecoveredNothing  Recovery = "nothing was to be done"
	RecoveredForward  Recovery = "the epoch was activated everywhere"
	RecoveredBackward Recovery = "the epoch was rolled back everywhere"
)

// Recover brings a house that was left between two epochs to one of them. Whatever the newest epoch is that anybody has:
// if every controller runs it or has it staged, it is activated everywhere; else it is rolled back everywhere. A staged
// epoch that nobody runs is dropped. All controllers must answer.
func Recover(ctx context.Context, l *Link, tell Progress) (Recovery, error) {
	standing := Attest(ctx, l, tell)
	newest, running, complete := uint32(0), false, true
	for i := range standing {
		if standing[i].Err != nil {
			return RecoveredNothing, standing[i].Err
		}
		a := &standing[i].Answer
		newest = max(newest, a.Running.Epoch, a.Staged.Epoch)
	}
	settled := true
	for i := range standing {
		a := &standing[i].Answer
		running = running || a.Running.Epoch == newest
		complete = complete && (a.Running.Epoch == newest || a.Staged.Epoch == newest)
		settled = settled && a.Running.Epoch == newest
	}
	switch {
	case newest == 0 || settled:
		return RecoveredNothing, nil
	case running && complete:
		return RecoveredForward, each(names(l.plan), func(id string) error {
			_, err := l.Ask(ctx, id, wire.Ask{Ask: wire.AskActivate, Epoch: newest})
			return err
		})
	}
	return RecoveredBackward, Rollback(ctx, l, newest, tell)
}

// names lists the controllers of a plan.
func names(p *Plan) []string {
	var list []string
	for i := range p.Controllers {
		list = append(list, p.Controllers[i].ID)
	}
	return list
}

// counter counts over goroutines.
type counter struct {
	mu sync.Mutex
	n  int
}

func (c *counter) next() int {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.n++
	return c.n
}

// AwaitAll waits until every controller of the plan is connected, and names those that are not when the time is over.
func AwaitAll(ctx context.Context, l *Link, limit time.Duration) error {
	ctx, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	var away []string
	if l.Until(ctx, func() bool {
		away = away[:0]
		for _, id := range names(l.plan) {
			if !l.Alive(id) {
				away = append(away, id)
			}
		}
		return len(away) == 0
	}) {
		return nil
	}
	return fmt.Errorf("not connected after %s: %s", limit, strings.Join(away, ", "))
}
