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
	"stopledger/analyze/plan"
	"stopledger/analyze/variation"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
)

// Schema names the JSON document. Fields may be added to it; none is renamed or removed. Documents
// of schema 1 are read too.
const Schema = "stopledger/audit/2"

// A Document is one audit. What was not measured is unknown, and so null in JSON. It is plain
// encoding/json: each quantity's type owns its digits.
type Document struct {
	Schema   string           `json:"schema"`   // the name of this layout
	Tool     Tool             `json:"tool"`     // that wrote it
	Settings analyze.Settings `json:"settings"` // as the user gave them
	Clips    []Clip           `json:"clips"`    // those measured, as listed; nil where Stream has them
	Failed   []Failure        `json:"failed"`   // those that could not be measured

	Complete   bool     `json:"complete"`    // the run was not interrupted
	NotReached []string `json:"not_reached"` // paths that an interruption left unmeasured
	Skipped    []Skip   `json:"skipped"`     // files that were not tried

	Stream *Stream `json:"-"` // the clips, where the document does not hold them; else nil

	Shard string `json:"shard,omitempty"` // part K/N of a run in parts; empty for a whole one
}

// A Stream is the clips of a document that does not hold them, as they may be thousands.
type Stream struct {
	Paths  []string // of the clips, in order
	Urgent []int    // places of those to check by eye, from 0
	Shown  []string // pictures, one of each clip that has some
	// Each hands on the clips in order, one at a time.
	Each func(visit func(i int, c *Clip) error) error
}

// A Skip is a file that was not tried, such as one of a kind that is not read.
type Skip struct {
	Path   string   `json:"path"`   // as found; of a gap in a sequence, its first and last number
	Kind   SkipKind `json:"kind"`   // what it is, for counting
	Reason string   `json:"reason"` // why it was not tried
}

// A SkipKind says what was not tried.
type SkipKind string

// Kinds of what is not tried.
const (
	SkipNotRead SkipKind = "not-read" // a kind of file that is not read
	SkipProxy   SkipKind = "proxy"    // a smaller copy of a clip
	SkipThumb   SkipKind = "thumbnail"
	SkipSound   SkipKind = "sound"   // of a clip, in a file of its own
	SkipSame    SkipKind = "same"    // a file listed by another name
	SkipLink    SkipKind = "link"    // not followed, or leading nowhere
	SkipSpecial SkipKind = "special" // a pipe, socket or device
	SkipGap     SkipKind = "gap"     // numbers missing in a sequence, and single pictures between them
	SkipHidden  SkipKind = "hidden"  // by its name, or the system's own
	// SkipPlaylist is of a list in which a card says which files are one recording: it is not read.
	SkipPlaylist SkipKind = "playlist"
)

// A Tool is the program that wrote the document.
type Tool struct {
	Name    string `json:"name"`    // stopledger
	Version string `json:"version"` // as stopledger version prints it
	// Unconfined says why the processes that decoded clips could touch more than the clips' folders; "" where
	// they could not.
	Unconfined string `json:"unconfined,omitempty"`
}

// A Failure is a clip that could not be measured.
type Failure struct {
	Path  string `json:"path"`  // as the user gave it
	Error string `json:"error"` // what is wrong and what to do
}

// A Clip is all that was found out about one clip: the one view that text, CSV, JSON and pages
// read.
type Clip struct {
	File
	Range    metadata.Value   `json:"range"`    // narrow or full
	Matrix   metadata.Value   `json:"matrix"`   // bt601, bt709 or bt2020
	Camera   *metadata.Camera `json:"camera"`   // nil where the recording says nothing
	Curve    Curve            `json:"curve"`    // it was read with
	Sampling Sampling         `json:"sampling"` // which frames were measured

	Placement  *placement.Placement `json:"placement"`  // nil where no grey was found
	Noise      Noise                `json:"noise"`      // as recorded and as displayed
	Highlights clipping.Result      `json:"highlights"` // what clipped and what is left
	Advice     advise.Advice        `json:"advice"`     // what to do

	Histogram levels.Histogram `json:"histogram"` // of luma
	Scene     levels.Scene     `json:"scene"`     // level of luma
	Over      []analyze.Moment `json:"over_time"` // one entry a group of frames
	Variation variation.Result `json:"variation"` // of exposure over the clip
	Pictures  *Pictures        `json:"pictures"`  // nil unless a report folder was written
}

