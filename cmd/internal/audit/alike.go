package audit

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"stopledger/analyze"
)

// flagOf names the flag that sets what a document's settings have under a name, where the two differ.
var flagOf = map[string]string{"target_stops": "target", "target_scene": "target", "intended_stops": "intended",
	"lifts": "lift", "patches": "region", "config": "", "assume_origin": "", "ei_origin": ""}

// A MergeError says why reports cannot be made one.
type MergeError string

// Error returns it.
func (e MergeError) Error() string { return string(e) }

func refuse(format string, args ...any) error { return MergeError(fmt.Sprintf(format, args...)) }

// alike refuses parts that were not asked for with the same settings: one report has one set of them.
// Where the user's own defaults lie does not matter.
func alike(parts []*part) error {
	first := parts[0]
	of, err := settingsByName(first.head().Settings)
	if err != nil {
		return err
	}
	for _, p := range parts[1:] {
		other, err := settingsByName(p.head().Settings)
		if err != nil {
			return err
		}
		for _, name := range slices.Sorted(maps.Keys(of)) {
			if of[name] != other[name] {
				return refuse("%s is %s in %s and %s in %s: merge audits with the same settings",
					name, shortened(of[name]), first.dir, shortened(other[name]), p.dir)
			}
		}
		if curvesDiffer(first, p) {
			return refuse("the curve's file held another curve for %s than for %s: merge audits with the same curve",
				p.dir, first.dir)
		}
	}
	return nil
}

// curvesDiffer tells whether a curve's file held something else for one part than for another, as far as
// one version of the program has told them apart.
func curvesDiffer(a, b *part) bool {
	s := a.head().Settings
	version, _, known := strings.Cut(a.settings, " ")
	return known && strings.HasPrefix(b.settings, version+" ") && a.settings != b.settings &&
		(s.Curve.Given != "" || s.Assume.Given != "")
}

// settingsByName returns what each flag was set to, as JSON.
func settingsByName(s analyze.Settings) (map[string]string, error) {
	b, err := json.Marshal(s)
	if err != nil {
		return nil, err
	}
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(b, &fields); err != nil {
		return nil, err
	}
	named := map[string]string{}
	for field, value := range fields {
		flag, other := flagOf[field]
		switch {
		case !other:
			flag = strings.ReplaceAll(field, "_", "-")
		case flag == "":
			continue
		}
		if text := string(value); text != "null" && text != "[]" && text != "false" {
			named["--"+flag] += text
		} else {
			named["--"+flag] += ""
		}
	}
	return named, nil
}

// shortened is a setting's value as an error shows it.
func shortened(value string) string {
	const most = 60 // characters; rules are longer
	switch short := []rune(value); {
	case value == "":
		return "not given"
	case len(short) > most:
		return string(short[:most]) + "..."
	}
	return value
}
