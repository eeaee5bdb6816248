package main

import (
	"fmt"
	"strings"

	"github.com/alecthomas/kong"

	"wirewright/job"
)

type completionVerb struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"bash, zsh or fish."`
}

// Help shows an example.
func (completionVerb) Help() string {
	return "Examples:\n  wirewright completion bash > ~/.local/share/bash-completion/completions/wirewright\n" +
		"  wirewright completion zsh > ~/.zfunc/_wirewright\n  wirewright completion fish > ~/.config/fish/completions/wirewright.fish"
}

// Run prints a completion script, made from the command line itself.
func (v completionVerb) Run(c *call, k *kong.Kong) error {
	write := map[string]func([]offer) string{"bash": bash, "zsh": zsh, "fish": fish}[v.Shell]
	return c.answerText("script", write(offers(k.Model)))
}

// offer is what a shell offers for one verb.
type offer struct {
	verb, help string
	flags      []flagOffer
	words      []string // for the first argument; where there are none, it is a file
}

// flagOffer is what a shell offers for one flag.
type flagOffer struct {
	name, help string
	value      bool // takes a value; FILE is a file
	file       bool
}

// offers reads the verbs and flags off the command line.
func offers(m *kong.Application) []offer {
	var list []offer
	for _, n := range m.Children {
		if n.Hidden {
			continue
		}
		o := offer{verb: n.Name, help: n.Help}
		for _, group := range n.AllFlags(true) {
			for _, f := range group {
				o.flags = append(o.flags, flagOffer{f.Name, f.Help, !f.IsBool(), f.PlaceHolder == "FILE"})
			}
		}
		if len(n.Positional) > 0 && n.Positional[0].Enum != "" {
			o.words = n.Positional[0].EnumSlice()
		}
		if n.Name == "explain" {
			o.words = job.Slugs()
		}
		list = append(list, o)
	}
	return list
}

func bash(list []offer) string {
	var b strings.Builder
	verbs := make([]string, len(list))
	for i, o := range list {
		verbs[i] = o.verb
	}
	b.WriteString("_wirewright() {\n  local word=\"${COMP_WORDS[COMP_CWORD]}\" before=\"${COMP_WORDS[COMP_CWORD-1]}\"\n  COMPREPLY=()\n")
	fmt.Fprintf(&b, "  if [ \"$COMP_CWORD\" -eq 1 ]; then\n    COMPREPLY=($(compgen -W '%s' -- \"$word\"))\n    return\n  fi\n", strings.Join(verbs, " "))
	b.WriteString("  case \"${COMP_WORDS[1]}:$before:$word\" in\n")
	for _, o := range list {
		o.bash(&b)
	}
	b.WriteString("  esac\n  compopt -o filenames 2>/dev/null\n  COMPREPLY=($(compgen -f -- \"$word\"))\n}\ncomplete -F _wirewright wirewright\n")
	return b.String()
}

// bash writes the cases of a verb: after a flag that takes a value that is no file nothing is offered.
func (o *offer) bash(b *strings.Builder) {
	var flags, silent []string
	for _, f := range o.flags {
		flags = append(flags, "--"+f.name)
		if f.value && !f.file {
			silent = append(silent, fmt.Sprintf("%s:--%s:*", o.verb, f.name))
		}
	}
	if len(silent) > 0 {
		fmt.Fprintf(b, "    %s) return;;\n", strings.Join(silent, "|"))
	}
	fmt.Fprintf(b, "    %s:*:-*) COMPREPLY=($(compgen -W '%s' -- \"$word\")); return;;\n", o.verb, strings.Join(flags, " "))
	if len(o.words) > 0 {
		fmt.Fprintf(b, "    %s:*) COMPREPLY=($(compgen -W '%s' -- \"$word\")); return;;\n", o.verb, strings.Join(o.words, " "))
	}
}

func zsh(list []offer) string {
	var b strings.Builder
	b.WriteString("#compdef wirewright\n_wirewright() {\n  local -a verbs\n  verbs=(\n")
	for _, o := range list {
		fmt.Fprintf(&b, "    %s\n", single(strings.ReplaceAll(o.verb, ":", `\:`)+":"+o.help))
	}
	b.WriteString("  )\n  if (( CURRENT == 2 )); then\n    _describe verb verbs\n    return\n  fi\n  case $words[2] in\n")
	for _, o := range list {
		fmt.Fprintf(&b, "    %s)\n      _arguments '1: :'", o.verb)
		for _, f := range o.flags {
			spec := fmt.Sprintf("--%s[%s]", f.name, strings.NewReplacer("[", "(", "]", ")", ":", ";").Replace(f.help))
			switch {
			case f.file:
				spec += ":file:_files"
			case f.value:
				spec += ":value:"
			}
			b.WriteString(" \\\n        " + single(spec))
		}
		rest := "*:file:_files"
		if len(o.words) > 0 {
			rest = "*:name:(" + strings.Join(o.words, " ") + ")"
		}
		fmt.Fprintf(&b, " \\\n        %s;;\n", single(rest))
	}
	b.WriteString("  esac\n}\nif [ \"$funcstack[1]\" = _wirewright ]; then\n  _wirewright \"$@\"\nelse\n  compdef _wirewright wirewright\nfi\n")
	return b.String()
}

func fish(list []offer) string {
	var b strings.Builder
	for _, o := range list {
		fmt.Fprintf(&b, "complete -c wirewright -n __fish_use_subcommand -f -a %s -d %s\n", o.verb, fishQuoted(o.help))
	}
	for _, o := range list {
		here := single("__fish_seen_subcommand_from " + o.verb)
		if len(o.words) > 0 {
			fmt.Fprintf(&b, "complete -c wirewright -n %s -f -a %s\n", here, single(strings.Join(o.words, " ")))
		}
		for _, f := range o.flags {
			how := map[bool]string{true: " -x", false: ""}[f.value && !f.file]
			if f.file {
				how = " -r"
			}
			fmt.Fprintf(&b, "complete -c wirewright -n %s -l %s%s -d %s\n", here, f.name, how, fishQuoted(f.help))
		}
	}
	return b.String()
}

// single quotes a word for bash and zsh.
func single(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

// fishQuoted quotes a word for fish, which takes the backslash inside of quotation marks.
func fishQuoted(s string) string {
	return "'" + strings.NewReplacer(`\`, `\\`, "'", `\'`).Replace(s) + "'"
}