// A File is what is known of a clip's file.
type File struct {
	Path        string        `json:"path"`         // as the user gave it
	Parts       []string      `json:"parts"`        // files of a clip recorded in several, in order; empty for one in one
	Bytes       int64         `json:"bytes"`        // size of the file, or of all parts
	Container   string        `json:"container"`    // mov, mxf, mp4 ...
	Codec       string        `json:"codec"`        // FFmpeg's name
	Profile     string        `json:"profile"`      // of the codec
	PixelFormat string        `json:"pixel_format"` // FFmpeg's name
	Bits        int           `json:"bits"`         // of one component
	Chroma      string        `json:"chroma"`       // 4:2:2, 4:2:0 ...
	Width       int           `json:"width"`        // pixels, as coded
	Height      int           `json:"height"`       // pixels, as coded
	Rotation    int           `json:"rotation_deg"` // clockwise, for display
	FrameRate   curve.Amount  `json:"frame_rate"`   // frames a second
	Frames      int           `json:"frames"`       // as the container counts them; 0 where it does not
	Duration    curve.Seconds `json:"duration_s"`   // of the video
	Timecode    string        `json:"timecode"`     // of the first frame
	// Recorded is when recording began, RFC 3339 in the zone that the clip names; "" where it does not say.
	Recorded string `json:"recorded_at,omitempty"`
}

// A Curve is the transfer function the clip was read with.
type Curve struct {
	Name    string          `json:"name"`                     // as published
	Origin  metadata.Origin `json:"origin"`                   // where its name is from
	Assumed bool            `json:"assumed"`                  // named by --assume: every number rests on it
	Index   int             `json:"exposure_index,omitempty"` // exposure index, for curves that have one
	Source  string          `json:"source"`                   // document title, section
	MidGrey curve.Level     `json:"mid_grey"`                 // where nominal grey is recorded
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
	Mode           Mode `json:"mode"`            // groups or every
	Groups         int  `json:"groups"`          // of frames
	FramesMeasured int  `json:"frames_measured"` // in all groups
	FramesLost     int  `json:"frames_lost"`     // present in the file but not decodable
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
	Name    string      `json:"name"`     // r, g or b
	GrainPx curve.Ratio `json:"grain_px"` // as for luma
	Tones   []Tone      `json:"tones"`    // darkest first
}

// Pictures are files beside the document, by name relative to its folder.
type Pictures struct {
	Thumb    string  `json:"thumb"`    // small, as recorded
	Recorded string  `json:"recorded"` // the frame as recorded
	After    string  `json:"after"`    // after the advised correction
	StopMap  string  `json:"stop_map"` // recorded stops as colours
	Clipped  string  `json:"clipped"`  // where it clipped, clear elsewhere
	Waveform string  `json:"waveform"` // of luma
	Levels   string  `json:"levels"`   // what the frame reads in blocks, 16-bit and lossless, for areas to be measured
	Strips   []Strip `json:"strips"`   // a dark area, one for each correction
	// Reduced tells that they are smaller than they were taken, to be mailed.
	Reduced bool `json:"reduced,omitempty"`

	Channels     string `json:"channels,omitempty"`      // waveforms of R', G' and B' side by side; empty without colour
	FullRecorded string `json:"full_recorded,omitempty"` // the frame as recorded, at full resolution
	FullAfter    string `json:"full_after,omitempty"`    // after the advised correction; empty without one
	FullScale    int    `json:"full_scale,omitempty"`    // pixels of the frame across to one of those
	LevelsSide   int    `json:"levels_side,omitempty"`   // pixels of the frame across to a block of the levels
}

// A Strip is a piece of the picture to be shown enlarged, in consecutive frames side by side.
type Strip struct {
	Name   string         `json:"name"`   // recorded, after, lifted ...
	Stops  curve.Stops    `json:"stops"`  // correction shown
	File   string         `json:"file"`   // name
	Region geometry.Rect  `json:"region"` // of the frame as coded
	Frames int            `json:"frames"` // side by side
	Scale  int            `json:"scale"`  // to show it at, 4 is 400 %; the file has each pixel once
	SNR    curve.Decibels `json:"snr_db"` // near the tone shown, after the correction
}

// CompareSchema names the JSON document of a comparison; fields may be added to it, none is
// renamed or removed.
const CompareSchema = "stopledger/compare/1"

// A Comparison is takes side by side: the clips as audited, and how each differs from the first.
type Comparison struct {
	Schema   string           `json:"schema"`   // the name of this layout
	Tool     Tool             `json:"tool"`     // that wrote it
	Settings analyze.Settings `json:"settings"` // as the user gave them
	Clips    []Clip           `json:"clips"`    // one a take, in the same order
	advise.Comparison
	ISO    *plan.Compared `json:"iso,omitempty"` // what ISO did; nil where the takes do not say two of them
	Failed []Failure      `json:"failed"`        // those that could not be measured
}
