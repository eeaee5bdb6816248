package virtual

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"sync"
	"syscall"
)

// Verb is the hidden verb of the command line under which a software module runs.
const Verb = "virtual-module"

// request is one line of standard input after the first: an act at the bench, with a number by which its answer is known.
type request struct {
	Number uint64 `json:"number"`
	handRequest
}

// reply is one line of standard output: where the page is (the first), the answer to a request, or, with number 0, news.
type reply struct {
	Number uint64 `json:"number,omitempty"`
	Page   string `json:"page,omitempty"`
	Error  string `json:"error,omitempty"`
	Look   *Look  `json:"look,omitempty"`
}

// memoryMost keeps each of many processes small: beyond it memory is given back sooner. lineMost bounds a request.
const (
	memoryMost = 24 << 20
	lineMost   = 1 << 20
)

// Main is the body of a module's process. It reads its Config as one line of JSON from standard input and says where its
// page is on standard output. From then on each line of input is something done at the bench, and is answered; what changes
// is told without being asked. It serves until standard input ends, which it does when the process that started it ends.
// It returns the exit code.
func Main(in io.Reader, out, fault io.Writer) int {
	debug.SetMemoryLimit(memoryMost)
	lines := bufio.NewScanner(in)
	lines.Buffer(nil, lineMost)
	var c Config
	if !lines.Scan() || json.Unmarshal(lines.Bytes(), &c) != nil {
		fmt.Fprintf(fault, "%s is started by wirewright itself: it reads its configuration from standard input\n", Verb)
		return 2
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	say := speaker(out)
	m, err := start(ctx, c, func(l Look) { say(reply{Look: &l}) })
	if err != nil {
		fmt.Fprintln(fault, err)
		return 2
	}
	err = m.run(ctx, func(m *Module) {
		say(reply{Page: m.Page()})
		go func() {
			defer cancel()
			m.obey(lines, say)
		}()
	})
	if err != nil && ctx.Err() == nil {
		fmt.Fprintln(fault, err)
		return 2
	}
	return 0
}

// speaker writes replies, one at a time.
func speaker(out io.Writer) func(reply) {
	var mu sync.Mutex
	e := json.NewEncoder(out)
	return func(r reply) {
		mu.Lock()
		defer mu.Unlock()
		_ = e.Encode(r) // nobody reads: the input ends too
	}
}

// obey does what the bench asks, line by line, until there is no more.
func (m *Module) obey(lines *bufio.Scanner, say func(reply)) {
	for lines.Scan() {
		var q request
		r := reply{}
		if err := json.Unmarshal(lines.Bytes(), &q); err != nil {
			r.Error = err.Error()
		} else if l, err := m.do(q.handRequest); err != nil {
			r.Error = err.Error()
		} else {
			r.Look = &l
		}
		r.Number = q.Number
		say(r)
	}
}
