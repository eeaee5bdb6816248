// Package pause waits on behalf of what runs in the background, so that a wait ends when its work does.
package pause

import (
	"context"
	"time"
)

// For waits; false where ctx ended first.
func For(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return true
	case <-ctx.Done():
		return false
	}
}
