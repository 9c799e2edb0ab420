// Package report holds the document of an audit: what people and programs read. It computes
// nothing and never touches a frame. Its rooms write the document as text, CSV and pages, and
// draw its plots and pictures.
package report

import (
	"stopledger/analyze"
	"stopledger/analyze/advise"
	"stopledger/analyze/clipping"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/variation"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
)

// Schema names the JSON document. Fields may be added to it; none is renamed or removed.
const Schema = "stopledger/audit/1"

// A Document is one audit. What was not measured is unknown, and so null in JSON. It is plain
// encoding/json: each quantity's type owns its digits.
type Document struct {
	Schema   string           `json:"schema"`
	Tool     Tool             `json:"tool"`
	Settings analyze.Settings `json:"settings"`
	Clips    []Clip           `json:"clips"`
	Failed   []Failure        `json:"failed"`
}

// A Tool is the program that wrote the document.
type Tool struct {
	Name    string `json:"name"`
	Version string `json:"version"`
}

// A Failure is a clip that could not be measured.
type Failure struct {
	Path  string `json:"path"`
	Error string `json:"error"`
}

// A Clip is all that was found out about one clip: the one view that text, CSV, JSON and pages
// read.
type Clip struct {
	File
	Range    metadata.Value   `json:"range"`
	Matrix   metadata.Value   `json:"matrix"`
	Camera   *metadata.Camera `json:"camera"`
	Curve    Curve            `json:"curve"`
	Sampling Sampling         `json:"sampling"`

	Placement  *placement.Placement `json:"placement"`
	Noise      Noise                `json:"noise"`
	Highlights clipping.Result      `json:"highlights"`
	Advice     advise.Advice        `json:"advice"`

	Histogram levels.Histogram `json:"histogram"`
	Scene     levels.Scene     `json:"scene"`
	Over      []analyze.Moment `json:"over_time"` // one entry a group of frames
	Variation variation.Result `json:"variation"`
	Pictures  *Pictures        `json:"pictures"` // nil unless a report folder was written
}

// A File is what is known of a clip's file.
type File struct {
	Path        string        `json:"path"`
	Bytes       int64         `json:"bytes"`
	Container   string        `json:"container"`
	Codec       string        `json:"codec"`
	Profile     string        `json:"profile"`
	PixelFormat string        `json:"pixel_format"`
	Bits        int           `json:"bits"` // of one component
	Chroma      string        `json:"chroma"`
	Width       int           `json:"width"` // pixels, as coded
	Height      int           `json:"height"`
	Rotation    int           `json:"rotation_deg"` // clockwise, for display
	FrameRate   curve.Amount  `json:"frame_rate"`   // frames a second
	Frames      int           `json:"frames"`
	Duration    curve.Seconds `json:"duration_s"`
	Timecode    string        `json:"timecode"`
}

// A Curve is the transfer function the clip was read with.
type Curve struct {
	Name    string          `json:"name"`
	Origin  metadata.Origin `json:"origin"`
	Assumed bool            `json:"assumed"` // named by --assume: every number rests on it
	Index   int             `json:"exposure_index,omitempty"`
	Source  string          `json:"source"` // document title, section
	MidGrey curve.Level     `json:"mid_grey"`
}

// A Mode says which frames were measured.
type Mode string

// Modes of sampling.
const (
	Groups Mode = "groups" // of consecutive frames, spread over the clip
	Every  Mode = "every"
)

// A Sampling says which frames were measured.
type Sampling struct {
	Mode           Mode `json:"mode"`
	Groups         int  `json:"groups"`
	FramesMeasured int  `json:"frames_measured"`
	FramesLost     int  `json:"frames_lost"` // present in the file but not decodable
}

// Noise is the noise as measured, with what the placement makes of it.
type Noise struct {
	noise.Result
	Tones    []Tone          `json:"tones"`    // of luma, darkest first
	Channels []Channel       `json:"channels"` // R', G', B'
	Graded   []advise.Graded `json:"graded"`   // as recorded, after the advised correction, and under lifts
}

// A Tone is a tone of the recording with its place in the scene.
type Tone struct {
	noise.Tone
	Scene curve.Stops `json:"scene_stops"` // from the subject's grey; unknown where grey is weak
}

// A Channel is the noise of R', G' or B'.
type Channel struct {
	Name    string      `json:"name"`
	GrainPx curve.Ratio `json:"grain_px"`
	Tones   []Tone      `json:"tones"`
}

// Pictures are files beside the document, by name relative to its folder.
type Pictures struct {
	Thumb    string  `json:"thumb"`
	Recorded string  `json:"recorded"`
	After    string  `json:"after"`
	StopMap  string  `json:"stop_map"`
	Clipped  string  `json:"clipped"`
	Waveform string  `json:"waveform"`
	Levels   string  `json:"levels"` // 8-bit lossless picture of recorded stops, for reading values under the pointer
	Strips   []Strip `json:"strips"`
}

// A Strip is a piece of the picture enlarged, in consecutive frames side by side.
type Strip struct {
	Name   string         `json:"name"`  // recorded, after, lifted ...
	Stops  curve.Stops    `json:"stops"` // correction shown
	File   string         `json:"file"`
	Region geometry.Rect  `json:"region"`
	Frames int            `json:"frames"`
	Scale  int            `json:"scale"` // 4 is 400 %
	SNR    curve.Decibels `json:"snr_db"`
}

// CompareSchema names the JSON document of a comparison; fields may be added to it, none is
// renamed or removed.
const CompareSchema = "stopledger/compare/1"

// A Comparison is takes side by side: the clips as audited, and how each differs from the first.
type Comparison struct {
	Schema   string           `json:"schema"`
	Tool     Tool             `json:"tool"`
	Settings analyze.Settings `json:"settings"`
	Clips    []Clip           `json:"clips"`
	advise.Comparison
	Failed []Failure `json:"failed"`
}
