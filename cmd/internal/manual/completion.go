package manual

import (
	"fmt"
	"strings"
)

// Shells are those that completions are written for.
var Shells = []string{"bash", "zsh", "fish"}

// Completion returns the script that makes a shell complete commands, flags and files; ok is false for
// a shell that is not known.
func (p Program) Completion(shell string) (script string, ok bool) {
	switch shell {
	case "bash":
		return p.bash(), true
	case "zsh":
		return p.zsh(), true
	case "fish":
		return p.fish(), true
	}
	return "", false
}

func (p Program) names() (names []string) {
	for _, c := range p.Commands {
		names = append(names, c.Name)
	}
	return append(names, "help")
}

// words are what comes after a command: other words than files, for help its commands and topics.
func (p Program) words(c Command) string { return strings.Join(c.Words, " ") }

func (p Program) helpWords() string {
	words := p.names()[:len(p.Commands)]
	for _, t := range p.Topics {
		words = append(words, t.Name)
	}
	return strings.Join(words, " ")
}

func (c Command) flagNames(keep func(flag) bool) string {
	var names []string
	for _, f := range c.flags() {
		if keep(f) {
			names = append(names, f.name)
		}
	}
	return strings.Join(names, " ")
}

func all(flag) bool { return true }

// valued are flags whose value is no file: nothing is offered for it.
func valued(f flag) bool { return f.value != "" && !f.takesFile() }

func (p Program) bash() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# bash completion for %s\n_%s() {\n", p.Name, p.Name)
	b.WriteString("\tlocal word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} flags= valued= words=\n")
	b.WriteString("\tCOMPREPLY=()\n\tif [ \"$COMP_CWORD\" -eq 1 ]; then\n")
	fmt.Fprintf(&b, "\t\tCOMPREPLY=($(compgen -W \"%s\" -- \"$word\"))\n\t\treturn\n\tfi\n", strings.Join(p.names(), " "))
	b.WriteString("\tcase ${COMP_WORDS[1]} in\n")
	for _, c := range p.Commands {
		fmt.Fprintf(&b, "\t%s) flags=\"%s\" valued=\"%s\" words=\"%s\" ;;\n", c.Name, c.flagNames(all),
			c.flagNames(valued), p.words(c))
	}
	fmt.Fprintf(&b, "\thelp) words=\"%s\" ;;\n\tesac\n", p.helpWords())
	b.WriteString(`	case " $valued " in *" $before "*) return ;; esac
	if [ "${word#-}" != "$word" ]; then
		COMPREPLY=($(compgen -W "$flags --help" -- "$word"))
	elif [ -n "$words" ]; then
		COMPREPLY=($(compgen -W "$words" -- "$word"))
	fi
}
`)
	fmt.Fprintf(&b, "complete -o default -F _%s %s\n", p.Name, p.Name)
	return b.String()
}

func (p Program) zsh() string {
	var b strings.Builder
	fmt.Fprintf(&b, "#compdef %s\n_%s() {\n\tlocal -a commands\n\tcommands=(\n", p.Name, p.Name)
	for _, c := range p.Commands {
		fmt.Fprintf(&b, "\t\t%s\n", quoted(c.Name+":"+zshText(c.Summary)))
	}
	b.WriteString("\t\t'help:tell more of a command or topic'\n\t)\n" +
		"\tif (( CURRENT == 2 )); then\n\t\t_describe command commands\n\t\treturn\n\tfi\n\tcase $words[2] in\n")
	for _, c := range p.Commands {
		fmt.Fprintf(&b, "\t%s) _arguments", c.Name)
		for _, f := range c.flags() {
			spec := f.name + "[" + zshText(f.usage) + "]"
			switch {
			case f.takesFile():
				spec += ":" + f.value + ":_files"
			case f.value != "":
				spec += ":" + f.value + ": "
			}
			b.WriteString(" \\\n\t\t" + quoted(spec))
		}
		rest := "*:file:_files"
		if words := p.words(c); words != "" {
			rest = "*:name:(" + words + ")"
		}
		fmt.Fprintf(&b, " \\\n\t\t%s ;;\n", quoted(rest))
	}
	fmt.Fprintf(&b, "\thelp) _values topic %s ;;\n\tesac\n}\n_%s \"$@\"\n", p.helpWords(), p.Name)
	return b.String()
}

// zshText is text within a specification of zsh, in which brackets and colons have a meaning.
func zshText(s string) string {
	return strings.NewReplacer("[", `\[`, "]", `\]`, ":", `\:`).Replace(s)
}

// quoted is a word in single quotes, as all three shells read it but for the quote itself.
func quoted(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }

func (p Program) fish() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# fish completion for %s\n", p.Name)
	first := "__fish_use_subcommand"
	for _, c := range p.Commands {
		fmt.Fprintf(&b, "complete -c %s -f -n %s -a %s -d %s\n", p.Name, first, c.Name, fishText(c.Summary))
	}
	fmt.Fprintf(&b, "complete -c %s -f -n %s -a help -d 'tell more of a command or topic'\n", p.Name, first)
	for _, c := range p.Commands {
		within := "'__fish_seen_subcommand_from " + c.Name + "'"
		for _, f := range c.flags() {
			takes := ""
			switch {
			case f.takesFile():
				takes = " -r -F"
			case f.value != "":
				takes = " -x"
			}
			fmt.Fprintf(&b, "complete -c %s -n %s -l %s%s -d %s\n", p.Name, within, strings.TrimPrefix(f.name, "--"), takes,
				fishText(f.usage))
		}
		if words := p.words(c); words != "" {
			fmt.Fprintf(&b, "complete -c %s -f -n %s -a %s\n", p.Name, within, fishText(words))
		}
	}
	fmt.Fprintf(&b, "complete -c %s -f -n '__fish_seen_subcommand_from help' -a %s\n", p.Name, fishText(p.helpWords()))
	return b.String()
}

// fishText is a word in single quotes as fish reads it.
func fishText(s string) string {
	return "'" + strings.NewReplacer(`\`, `\\`, "'", `\'`).Replace(s) + "'"
}
