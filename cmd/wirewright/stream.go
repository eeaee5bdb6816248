package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"

	"github.com/fatih/color"
	"github.com/mattn/go-isatty"
)

// streams are where a run reads and writes, and what it may assume of them.
type streams struct {
	in       io.Reader
	out, err io.Writer
	terminal bool // out is a terminal: progress may overwrite its line
	colour   bool
	json     bool
	env      func(string) string
}

func system() *streams {
	tty := isatty.IsTerminal(os.Stdout.Fd())
	return &streams{in: os.Stdin, out: os.Stdout, err: os.Stderr, terminal: tty, colour: tty && os.Getenv("NO_COLOR") == "", env: os.Getenv}
}

// say prints lines for people; nothing where JSON was asked for.
func (s *streams) say(lines ...string) {
	if s.json {
		return
	}
	for _, l := range lines {
		fmt.Fprintln(s.out, l)
	}
}

// heading prints a line in bold where that is possible.
func (s *streams) heading(text string) {
	if s.json {
		return
	}
	fmt.Fprintln(s.out, s.paint(color.Bold, text))
}

func (s *streams) paint(a color.Attribute, text string) string {
	c := color.New(a)
	if s.colour {
		c.EnableColor()
	} else {
		c.DisableColor()
	}
	return c.Sprint(text)
}

// answer prints a report: lines for people, or the value as JSON.
func (s *streams) answer(report interface{ Lines() []string }) error {
	if s.json {
		e := json.NewEncoder(s.out)
		e.SetIndent("", "  ")
		return e.Encode(report)
	}
	s.say(report.Lines()...)
	return nil
}

// progress shows one line that overwrites itself on a terminal, and nothing elsewhere: long runs print a plain line a
// stage anyway.
func (s *streams) progress(text string) {
	if s.terminal && !s.json {
		const width = 100
		r := []rune(text)
		if len(r) > width {
			r = append(r[:width-1], '…')
		}
		fmt.Fprintf(s.out, "\r\033[K%s", string(r))
	}
}

func (s *streams) progressDone() {
	if s.terminal && !s.json {
		fmt.Fprint(s.out, "\r\033[K")
	}
}
