package virtual

import (
	"encoding/binary"
	"fmt"
	"os"
	"time"

	"wirewright/site/agent"
)

// clock is the clock of a module, with the hands by which the bench winds and sets it.
type clock interface {
	agent.Clock
	Wind(d time.Duration)
	Set(t time.Time)
	Wound() time.Duration
}

// benchClock is one clock for all modules of a bench: how far it is wound and how far the house is ahead of the machine
// stand in a file that all read whenever they look at the time. So the whole house is wound in one stroke, however many
// modules it has.
type benchClock struct {
	file  *os.File
	start time.Time // with the machine's monotonic reading
}

// The file holds two numbers and their exclusive or, by which a reader knows a half-written one.
const clockSize = 24

// newBenchClock makes the file of a bench.
func newBenchClock(path string) (*benchClock, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return nil, fmt.Errorf("clock of the bench: %w", err)
	}
	c := &benchClock{f, time.Now()}
	return c, c.write(0, 0)
}

// openBenchClock opens the clock of a bench in a module.
func openBenchClock(path string) (*benchClock, error) {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return nil, fmt.Errorf("clock of the bench: %w", err)
	}
	return &benchClock{f, time.Now()}, nil
}

// read returns how far the clock is wound, and how far the house is ahead of the machine.
func (c *benchClock) read() (wound, ahead time.Duration) {
	var b [clockSize]byte
	for range 1000 {
		if _, err := c.file.ReadAt(b[:], 0); err != nil {
			return 0, 0
		}
		x, y := binary.LittleEndian.Uint64(b[:]), binary.LittleEndian.Uint64(b[8:])
		if x^y == binary.LittleEndian.Uint64(b[16:]) {
			return time.Duration(x), time.Duration(y)
		}
	}
	return 0, 0
}

// write sets both.
func (c *benchClock) write(wound, ahead time.Duration) error {
	var b [clockSize]byte
	binary.LittleEndian.PutUint64(b[:], uint64(wound))
	binary.LittleEndian.PutUint64(b[8:], uint64(ahead))
	binary.LittleEndian.PutUint64(b[16:], uint64(wound)^uint64(ahead))
	if _, err := c.file.WriteAt(b[:], 0); err != nil {
		return fmt.Errorf("clock of the bench: %w", err)
	}
	return nil
}

// Elapsed implements agent.Clock.
func (c *benchClock) Elapsed() time.Duration {
	wound, _ := c.read()
	return time.Since(c.start) + wound
}

// Wall implements agent.Clock.
func (c *benchClock) Wall() time.Time {
	_, ahead := c.read()
	return time.Now().Round(0).Add(ahead)
}

// Wound is how far the clock is wound in all.
func (c *benchClock) Wound() time.Duration {
	wound, _ := c.read()
	return wound
}

// Wind lets time pass at once, for everybody.
func (c *benchClock) Wind(d time.Duration) {
	wound, ahead := c.read()
	_ = c.write(wound+max(0, d), ahead+max(0, d)) // a file that cannot be written leaves the time as it is
}

// Set sets the time of the house, for everybody.
func (c *benchClock) Set(t time.Time) {
	wound, _ := c.read()
	_ = c.write(wound, time.Until(t.Round(0)))
}

// close closes the file.
func (c *benchClock) close() { c.file.Close() }
