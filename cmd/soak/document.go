//go:build linux

package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"stopledger/report"
)

// A document is an audit as written, by path; clips as their bytes.
type document struct {
	clips   map[string]string // a clip's whole entry
	reasons map[string]string // of what failed or was skipped
	parts   map[string]bool   // files that belong to a clip named by another
}

func readDocument(dir string) (document, error) {
	b, err := os.ReadFile(filepath.Join(dir, "audit.json"))
	if err != nil {
		return document{}, err
	}
	var raw struct {
		Clips   []json.RawMessage
		Failed  []report.Failure
		Skipped []report.Skip
	}
	if err := json.Unmarshal(b, &raw); err != nil {
		return document{}, err
	}
	d := document{map[string]string{}, map[string]string{}, map[string]bool{}}
	for _, r := range raw.Clips {
		var file struct {
			Path  string
			Parts []string
		}
		if err := json.Unmarshal(r, &file); err != nil {
			return document{}, err
		}
		d.clips[file.Path] = string(r)
		for _, p := range file.Parts {
			d.parts[p] = true
		}
	}
	for _, f := range raw.Failed {
		d.reasons[f.Path] = f.Error
	}
	for _, f := range raw.Skipped {
		d.reasons[f.Path] = f.Reason
	}
	return d, nil
}

// count adds what became of one file to a tally; about says which it is.
func (d document) count(t *tally, path, about string) {
	reason, told := d.reasons[path]
	switch {
	case d.clips[path] != "" || d.parts[path]:
		t.measured++
	case !told || strings.TrimSpace(reason) == "":
		t.fault(&t.lost, "%s: neither measured nor named", about)
	case strings.Contains(reason, "the process crashed") || strings.Contains(reason, "the program broke"):
		t.fault(&t.crashed, "%s: %s", about, reason)
	default:
		t.named++
	}
}

// checkEnding counts what is wrong with a run that has to end with all clips measured or named.
func (t *tally) checkEnding(e ending, about string) bool {
	said := fmt.Sprintf("%s: exit code %d after %.0f s: %.500s", about, e.code, e.took.Seconds(), e.stderr)
	switch {
	case e.hung:
		t.fault(&t.hung, "%s", said)
	case e.broke():
		t.fault(&t.crashed, "%s", said)
	case e.code != exitMeasured && e.code != exitSomeFailed:
		t.fault(&t.wrong, "%s", said)
	default:
		return true
	}
	return false
}
