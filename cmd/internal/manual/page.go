package manual

import (
	"fmt"
	"strings"
)

// Sections of the manual that pages lie in (man-pages(7)).
const (
	commands      = 1
	miscellaneous = 7
)

// Page returns the manual page of a command, or of a topic that has a page, in the man macros of roff
// (man-pages(7)). Without a name it is the program's.
func (p Program) Page(name string) (string, bool) {
	if name == "" {
		return p.own(), true
	}
	for _, c := range p.Commands {
		if c.Name == name {
			return p.of(c), true
		}
	}
	for _, t := range p.Topics {
		if t.Name == name && t.Text != "" {
			return p.about(t), true
		}
	}
	return "", false
}

func (p Program) own() string {
	var b strings.Builder
	p.head(&b, p.Name, commands, "audit the exposure of log footage")
	fmt.Fprintf(&b, ".SH SYNOPSIS\n.B %s\n.I COMMAND\n[flags] [arguments]\n", roff(p.Name))
	fmt.Fprintf(&b, ".SH DESCRIPTION\n%s.SH COMMANDS\n", paragraphs(p.About))
	for _, c := range p.Commands {
		fmt.Fprintf(&b, ".TP\n.BR %s (1)\n%s\n", roff(p.Name+"-"+c.Name), roff(c.Summary))
	}
	b.WriteString(".SH TOPICS\n")
	for _, t := range p.Topics {
		if t.Text != "" {
			fmt.Fprintf(&b, ".TP\n.BR %s (7)\n%s\n", roff(p.Name+"-"+t.Name), roff(t.Summary))
		} else {
			fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", roff(p.Name+" help "+t.Name), roff(t.Summary))
		}
	}
	p.foot(&b)
	return b.String()
}

// about is a topic's page.
func (p Program) about(t Topic) string {
	var b strings.Builder
	p.head(&b, p.Name+"-"+t.Name, miscellaneous, t.Summary)
	b.WriteString(".SH DESCRIPTION\n" + paragraphs(t.Text))
	if t.Listing != "" {
		fmt.Fprintf(&b, ".PP\n.nf\n%s.fi\n", lines(t.Listing))
	}
	fmt.Fprintf(&b, ".SH SEE ALSO\n.BR %s (1)\n", roff(p.Name))
	return b.String()
}

func (p Program) of(c Command) string {
	var b strings.Builder
	p.head(&b, p.Name+"-"+c.Name, commands, c.Summary)
	synopsis, about, examples := parts(c.Usage)
	fmt.Fprintf(&b, ".SH SYNOPSIS\n.nf\n%s.fi\n.SH DESCRIPTION\n%s", lines(synopsis), paragraphs(about))
	if flags := c.flags(); len(flags) > 0 {
		b.WriteString(".SH OPTIONS\n")
		for _, f := range flags {
			fmt.Fprintf(&b, ".TP\n.B %s", roff(f.name))
			if f.value != "" {
				fmt.Fprintf(&b, " \\fI%s\\fR", roff(f.value))
			}
			fmt.Fprintf(&b, "\n%s\n", roff(f.usage))
		}
	}
	if examples != "" {
		fmt.Fprintf(&b, ".SH EXAMPLES\n.nf\n%s.fi\n", lines(examples))
	}
	p.foot(&b)
	return b.String()
}

func (p Program) head(b *strings.Builder, page string, section int, summary string) {
	title := "User Commands"
	if section == miscellaneous {
		title = p.Name + " guide"
	}
	fmt.Fprintf(b, ".TH %s %d \"\" \"%s\" \"%s\"\n.SH NAME\n%s \\- %s\n", strings.ToUpper(roff(page)), section,
		roff(p.Name+" "+p.Version), title, roff(page), roff(summary))
}

func (p Program) foot(b *strings.Builder) {
	_, codes, _ := strings.Cut(p.Exit, "\n")
	fmt.Fprintf(b, ".SH EXIT STATUS\n.nf\n%s.fi\n", lines(codes))
}

// parts takes the text of a help apart: the lines of its usage, what it says, and its examples.
func parts(usage string) (synopsis, about, examples string) {
	synopsis, about, _ = strings.Cut(strings.TrimPrefix(usage, "Usage: "), "\n\n")
	for _, head := range []string{"Examples:\n", "Example:\n"} {
		if before, after, found := strings.Cut("\n"+about, "\n"+head); found {
			return synopsis, before, after
		}
	}
	return synopsis, about, ""
}

// paragraphs writes text whose paragraphs stand apart by empty lines: indented ones keep their lines, from
// the first indented line on, and a heading heads a section within.
func paragraphs(text string) string {
	var b strings.Builder
	for i, p := range strings.Split(strings.Trim(text, "\n"), "\n\n") {
		if heading(p) {
			fmt.Fprintf(&b, ".SS %s\n", roff(p))
			continue
		}
		if i > 0 {
			b.WriteString(".PP\n")
		}
		said, kept, _ := strings.Cut("\n"+p, "\n ")
		if said != "" {
			b.WriteString(lines(said[1:]))
		}
		if kept != "" {
			fmt.Fprintf(&b, ".nf\n%s.fi\n", lines(" "+kept))
		}
	}
	return b.String()
}

func lines(text string) string {
	var b strings.Builder
	for line := range strings.Lines(strings.TrimRight(text, "\n") + "\n") {
		b.WriteString(roff(strings.TrimRight(line, "\n")) + "\n")
	}
	return b.String()
}

// roff escapes a line: a backslash, a dash that is to stay one, and a point or quote at its beginning.
func roff(line string) string {
	line = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(line)
	if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
		line = `\&` + line
	}
	return line
}
