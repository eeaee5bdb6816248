package agent

import (
	"sync"
	"time"
)

// Clock is the time of a controller.
type Clock interface {
	// Elapsed is the time since the clock was started; it never goes back.
	Elapsed() time.Duration
	// Wall is the time of the house.
	Wall() time.Time
}

// WoundClock is a clock that runs with the machine's and can be wound on and set. It is safe for concurrent use.
type WoundClock struct {
	mu    sync.Mutex
	start time.Time     // with the machine's monotonic reading
	wound time.Duration // added to what has passed
	wall  time.Time     // time of the house at start + wound = 0
}

// NewClock starts a clock that shows the machine's time.
func NewClock() *WoundClock {
	now := time.Now()
	return &WoundClock{start: now, wall: now.Round(0)}
}

// Elapsed implements Clock.
func (c *WoundClock) Elapsed() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	return time.Since(c.start) + c.wound
}

// Wall implements Clock.
func (c *WoundClock) Wall() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.wall.Add(time.Since(c.start) + c.wound)
}

// Wind lets time pass at once.
func (c *WoundClock) Wind(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.wound += max(0, d)
}

// Wound is how far the clock is wound in all.
func (c *WoundClock) Wound() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.wound
}

// Set sets the time of the house; what has elapsed stays.
func (c *WoundClock) Set(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.wall = t.Add(-(time.Since(c.start) + c.wound))
}
