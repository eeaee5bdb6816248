package virtual

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sync"
	"time"
)

// Times within which a module's process must be there, and gone.
const (
	startLimit = 10 * time.Second
	stopLimit  = 3 * time.Second
)

// FleetOptions is how software modules are started.
type FleetOptions struct {
	Modules []Config // tokens are made by the fleet
	Command []string // program and arguments of a module's process; this program with Verb where empty
	Fault   io.Writer
}

// Fleet is a number of software modules in processes of their own, and the hands and eyes of a person at each.
type Fleet struct {
	o       FleetOptions
	ctx     context.Context
	cancel  context.CancelFunc
	dir     string // of the clock
	clock   *benchClock
	members []*Member

	mu   sync.Mutex
	news chan struct{} // closed and renewed whenever a module tells something
}

// Member is one module of a fleet.
type Member struct {
	Config Config
	fleet  *Fleet

	mu      sync.Mutex // held while the process is started or ended
	process *process   // nil where there is none
	page    string
}

// Launch starts all modules at once. When one does not start, none stays.
func Launch(ctx context.Context, o FleetOptions) (*Fleet, error) {
	if len(o.Command) == 0 {
		self, err := os.Executable()
		if err != nil {
			return nil, fmt.Errorf("software modules: %w", err)
		}
		o.Command = []string{self, Verb}
	}
	if o.Fault == nil {
		o.Fault = io.Discard
	}
	f := &Fleet{o: o, news: make(chan struct{})}
	var err error
	if f.dir, err = os.MkdirTemp("", "wirewright-bench-"); err != nil {
		return nil, fmt.Errorf("software modules: %w", err)
	}
	if f.clock, err = newBenchClock(filepath.Join(f.dir, "clock")); err != nil {
		os.RemoveAll(f.dir)
		return nil, err
	}
	f.ctx, f.cancel = context.WithCancel(ctx)
	for _, c := range o.Modules {
		c.Token, c.Clock = rand.Text(), filepath.Join(f.dir, "clock")
		f.members = append(f.members, &Member{Config: c, fleet: f})
	}
	if err := f.each(func(m *Member) error { return m.Start() }); err != nil {
		f.Close()
		return nil, err
	}
	context.AfterFunc(f.ctx, f.stop)
	return f, nil
}

// Members lists the modules in the order in which they were given.
func (f *Fleet) Members() []*Member { return f.members }

// each does something with every member at once and tells all that failed.
func (f *Fleet) each(do func(*Member) error) error {
	errs := make([]error, len(f.members))
	var all sync.WaitGroup
	for i, m := range f.members {
		all.Go(func() { errs[i] = do(m) })
	}
	all.Wait()
	return errors.Join(errs...)
}

// Close ends every process and waits until all are gone.
func (f *Fleet) Close() {
	f.cancel()
	f.stop()
	f.clock.close()
	os.RemoveAll(f.dir)
}

// stop ends every process.
func (f *Fleet) stop() {
	_ = f.each(func(m *Member) error { m.Stop(); return nil })
}

// told wakes whoever waits for news.
func (f *Fleet) told() {
	f.mu.Lock()
	defer f.mu.Unlock()
	close(f.news)
	f.news = make(chan struct{})
}

// next is closed when the next news comes.
func (f *Fleet) next() <-chan struct{} {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.news
}

// Start starts the process of a member that has none, with what it kept from before.
func (m *Member) Start() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.process != nil {
		return fmt.Errorf("module %s runs already", m.Config.Hardware)
	}
	p, err := begin(m.fleet, m.Config)
	if err != nil {
		return fmt.Errorf("module %s: %w", m.Config.Hardware, err)
	}
	m.process, m.page = p, p.page
	return nil
}

// Stop ends the process in order, and by force when it does not end.
func (m *Member) Stop() {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.process != nil {
		m.process.stop()
		m.process = nil
	}
}

// Kill ends the process at once, as a crash does.
func (m *Member) Kill() {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.process != nil {
		m.process.kill()
		m.process = nil
	}
}

// Page is the address of the module's page.
func (m *Member) Page() string {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.page
}

// running is the process of the member, nil where there is none.
func (m *Member) running() *process {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.process
}
