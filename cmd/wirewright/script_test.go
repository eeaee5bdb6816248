package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// A script is a text of commands with what they print, as a person would see it: standard output is indented by two,
// standard error has "! " before it, an exit code that is not 0 stands in brackets. "# " begins a comment; "file NAME:"
// writes the indented lines below it into a file. After "|" a command may say what of its output is of interest: first N
// lines, or only those with a TEXT; "< FILE" and "> FILE" are standard input and output. A script whose first line says
// "(a process each)" runs the built program, the others run inside of the test with a clock that stands still.
func TestScripts(t *testing.T) {
	scripts, err := filepath.Glob(filepath.Join("testdata", "*.txt"))
	if err != nil || len(scripts) == 0 {
		t.Fatalf("no scripts: %v", err)
	}
	for _, path := range scripts {
		name := strings.TrimSuffix(filepath.Base(path), ".txt")
		if strings.HasPrefix(name, "golden-") {
			continue
		}
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			s := script{t: t}
			if head, _, _ := strings.Cut(string(text), "\n"); strings.Contains(head, "(a process each)") {
				if testing.Short() {
					t.Skip("builds and starts the program")
				}
				s.program = program(t)
			}
			bring(t)
			if s.dir, err = os.Getwd(); err != nil {
				t.Fatal(err)
			}
			golden(t, filepath.Join(home, path), s.play(string(text)))
		})
	}
}

// script plays one script.
type script struct {
	t       *testing.T
	dir     string
	program string // where each command is a process
}

// play runs the commands of a script and answers the script as it should be.
func (s *script) play(text string) string {
	var out strings.Builder
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	for i := 0; i < len(lines); i++ {
		line := lines[i]
		switch {
		case strings.HasPrefix(line, "#"):
			fmt.Fprintf(&out, "%s\n", line)
			if i+1 < len(lines) && !strings.HasPrefix(lines[i+1], "#") {
				out.WriteString("\n")
			}
		case strings.HasPrefix(line, "file "):
			name := strings.TrimSuffix(strings.TrimPrefix(line, "file "), ":")
			body := ""
			for i+1 < len(lines) && strings.HasPrefix(lines[i+1], "    ") {
				i++
				body += strings.TrimPrefix(lines[i], "    ") + "\n"
			}
			if err := os.WriteFile(name, []byte(body), 0o644); err != nil {
				s.t.Fatal(err)
			}
			fmt.Fprintf(&out, "%s\n%s\n", line, indented(body, "    "))
		case strings.HasPrefix(line, "$ "):
			fmt.Fprintf(&out, "%s\n%s\n", line, s.command(strings.TrimPrefix(line, "$ ")))
		}
	}
	return strings.TrimRight(out.String(), "\n") + "\n"
}

// command runs one command and answers what it printed.
func (s *script) command(line string) string {
	line, filter, _ := strings.Cut(line, " | ")
	words := splitWords(line)
	in, to := "", ""
	for n := len(words); n > 2; n = len(words) {
		if words[n-2] == ">" {
			to = words[n-1]
		} else if words[n-2] == "<" {
			in = read1(s.t, words[n-1])
		} else {
			break
		}
		words = words[:n-2]
	}
	var r said
	switch words[0] {
	case "wirewright":
		r = s.wirewright(in, words[1:])
	default:
		r = s.tool(words)
	}
	if to != "" {
		if err := os.WriteFile(to, []byte(r.out), 0o644); err != nil {
			s.t.Fatal(err)
		}
		r.out = ""
	}
	text := indented(filtered(s.t, s.plain(r.out), filter), "  ") + indented(s.plain(r.err), "! ")
	if r.code != 0 {
		text += fmt.Sprintf("[%d]\n", r.code)
	}
	return text
}

