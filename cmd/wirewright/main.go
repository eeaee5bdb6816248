// Command wirewright takes a house from survey to handover. Every verb is one call of package job: this package parses
// flags, calls, prints and maps errors to exit codes, and has no logic of its own.
//
// Exit codes: 0 good, 1 faults were found (or tests failed), 2 it could not be done, with the reason on standard error.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	code := run(ctx, os.Args[1:], system())
	stop()
	os.Exit(code)
}
