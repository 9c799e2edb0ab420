package report

import (
	"io"

	"stopledger/curve"
)

// AdjustSchema names the format of Adjusted; fields may be added to it, none is renamed or removed.
const AdjustSchema = "stopledger/adjust/1"

// Adjusted is what was written for programs that grade: corrections of exposure as files.
type Adjusted struct {
	Schema  string           `json:"schema"`  // AdjustSchema
	Tool    Tool             `json:"tool"`    // that wrote it
	Files   []CorrectionFile `json:"files"`   // of clips, in their order
	Lists   []CorrectionList `json:"lists"`   // of all clips
	Refused []Refusal        `json:"refused"` // what got no file
	Earlier []string         `json:"earlier"` // files of these clips from an earlier run that say another correction
}

// A CorrectionFile is the correction of one clip in one format.
type CorrectionFile struct {
	Path   string       `json:"path"`              // of the clip, as given
	File   string       `json:"file"`              // relative to the folder asked for
	As     string       `json:"as"`                // clf, cdl or cube
	Stops  curve.Stops  `json:"stops"`             // that it applies; - darkens
	Domain curve.Domain `json:"domain"`            // what 0..1 stands for in it: curve or video
	Curve  string       `json:"curve"`             // of the recording
	Worst  curve.Stops  `json:"worst_error_stops"` // from 2 stops under to 4 over the subject's grey
	Offset curve.Amount `json:"offset"`            // of a CDL, in each channel; unknown for other formats
	Errors []ToneError  `json:"errors"`            // of a CDL, by tone
}

// A ToneError is by how much a file misses the correction at a tone.
type ToneError struct {
	Scene curve.Stops `json:"scene_stops"` // from the subject's grey, before the correction
	Error curve.Stops `json:"error_stops"` // + where too bright; unknown where black, or brighter than can be recorded
	Black bool        `json:"black"`       // the tone becomes black
}

// A CorrectionList is a file that holds the corrections of several clips.
type CorrectionList struct {
	File   string       `json:"file"`   // relative to the folder asked for
	As     string       `json:"as"`     // ccc, edl or otio
	Domain curve.Domain `json:"domain"` // of the corrections in it
	Clips  int          `json:"clips"`  // listed in it
}

// A Refusal is a clip that got no file, or not one of some kind.
type Refusal struct {
	Path   string       `json:"path"`             // of the clip, as given
	As     string       `json:"as,omitempty"`     // the format; empty for all of them
	Domain curve.Domain `json:"domain,omitempty"` // empty for both
	Reason string       `json:"reason"`           // in words
}

// WriteAdjustedJSON writes what was written as one JSON value, indented, with a newline at its end.
func WriteAdjustedJSON(w io.Writer, a *Adjusted) error { return writeJSON(w, a.listed()) }

// listed is the document with [] for lists without entries.
func (a *Adjusted) listed() *Adjusted {
	whole := *a
	whole.Lists, whole.Refused, whole.Earlier = listed(a.Lists), listed(a.Refused), listed(a.Earlier)
	whole.Files = append([]CorrectionFile{}, a.Files...)
	for i := range whole.Files {
		whole.Files[i].Errors = listed(whole.Files[i].Errors)
	}
	return &whole
}
