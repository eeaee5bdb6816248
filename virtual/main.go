package virtual

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
)

// Verb is the hidden verb of the command line under which a software module runs.
const Verb = "virtual-module"

// greeting is the line by which a module's process says that it is there.
type greeting struct {
	Page string `json:"page"`
}

// memoryMost keeps each of many processes small: beyond it memory is given back sooner.
const memoryMost = 24 << 20

// Main is the body of a module's process: it reads its Config as one JSON value from standard input, says where its page
// is on standard output, and serves until standard input ends, which it does when the process that started it ends. It
// returns the exit code.
func Main(in io.Reader, out, fault io.Writer) int {
	debug.SetMemoryLimit(memoryMost)
	d := json.NewDecoder(in)
	var c Config
	if err := d.Decode(&c); err != nil {
		fmt.Fprintf(fault, "%s is started by wirewright itself: it reads its configuration from standard input (%v)\n", Verb, err)
		return 2
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	go func() {
		_, _ = io.Copy(io.Discard, io.MultiReader(d.Buffered(), in))
		cancel()
	}()
	err := Run(ctx, c, func(m *Module) { _ = json.NewEncoder(out).Encode(greeting{m.Page()}) })
	if err != nil && ctx.Err() == nil {
		fmt.Fprintln(fault, err)
		return 2
	}
	return 0
}
