// Package manual holds the pages of help that belong to no command, and writes what the program can be
// asked for as manual pages and as completions for shells, of the flags themselves.
package manual

import (
	"strings"

	"github.com/spf13/pflag"
)

// A Command is one command of the program.
type Command struct {
	Name    string
	Summary string         // one line
	Usage   string         // what its help says before the flags
	Flags   *pflag.FlagSet // nil for none
	Words   []string       // it takes instead of files; nil for files
}

// A Program is all that can be asked for.
type Program struct {
	Name     string
	Version  string
	About    string // what it is for, in a paragraph or more
	Exit     string // its exit codes, as its help prints them
	Commands []Command
	Topics   []Topic // of its help, beside the commands
}

// A flag is a flag of a command as people write it.
type flag struct {
	name  string // with its dashes
	value string // name of its value; "" for none
	usage string
}

func (c Command) flags() (list []flag) {
	if c.Flags == nil {
		return nil
	}
	c.Flags.VisitAll(func(f *pflag.Flag) {
		value, usage := pflag.UnquoteUsage(f)
		if f.Value.Type() == "bool" {
			value = ""
		}
		list = append(list, flag{"--" + f.Name, value, strings.TrimPrefix(usage, value+": ")})
	})
	return list
}

// takesFile tells whether a flag's value names a file or folder.
func (f flag) takesFile() bool {
	switch f.value {
	case "FILE", "DIR", "CLIP", "NAME":
		return true
	}
	return false
}
