// Package rule holds what a show asks of its clips: where grey is placed, how noisy and how clipped
// a clip may be, with which curve and settings it is shot, and what counts as an alarm. It judges
// figures by what is asked; it measures nothing.
package rule

import (
	"path"
	"path/filepath"
	"strings"

	"stopledger/curve"
)

// A Level says how much a finding matters.
type Level string

// Levels of findings.
const (
	Note    Level = "note"    // good to know
	Caution Level = "caution" // look at it before grading
	Alarm   Level = "alarm"   // consider shooting again
)

// Rank orders levels: 0 for none, then note, caution, alarm.
func (l Level) Rank() int {
	switch l {
	case Note:
		return 1
	case Caution:
		return 2
	case Alarm:
		return 3
	}
	return 0
}

// A Set is the rules of one file.
type Set struct {
	File     string    `json:"file"`     // as the user named it
	Sections []Section `json:"sections"` // that for all clips first, then those of folders as listed
}

// A Section is what is asked of the clips in one folder, or of all. What it leaves out is asked as
// the sections before it do, or not at all.
type Section struct {
	Name      string           `json:"name"`            // by which findings name it
	Folder    string           `json:"folder"`          // pattern of folders; empty for all clips
	Intended  *curve.Stops     `json:"intended_stops"`  // placement exposed at on purpose, over nominal
	Tolerance *curve.Stops     `json:"tolerance_stops"` // how far grey may lie from there, either way
	Target    *curve.Stops     `json:"target_stops"`    // placement wanted after the correction
	Curves    []string         `json:"curves"`          // published names to expect
	LeastSNR  *SNR             `json:"least_snr"`       // at a tone of the scene
	Clipped   *curve.Share     `json:"most_clipped"`    // of the frame, in any channel
	ISO       []curve.Amount   `json:"iso"`             // those allowed
	Shutters  []Shutter        `json:"shutters"`        // those allowed
	Levels    map[string]Level `json:"levels"`          // by id of the finding
}

// An SNR is a signal-to-noise ratio at a tone.
type SNR struct {
	Scene curve.Stops    `json:"scene_stops"` // from the subject's grey
	Least curve.Decibels `json:"snr_db"`      // as recorded
}

// Asked are the sections that hold for a clip, the last of which comes first.
type Asked []Section

// For returns what is asked of a clip in a folder; nothing without rules.
func (s *Set) For(folder string) (all Asked) {
	if s == nil {
		return nil
	}
	for _, section := range s.Sections {
		if section.holds(filepath.ToSlash(folder)) {
			all = append(all, section)
		}
	}
	return all
}

// Names returns the names of the sections.
func (a Asked) Names() []string {
	names := make([]string, len(a))
	for i, s := range a {
		names[i] = s.Name
	}
	return names
}

// holds tells whether a section's pattern matches the end of a folder's path or that of a folder
// above it, element by element as path.Match does.
func (s *Section) holds(folder string) bool {
	if s.Folder == "" {
		return true
	}
	want, have := strings.Split(s.Folder, "/"), strings.Split(folder, "/")
	for end := len(want); end <= len(have); end++ {
		if matchAll(want, have[end-len(want):end]) {
			return true
		}
	}
	return false
}

func matchAll(patterns, names []string) bool {
	for i, p := range patterns {
		if ok, err := path.Match(p, names[i]); err != nil || !ok {
			return false
		}
	}
	return true
}

// Of returns the last thing of its kind that is asked, with the name of the section that asks it; nil
// and "" where none does.
func Of[T any](a Asked, thing func(*Section) *T) (v *T, by string) {
	for i := len(a) - 1; i >= 0; i-- {
		if v := thing(&a[i]); v != nil {
			return v, a[i].Name
		}
	}
	return nil, ""
}

// list is a list as a thing that is asked, nil where it is not.
func list[T any](all []T) *[]T {
	if all == nil {
		return nil
	}
	return &all
}

// Intended returns the placement exposed at on purpose, nil where none is named.
func (a Asked) Intended() *curve.Stops {
	v, _ := Of(a, func(s *Section) *curve.Stops { return s.Intended })
	return v
}

// Tolerance returns how far grey may lie from where it is meant to, nil where nothing says.
func (a Asked) Tolerance() *curve.Stops {
	v, _ := Of(a, func(s *Section) *curve.Stops { return s.Tolerance })
	return v
}

// Target returns the placement wanted after the correction, nil where none is named.
func (a Asked) Target() *curve.Stops {
	v, _ := Of(a, func(s *Section) *curve.Stops { return s.Target })
	return v
}

// LevelOf returns the level that findings of an id have, with the name of the section that says so; ""
// where they keep their own.
func (a Asked) LevelOf(id string) (l Level, by string) {
	v, by := Of(a, func(s *Section) *Level {
		if l, ok := s.Levels[id]; ok {
			return &l
		}
		return nil
	})
	if v == nil {
		return "", ""
	}
	return *v, by
}
