package job

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"wirewright/examples"
)

// programmed makes a job of the house at the weir with modules and behaviour.
func programmed(t *testing.T) *Job {
	t.Helper()
	ctx := context.Background()
	j := begun(t)
	if _, err := j.ReadHouse(ctx, "house.yaml", examples.WeirHouse, "survey"); err != nil {
		t.Fatal(err)
	}
	if _, err := j.SetTexts(ctx, examples.WeirBehaviour, examples.WeirAcceptance, "write"); err != nil {
		t.Fatal(err)
	}
	if _, err := j.Allot(ctx, 0); err != nil {
		t.Fatal(err)
	}
	return j
}

// One test tried again does not make the others untried; words that choose nothing are a mistake, with the nearest name.
func TestATrialOfOneTestKeepsTheOthers(t *testing.T) {
	ctx := context.Background()
	j := programmed(t)
	one, err := j.Rehearse(ctx, RehearseOptions{Seed: 1, Only: []string{"awning"}})
	if err != nil || len(one.Results) == 0 {
		t.Fatalf("%+v, %v", one, err)
	}
	kept := func() int {
		var got Trial
		if ok, err := j.load(ctx, "rehearse", one.Rev, &got); !ok || err != nil {
			t.Fatal(err)
		}
		return len(got.Results)
	}
	if kept() != len(one.Results) {
		t.Errorf("%d of %d results were kept", kept(), len(one.Results))
	}
	all, err := j.Rehearse(ctx, RehearseOptions{Seed: 1})
	if err != nil || len(all.Results) <= len(one.Results) {
		t.Fatalf("%d results, %v", len(all.Results), err)
	}
	name := all.Results[len(all.Results)-1].Test
	last, err := j.Rehearse(ctx, RehearseOptions{Seed: 1, Test: name, Story: true})
	if err != nil || len(last.Results) != 1 || last.Results[0].Test != name || !strings.Contains(last.Story, "pressed") {
		t.Errorf("%+v, %v", last, err)
	}
	if kept() != len(all.Results) {
		t.Errorf("after one test alone %d of %d results are kept", kept(), len(all.Results))
	}
	var own *Error
	if _, err := j.Rehearse(ctx, RehearseOptions{Test: name[:len(name)-1]}); !errors.As(err, &own) || own.Kind != Missing || !strings.Contains(own.Hint, name) {
		t.Errorf("a misspelt name: %v", err)
	}
	if _, err := j.Rehearse(ctx, RehearseOptions{Only: []string{"no such words"}}); KindOf(err) != Missing {
		t.Errorf("words that choose nothing: %v", err)
	}
}

// Random days end when the context does, and leave nothing behind.
func TestRandomDaysCanBeStopped(t *testing.T) {
	j := programmed(t)
	ctx, stop := context.WithCancel(context.Background())
	days := 0
	j.opt.Progress = func(p Progress) {
		if p.Text == "days lived" {
			if days = p.Done; days == 1 {
				stop()
			}
		}
	}
	begun := time.Now()
	if _, err := j.Rehearse(ctx, RehearseOptions{Seed: 1, Days: 3660}); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	if days != 1 || time.Since(begun) > time.Minute {
		t.Errorf("%d days in %v", days, time.Since(begun))
	}
	var kept Trial
	if ok, err := j.load(context.Background(), "rehearse", 3, &kept); ok || err != nil {
		t.Errorf("a trial was kept: %v", err)
	}
}
