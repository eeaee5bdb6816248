// Command wirewright takes a house from survey to handover. Every verb is one call of package job: this package parses
// flags, calls, prints and maps errors to exit codes, and has no logic of its own.
//
// A run goes through run: the command line is parsed into one struct (command), the verb opens the job, calls it once and
// answers with a report, as lines for people or as JSON. Reports go to standard output and nothing else does; progress,
// mistakes and hints go to standard error.
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
	context.AfterFunc(ctx, stop) // a second Ctrl+C ends the program at once
	code := run(ctx, os.Args[1:], system())
	stop()
	os.Exit(code)
}
