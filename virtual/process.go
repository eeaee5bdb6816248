package virtual

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"sync"
	"time"
)

// process is one running process of a module, and the line to its bench: requests go to its standard input, answers and
// news come from its standard output.
type process struct {
	fleet *Fleet
	cmd   *exec.Cmd
	in    io.WriteCloser
	page  string
	ended chan struct{} // closed when the process has ended

	write sync.Mutex // one request is written at a time

	mu     sync.Mutex
	number uint64
	asked  map[uint64]chan reply
	last   Look // what was last seen
}

// begin starts a process and waits until it says where its page is.
func begin(f *Fleet, c Config) (*process, error) {
	cmd := exec.Command(f.o.Command[0], f.o.Command[1:]...)
	cmd.Env = append(os.Environ(), "GOMAXPROCS=1", "GOGC=50")
	cmd.Stderr = f.o.Fault
	apart(cmd)
	in, err1 := cmd.StdinPipe()
	out, err2 := cmd.StdoutPipe()
	if err := errors.Join(err1, err2); err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	p := &process{fleet: f, cmd: cmd, in: in, ended: make(chan struct{}), asked: map[uint64]chan reply{}}
	hello := make(chan reply, 1)
	go p.hear(json.NewDecoder(out), hello)
	err := json.NewEncoder(in).Encode(c)
	limit := time.NewTimer(startLimit)
	defer limit.Stop()
	if err == nil {
		select {
		case r := <-hello:
			p.page = r.Page
			return p, nil
		case <-p.ended:
			err = errors.New("its process ended at once")
		case <-limit.C:
			err = fmt.Errorf("its process was not there after %s", startLimit)
		case <-f.ctx.Done():
			err = f.ctx.Err()
		}
	}
	p.kill()
	return nil, err
}

// hear takes what the process says until it ends.
func (p *process) hear(d *json.Decoder, hello chan<- reply) {
	for {
		var r reply
		if d.Decode(&r) != nil {
			break
		}
		switch {
		case r.Page != "":
			hello <- r
		default:
			p.take(r)
		}
	}
	_ = p.cmd.Wait() // how it ended matters to nobody: that it ended does
	p.mu.Lock()
	p.last = Look{}
	p.mu.Unlock()
	close(p.ended)
	p.fleet.told()
}

// take keeps what was seen, and hands an answer to whoever asked. Of two reports the newer is kept: news may overtake an
// answer.
func (p *process) take(r reply) {
	p.mu.Lock()
	if l := r.Look; l != nil {
		last := p.last
		if r.Number == 0 {
			next := last
			next.Report, next.Wound, next.AtRest = l.Report, l.Wound, l.AtRest
			p.last = next
		} else {
			p.last = *l
			p.last.Readings = nil
		}
		if a, b := last.Report, l.Report; a != nil && b != nil && a.Session == b.Session && a.Version > b.Version {
			p.last.Report, p.last.Wound, p.last.AtRest = last.Report, last.Wound, last.AtRest
		}
	}
	asked := p.asked[r.Number]
	delete(p.asked, r.Number)
	p.mu.Unlock()
	if asked != nil {
		asked <- r
	}
	p.fleet.told()
}

// seen is what was last seen of the module.
func (p *process) seen() Look {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.last
}

// actLimit bounds one act at the bench.
const actLimit = 10 * time.Second

// act does something at the bench and waits for the answer.
func (p *process) act(ctx context.Context, h handRequest) (Look, error) {
	ctx, cancel := context.WithTimeout(ctx, actLimit)
	defer cancel()
	answer := make(chan reply, 1)
	p.mu.Lock()
	p.number++
	q := request{p.number, h}
	p.asked[q.Number] = answer
	p.mu.Unlock()
	b, err := json.Marshal(q)
	if err == nil {
		p.write.Lock()
		_, err = p.in.Write(append(b, '\n'))
		p.write.Unlock()
	}
	if err != nil {
		return Look{}, fmt.Errorf("%s: %w", h.Act, err)
	}
	select {
	case r := <-answer:
		if r.Error != "" {
			return Look{}, fmt.Errorf("%s: %s", h.Act, r.Error)
		}
		return *r.Look, nil
	case <-p.ended:
		return Look{}, fmt.Errorf("%s: its process has ended", h.Act)
	case <-ctx.Done():
		return Look{}, fmt.Errorf("%s: %w", h.Act, ctx.Err())
	}
}

// stop ends the process in order, and by force when it does not end.
func (p *process) stop() {
	p.in.Close()
	limit := time.NewTimer(stopLimit)
	defer limit.Stop()
	select {
	case <-p.ended:
	case <-limit.C:
		p.kill()
	}
}

// kill ends the process at once.
func (p *process) kill() {
	kill(p.cmd)
	<-p.ended
	p.in.Close()
}
