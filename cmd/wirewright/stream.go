package main

import (
	"fmt"
	"io"
	"os"
	"os/user"
	"strings"
	"time"

	"github.com/fatih/color"
	"github.com/mattn/go-isatty"
)

// streams are where a run reads and writes, and what it may assume of them.
type streams struct {
	in       io.Reader
	out, err io.Writer
	live     bool // err is a terminal: progress may overwrite its line
	colour   bool // out is a terminal that may be coloured
	json     bool
	now      func() time.Time
	user     func() string

	texts map[string]string // texts that mistakes are told about, by name
	stage string            // of the progress that was told last
	shown bool              // a line of progress stands on the terminal
}

// system are the streams of the process. Each of the two outputs is asked by itself whether it is a terminal; NO_COLOR
// (no-color.org) and a terminal that can do nothing turn colour off.
func system() *streams {
	plain := os.Getenv("NO_COLOR") != "" || os.Getenv("TERM") == "dumb"
	return &streams{in: os.Stdin, out: os.Stdout, err: os.Stderr, now: time.Now, user: userName,
		live: isatty.IsTerminal(os.Stderr.Fd()) && os.Getenv("TERM") != "dumb", colour: isatty.IsTerminal(os.Stdout.Fd()) && !plain}
}

// userName is the name of whoever runs the program.
func userName() string {
	if u, err := user.Current(); err == nil && u.Username != "" {
		return u.Username
	}
	return "somebody"
}

// note keeps a text at hand, so that a mistake in it can be shown with its line.
func (s *streams) note(name, text string) {
	if s.texts == nil {
		s.texts = map[string]string{}
	}
	s.texts[name] = text
}

// say prints lines for people; nothing where JSON was asked for.
func (s *streams) say(lines ...string) {
	if s.json {
		return
	}
	s.progressDone()
	for _, l := range lines {
		fmt.Fprintln(s.out, l)
	}
}

// text prints a text as it is.
func (s *streams) text(t string) error {
	s.progressDone()
	_, err := io.WriteString(s.out, t)
	return err
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

// verdict paints the one word that sums a stage up.
func (s *streams) verdict(good bool) string {
	if good {
		return s.paint(color.FgGreen, "good")
	}
	return s.paint(color.FgRed, "faults")
}

// severity paints the word that a line about a finding begins with.
func (s *streams) severity(line string) string {
	word, rest, ok := strings.Cut(strings.TrimLeft(line, " "), "  ")
	colours := map[string]color.Attribute{"fault": color.FgRed, "caution": color.FgYellow, "remark": color.FgCyan}
	a, known := colours[word]
	if !ok || !known {
		return line
	}
	return line[:strings.Index(line, word)] + s.paint(a, word) + "  " + rest
}

// progressMost is how many characters of progress a terminal shows: one line of an ordinary one.
const progressMost = 79

// progress tells how far a long stage is: on a terminal as one line that overwrites itself, elsewhere as one plain line
// at the beginning of a stage. It goes to standard error, so that the answer stays clean.
func (s *streams) progress(stage, text string) {
	if !s.live {
		if stage != s.stage && !s.json {
			fmt.Fprintln(s.err, stage+" …")
		}
		s.stage = stage
		return
	}
	r := []rune(stage + "  " + text)
	if len(r) > progressMost {
		r = append(r[:progressMost-1], '…')
	}
	fmt.Fprintf(s.err, "\r\x1b[K%s", string(r))
	s.shown = true
}

// progressDone clears the line of progress.
func (s *streams) progressDone() {
	if s.shown {
		fmt.Fprint(s.err, "\r\x1b[K")
		s.shown = false
	}
}
