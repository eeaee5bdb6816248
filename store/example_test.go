package store_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"wirewright/house"
	"wirewright/store"
)

// Two people edit one job; the second one's edit was made on what is no longer the newest.
func Example() {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "job")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	noon := time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)
	job, err := store.Create(ctx, filepath.Join(dir, "house.job"), store.Options{Now: func() time.Time { return noon }})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer job.Close()

	lamp := house.Point{ID: "hall.lamp", Title: "Hall", Kind: house.Lamp}
	first, err := job.Commit(ctx, 0, []house.Change{{Kind: "point", ID: lamp.ID, After: lamp}},
		store.Meta{Who: "anna", Why: "add the hall lamp"})
	fmt.Println(first, err)

	renamed, dimmed := lamp, lamp
	renamed.Title = "Hall, above the stairs"
	dimmed.Load = &house.Load{Category: house.LED, Dimmed: true}
	_, err = job.Commit(ctx, first, []house.Change{{Kind: "point", ID: lamp.ID, Before: lamp, After: renamed}},
		store.Meta{Who: "ben", Why: "say which lamp"})
	fmt.Println(err)
	_, err = job.Commit(ctx, first, []house.Change{{Kind: "point", ID: lamp.ID, Before: lamp, After: dimmed}},
		store.Meta{Who: "anna", Why: "dim it"})
	var conflict *store.ConflictError
	if errors.As(err, &conflict) {
		fmt.Println(err)
	}

	if _, err := job.Undo(ctx, 2, store.Meta{Who: "ben"}); err != nil {
		fmt.Println(err)
	}
	log, err := job.Log(ctx)
	if err != nil {
		fmt.Println(err)
	}
	for _, e := range log {
		fmt.Println(e.Rev, e.Act, e.Meta.Who, e.Meta.Why)
	}
	// Output:
	// 1 <nil>
	// <nil>
	// the edit was made on revision 1, but revision 2 is the newest (by ben); both change point hall.lamp
	// 1 edit anna add the hall lamp
	// 2 edit ben say which lamp
	// 3 undo ben
}
