package container

import (
	"fmt"
	"slices"
)

// Found is what a clip holds of metadata, before anything is made of it.
type Found struct {
	Frames      []Frame    // per-frame sets, spread over the clip in order of time
	FramesHeld  int        // frames that carry sets; 0 where not known
	Documents   []Document // XML of the clip itself
	Keys        []Key      // named values
	Logs        []string   // texts of logs boxes, which name a curve
	Notes       []Note     // cameras' own notes
	Colours     []Colour   // of colr boxes
	Descriptors []Items    // MXF picture descriptors; their tags are static (SMPTE ST 377-1, annex F)
	Problems    Sentences  // metadata that is there but damaged
}

// A Frame is what is carried with one picture.
type Frame struct {
	Sets     []byte // one after another: SMPTE RDD 18
	Where    string // they stood: "rtmd track"
	Timecode string // HH:MM:SS:FF or HH:MM:SS;FF, where it stands beside the sets
}

// A Document is XML about a clip.
type Document struct {
	Where string // it stood
	Data  []byte // as written
}

// A Note is an item of the user data that holds a camera's own note.
type Note struct {
	Kind string // of the box: MVTG, PANA
	Data []byte // as written
}

// Colour is what the container's colr box says.
type Colour struct {
	Primaries int    // H.273 code
	Transfer  int    // H.273 code
	Matrix    int    // H.273 code
	Range     string // narrow, full, or "" where the box has no flag (nclc)
}

// Sentences are a list of different sentences, bounded so that a hostile file cannot fill a report.
type Sentences []string

// MostSentences bounds a list.
const MostSentences = 64

// Addf adds a sentence, unless it is there already or the list is full.
func (s *Sentences) Addf(format string, args ...any) {
	said := fmt.Sprintf(format, args...)
	if len(*s) < MostSentences && !slices.Contains(*s, said) {
		*s = append(*s, said)
	}
}

func (in *Found) problemf(format string, args ...any) { in.Problems.Addf(format, args...) }
