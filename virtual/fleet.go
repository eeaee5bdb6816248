package virtual

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
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
	client  *http.Client
	members []*Member
}

// Member is one module of a fleet.
type Member struct {
	Config Config
	fleet  *Fleet

	mu    sync.Mutex
	page  string
	cmd   *exec.Cmd
	stdin io.Closer
	ended chan struct{} // closed when the process has ended
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
	f := &Fleet{o: o, client: &http.Client{Timeout: 10 * time.Second, Transport: &http.Transport{MaxIdleConnsPerHost: 4}}}
	f.ctx, f.cancel = context.WithCancel(ctx)
	for _, c := range o.Modules {
		c.Token = rand.Text()
		f.members = append(f.members, &Member{Config: c, fleet: f})
	}
	err := f.each(func(m *Member) error { return m.Start() })
	if err != nil {
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
}

// stop ends every process.
func (f *Fleet) stop() {
	_ = f.each(func(m *Member) error { m.Stop(); return nil })
	f.client.CloseIdleConnections()
}

// Start starts the process of a member that has none, with what it kept from before.
func (m *Member) Start() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.cmd != nil {
		return fmt.Errorf("module %s runs already", m.Config.Hardware)
	}
	command := m.fleet.o.Command
	cmd := exec.Command(command[0], command[1:]...)
	cmd.Env = append(os.Environ(), "GOMAXPROCS=1", "GOGC=50")
	cmd.Stderr = m.fleet.o.Fault
	apart(cmd)
	in, err1 := cmd.StdinPipe()
	out, err2 := cmd.StdoutPipe()
	if err := errors.Join(err1, err2); err != nil {
		return fmt.Errorf("module %s: %w", m.Config.Hardware, err)
	}
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("module %s: %w", m.Config.Hardware, err)
	}
	m.cmd, m.stdin, m.ended = cmd, in, make(chan struct{})
	ended := m.ended
	hello := make(chan greeting, 1)
	go func() {
		defer close(ended)
		var g greeting
		if json.NewDecoder(out).Decode(&g) == nil {
			hello <- g
		}
		_, _ = io.Copy(io.Discard, out)
		_ = cmd.Wait() // how it ended matters to nobody: that it ended does
	}()
	err := json.NewEncoder(in).Encode(m.Config)
	limit := time.NewTimer(startLimit)
	defer limit.Stop()
	if err == nil {
		select {
		case g := <-hello:
			m.page = g.Page
			return nil
		case <-ended:
			err = errors.New("its process ended at once")
		case <-limit.C:
			err = fmt.Errorf("its process was not there after %s", startLimit)
		case <-m.fleet.ctx.Done():
			err = m.fleet.ctx.Err()
		}
	}
	kill(cmd)
	<-ended
	m.cmd = nil
	return fmt.Errorf("module %s: %w", m.Config.Hardware, err)
}

// Stop ends the process in order, and by force when it does not end.
func (m *Member) Stop() {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.cmd == nil {
		return
	}
	m.stdin.Close()
	limit := time.NewTimer(stopLimit)
	defer limit.Stop()
	select {
	case <-m.ended:
	case <-limit.C:
		kill(m.cmd)
		<-m.ended
	}
	m.cmd = nil
}

// Kill ends the process at once, as a crash does.
func (m *Member) Kill() {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.cmd == nil {
		return
	}
	kill(m.cmd)
	<-m.ended
	m.stdin.Close()
	m.cmd = nil
}

// Page is the address of the module's page.
func (m *Member) Page() string {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.page
}
