package main

import (
	"fmt"
	"strings"

	"github.com/alecthomas/kong"
)

type completionVerb struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"bash, zsh or fish."`
}

// Help shows an example.
func (completionVerb) Help() string {
	return "Examples:\n  source <(wirewright completion bash)\n  wirewright completion fish > ~/.config/fish/completions/wirewright.fish"
}

// Run prints a completion script, made from the command line itself.
func (v completionVerb) Run(c *call, k *kong.Kong) error {
	var verbs []string
	flags := map[string][]string{}
	for _, n := range k.Model.Children {
		if n.Hidden {
			continue
		}
		verbs = append(verbs, n.Name)
		for _, f := range n.Flags {
			flags[n.Name] = append(flags[n.Name], "--"+f.Name)
		}
	}
	var text string
	switch v.Shell {
	case "fish":
		text = fish(verbs, flags, k)
	case "zsh":
		text = "autoload -U +X bashcompinit && bashcompinit\n" + bash(verbs, flags)
	default:
		text = bash(verbs, flags)
	}
	_, err := fmt.Fprint(c.out, text)
	return err
}

func bash(verbs []string, flags map[string][]string) string {
	var b strings.Builder
	b.WriteString("_wirewright() {\n  local word=\"${COMP_WORDS[COMP_CWORD]}\"\n  if [ \"$COMP_CWORD\" -eq 1 ]; then\n")
	fmt.Fprintf(&b, "    COMPREPLY=($(compgen -W %q -- \"$word\"))\n    return\n  fi\n", strings.Join(verbs, " "))
	b.WriteString("  case \"${COMP_WORDS[1]}:$word\" in\n")
	for _, v := range verbs {
		fmt.Fprintf(&b, "    %s:-*) COMPREPLY=($(compgen -W %q -- \"$word\")); return;;\n", v, strings.Join(append(flags[v], "--json", "--who", "--help"), " "))
	}
	b.WriteString("  esac\n  COMPREPLY=($(compgen -f -- \"$word\"))\n}\ncomplete -o filenames -F _wirewright wirewright\n")
	return b.String()
}

func fish(verbs []string, flags map[string][]string, k *kong.Kong) string {
	var b strings.Builder
	for _, n := range k.Model.Children {
		if !n.Hidden {
			fmt.Fprintf(&b, "complete -c wirewright -n __fish_use_subcommand -a %s -d %q\n", n.Name, n.Help)
		}
	}
	for _, v := range verbs {
		for _, f := range flags[v] {
			fmt.Fprintf(&b, "complete -c wirewright -n '__fish_seen_subcommand_from %s' -l %s\n", v, strings.TrimPrefix(f, "--"))
		}
	}
	return b.String()
}
