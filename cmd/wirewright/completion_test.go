package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wirewright/job"
)

// shell finds a shell, or skips the test.
func shell(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed", name)
	}
	return path
}

// script writes the completion script of a shell into a file.
func completionFile(t *testing.T, name string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "completion")
	if err := os.WriteFile(path, []byte(good(t, "completion", name)), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// The shell itself says whether its script is well formed.
func TestCompletionScriptsAreWellFormed(t *testing.T) {
	for _, name := range []string{"bash", "zsh", "fish"} {
		t.Run(name, func(t *testing.T) {
			path := completionFile(t, name)
			if out, err := exec.Command(shell(t, name), "-n", path).CombinedOutput(); err != nil {
				t.Errorf("%v: %s", err, out)
			}
		})
	}
}

// completed asks bash what it offers for a command line that is typed so far.
func completed(t *testing.T, words ...string) []string {
	t.Helper()
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = single(w)
	}
	ask := "source " + single(completionFile(t, "bash")) + "\nCOMP_WORDS=(" + strings.Join(quoted, " ") + ")\nCOMP_CWORD=$((${#COMP_WORDS[@]} - 1))\n" +
		"_wirewright\nprintf '%s\\n' \"${COMPREPLY[@]}\"\n"
	out, err := exec.Command(shell(t, "bash"), "-c", ask).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return strings.Fields(string(out))
}

func TestBashOffersVerbsFlagsAndNames(t *testing.T) {
	for _, c := range []struct {
		typed []string
		want  []string
	}{
		{[]string{"wirewright", "re"}, []string{"rehearse"}},
		{[]string{"wirewright", "co"}, []string{"commission", "completion"}},
		{[]string{"wirewright", "prove", "a.wirewright", "--st"}, []string{"--states"}},
		{[]string{"wirewright", "allot", "--dry"}, []string{"--dry-run"}},
		{[]string{"wirewright", "completion", ""}, []string{"bash", "zsh", "fish"}},
		{[]string{"wirewright", "schema", "c"}, []string{"catalogue"}},
		{[]string{"wirewright", "explain", "bus/too-l"}, []string{"bus/too-long"}},
		{[]string{"wirewright", "rehearse", "--seed", ""}, nil},
		{[]string{"wirewright", "virtual"}, nil},
	} {
		if got := completed(t, c.typed...); !slices.Equal(got, c.want) {
			t.Errorf("%q: offered %q, want %q", c.typed, got, c.want)
		}
	}
}

func TestFishOffersVerbsFlagsAndNames(t *testing.T) {
	path := completionFile(t, "fish")
	for typed, want := range map[string]string{"wirewright re": "rehearse", "wirewright allot --dry": "--dry-run", "wirewright schema cat": "catalogue", "wirewright explain bus/too-l": "bus/too-long"} {
		out, err := exec.Command(shell(t, "fish"), "--no-config", "-c", "source "+path+"; complete -C "+fishQuoted(typed)).CombinedOutput()
		if word, _, _ := strings.Cut(strings.TrimSpace(string(out)), "\t"); err != nil || word != want {
			t.Errorf("%s: offered %q (%v), want %s", typed, out, err, want)
		}
	}
}

func TestBashOffersFiles(t *testing.T) {
	bring(t)
	if got := completed(t, "wirewright", "import", "house.wirewright", "cot"); !slices.Equal(got, []string{"cottage.ifc"}) {
		t.Errorf("offered %q", got)
	}
}

// Each script knows every verb, and every flag of it.
func TestCompletionKnowsTheWholeCommandLine(t *testing.T) {
	for _, name := range []string{"bash", "zsh", "fish"} {
		text := good(t, "completion", name)
		for _, n := range model(t).Children {
			if got := strings.Contains(text, n.Name); got == n.Hidden {
				t.Errorf("%s: %s offered: %v", name, n.Name, got)
			}
			for _, f := range n.Flags {
				if !n.Hidden && !strings.Contains(text, f.Name) {
					t.Errorf("%s: --%s of %s is not offered", name, f.Name, n.Name)
				}
			}
		}
		if last := job.Slugs()[len(job.Slugs())-1]; !strings.Contains(text, last) {
			t.Errorf("%s: the finding %s is not offered", name, last)
		}
	}
}