func (s *script) wirewright(in string, args []string) said {
	if s.program == "" {
		return here(s.t, in, args...)
	}
	c := exec.Command(s.program, append(args, "--who", "tester")...)
	var out, fault bytes.Buffer
	c.Stdin, c.Stdout, c.Stderr = strings.NewReader(in), &out, &fault
	err := c.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		s.t.Fatal(err)
	}
	return said{out.String(), fault.String(), c.ProcessState.ExitCode()}
}

// tool is what a script does besides: copy FILE FILE, tear FILE (cut it in half), replace FILE OLD NEW, list FOLDER,
// print FILE, remove FILE.
func (s *script) tool(words []string) said {
	t := s.t
	write := func(name, text string) {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	switch {
	case words[0] == "copy" && len(words) == 3:
		write(words[2], read1(t, words[1]))
	case words[0] == "tear" && len(words) == 2:
		text := read1(t, words[1])
		write(words[1], text[:len(text)/2])
	case words[0] == "replace" && len(words) == 4:
		text := read1(t, words[1])
		if !strings.Contains(text, words[2]) {
			t.Fatalf("%s does not hold %q", words[1], words[2])
		}
		write(words[1], strings.Replace(text, words[2], words[3], 1))
	case words[0] == "remove" && len(words) == 2:
		if err := os.Remove(words[1]); err != nil {
			t.Fatal(err)
		}
	case words[0] == "print" && len(words) == 2:
		return said{out: read1(t, words[1])}
	case words[0] == "list" && len(words) == 2:
		var out strings.Builder
		list, err := os.ReadDir(words[1])
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range list {
			fmt.Fprintln(&out, e.Name())
		}
		return said{out: out.String()}
	default:
		t.Fatalf("a script cannot %s", strings.Join(words, " "))
	}
	return said{}
}

func read1(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

var (
	aTime    = regexp.MustCompile(`\d{4}-\d\d-\d\d[ T]\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)?`)
	aDigest  = regexp.MustCompile(`\b[0-9a-f]{64}\b`)
	aSeconds = regexp.MustCompile(`\b\d+\.\d\d s\b`)
)

// plain takes out of a text what differs from run to run.
func (s *script) plain(text string) string {
	text = strings.ReplaceAll(text, s.dir, "DIR")
	text = aDigest.ReplaceAllString(text, "DIGEST")
	if s.program != "" {
		text = aSeconds.ReplaceAllString(aTime.ReplaceAllString(text, "TIME"), "SECONDS")
	}
	return text
}

// filtered keeps what a script is interested in.
func filtered(t *testing.T, text, filter string) string {
	if filter == "" {
		return text
	}
	how, what, _ := strings.Cut(filter, " ")
	lines := strings.SplitAfter(text, "\n")
	kept := ""
	for i, l := range lines {
		n, err := strconv.Atoi(what)
		switch {
		case how == "first" && err == nil:
			if i < n {
				kept += l
			}
		case how == "only":
			if strings.Contains(l, what) {
				kept += l
			}
		default:
			t.Fatalf("a script cannot filter by %q", filter)
		}
	}
	return kept
}

// indented puts something before each line.
func indented(text, before string) string {
	if text == "" {
		return ""
	}
	out := ""
	for l := range strings.Lines(text) {
		out += strings.TrimRight(before+l, " \n") + "\n"
	}
	return out
}

// splitWords splits a command line as a shell does, with both quotation marks and nothing more.
func splitWords(line string) []string {
	var words []string
	var word strings.Builder
	quote, begun := rune(0), false
	for _, r := range line {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote == 0 && (r == '\'' || r == '"'):
			quote, begun = r, true
		case quote == 0 && r == ' ':
			if begun {
				words = append(words, word.String())
			}
			word.Reset()
			begun = false
		default:
			word.WriteRune(r)
			begun = true
		}
	}
	if begun {
		words = append(words, word.String())
	}
	return words
}

func TestSplitWords(t *testing.T) {
	got := splitWords(`a 'b c' "d's" --e=""  f`)
	if want := []string{"a", "b c", "d's", "--e=", "f"}; fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
