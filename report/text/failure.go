package text

import (
	"fmt"
	"strings"

	"stopledger/decode/metadata"
	"stopledger/report"
)

// A FailureGroup is the clips that could not be measured for one reason.
type FailureGroup struct {
	Error string   // what is wrong and what to do
	Paths []string // as they were found
}

// FailureGroups gathers failures by reason, in the order of the first of each; all of it is
// printable.
func FailureGroups(failed []report.Failure) (groups []FailureGroup) {
	at := map[string]int{}
	for _, f := range failed {
		i, known := at[f.Error]
		if !known {
			i = len(groups)
			at[f.Error] = i
			groups = append(groups, FailureGroup{Error: metadata.Printable(f.Error)})
		}
		groups[i].Paths = append(groups[i].Paths, metadata.Printable(f.Path))
	}
	return groups
}

// Failure says that clips could not be measured, and why.
func Failure(g FailureGroup, layout Layout) string {
	if len(g.Paths) == 1 {
		return Wrap("not measured: "+g.Paths[0]+": "+g.Error, "", layout.Width)
	}
	var b strings.Builder
	b.WriteString(Wrap(fmt.Sprintf("not measured, %d clips: %s", len(g.Paths), g.Error), "", layout.Width))
	for _, path := range g.Paths {
		b.WriteString("    " + path + "\n")
	}
	return b.String()
}
