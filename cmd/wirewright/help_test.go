package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// model is the command line as it is parsed.
func model(t *testing.T) *kong.Application {
	t.Helper()
	var c command
	return parser(&c, &streams{out: &bytes.Buffer{}, err: &bytes.Buffer{}}, func(int) {}).Model
}

// parses tells whether a command line is a right one, without running it.
func parses(line string) error {
	var c command
	p := parser(&c, &streams{out: &bytes.Buffer{}, err: &bytes.Buffer{}}, func(int) {})
	words := splitWords(line)
	for i, w := range words {
		if w == ">" || w == "|" || w == "<" || w == "&&" || strings.HasPrefix(w, "#") {
			words = words[:i]
			break
		}
	}
	if len(words) == 0 || words[0] != "wirewright" {
		return fmt.Errorf("%q is no call of wirewright", line)
	}
	_, err := p.Parse(words[1:])
	return err
}

// examples are the commands that the help of a verb shows.
func examples(n *kong.Node) []string {
	var list []string
	for line := range strings.Lines(n.Detail) {
		if strings.HasPrefix(line, "  wirewright ") {
			list = append(list, strings.TrimSpace(line))
		}
	}
	return list
}

func TestHelpOfEveryVerbShowsAnExampleThatParses(t *testing.T) {
	for _, n := range model(t).Children {
		if n.Hidden {
			continue
		}
		s := here(t, "", n.Name, "--help")
		if s.code != codeGood || s.err != "" {
			t.Errorf("%s --help: exit code %d, %s", n.Name, s.code, s.err)
		}
		list := examples(n)
		if len(list) == 0 {
			t.Errorf("%s: the help shows no example", n.Name)
		}
		for _, e := range list {
			if err := parses(e); err != nil {
				t.Errorf("%s: the example %q: %v", n.Name, e, err)
			}
			if got := splitWords(e)[1]; got != n.Name {
				t.Errorf("%s: the example %q is of another verb", n.Name, e)
			}
			if !strings.Contains(s.out, e) {
				t.Errorf("%s --help does not print its example %q:\n%s", n.Name, e, s.out)
			}
		}
		if n.Help == "" || !strings.HasSuffix(n.Help, ".") {
			t.Errorf("%s: %q is no sentence", n.Name, n.Help)
		}
	}
}

func TestHelpTellsEveryFlagAndArgument(t *testing.T) {
	for _, n := range model(t).Children {
		for _, f := range n.Flags {
			if f.Help == "" {
				t.Errorf("%s --%s: nothing is said about it", n.Name, f.Name)
			}
		}
		for _, p := range n.Positional {
			if p.Help == "" {
				t.Errorf("%s <%s>: nothing is said about it", n.Name, p.Name)
			}
		}
	}
}

func TestNoArgumentsShowTheVerbs(t *testing.T) {
	s := here(t, "")
	if s.code != codeGood {
		t.Errorf("exit code %d", s.code)
	}
	for _, n := range model(t).Children {
		if shown := strings.Contains(s.out, "\n  "+n.Name+" "); shown == n.Hidden {
			t.Errorf("%s: shown %v", n.Name, shown)
		}
	}
}

// calls finds the commands in a text: after a prompt, at the beginning of a line of a code block, in code marks, and
// after "next:" and the like.
var calls = regexp.MustCompile("(?m)(?:^\\$ |^\\s*(?:\\./)?|`|next: |, or |see what happens: |repeat with: )(wirewright [a-z]+[^`\n]*)")

// What the papers of the repository tell people to type, and what the program itself says comes next, has to parse.
func TestCommandsThatAreToldParse(t *testing.T) {
	root := filepath.Join("..", "..")
	var files []string
	for _, pattern := range []string{"*.md", "docs/*.md", "cmd/wirewright/testdata/*.txt"} {
		list, err := filepath.Glob(filepath.Join(root, pattern))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, list...)
	}
	verbs, told := map[string]bool{}, 0
	for _, n := range model(t).Children {
		verbs[n.Name] = true
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range calls.FindAllStringSubmatch(string(b), -1) {
			line, _, _ := strings.Cut(m[1], ", or ")
			line = strings.TrimSuffix(line, " (a process each)")
			words := splitWords(line)
			if named := strings.HasPrefix(m[0], "`") && len(words) == 2; named || !verbs[words[1]] && !strings.HasPrefix(m[0], "$ ") {
				continue // prose that names a verb, or says something about wirewright
			}
			if strings.HasPrefix(m[0], "$ ") && filepath.Base(name) == "fault.txt" {
				continue // wrong on purpose
			}
			told++
			if err := parses(line); err != nil && !meant(name, line) {
				t.Errorf("%s: %q: %v", name, line, err)
			}
		}
	}
	if told < 60 {
		t.Errorf("only %d commands were found", told)
	}
}

// meant are the calls in scripts that are wrong on purpose.
func meant(name, line string) bool {
	return filepath.Base(name) == "record.txt" && strings.HasSuffix(line, " last")
}
