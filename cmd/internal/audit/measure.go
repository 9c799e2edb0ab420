// Package audit measures many clips: it finds them, measures each, carries grey over from one to
// others, puts the document together and keeps the folder of a report.
package audit

import (
	"context"
	"strings"

	"stopledger/analyze"
	"stopledger/analyze/display"
	"stopledger/analyze/still"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/picture"
)

// A Job is one clip of a run to be measured.
type Job struct {
	Path     string           // to open
	Files    []string         // of the clip, where there are more than one
	Parts    []string         // to open instead, of a clip recorded in several files; nil for one in one
	Settings analyze.Settings // how to measure
	Folder   string           // of the report, which pictures are written into; "" for none

	// Held waits for the clips before this one and returns the last of them with grey of its own,
	// or nil. It is nil where grey is not held.
	Held func(context.Context) *report.Clip
	// Strip waits for the first clip and returns the area that it shows enlarged, or nil. It is nil
	// where each clip shows its own.
	Strip func(context.Context) *geometry.Rect
	// View takes a small picture of the clip, nil where it cannot be read again. It is nil where none is
	// wanted.
	View func(*still.Still)
	// Progress takes how much of this clip is done, 0..1. It is never nil.
	Progress func(share float64)

	// What keeps measurements sets the rest; without it they are nil.

	// Kept is what an earlier run measured: then frames are for pictures alone.
	Kept *Measurement
	// Keep takes a measurement the moment it is made.
	Keep func(*Measurement) error
	// Pictured returns the pictures of a document that were written before, nil where there was
	// nothing to show, and whether it is known.
	Pictured func(*report.Clip) (p *report.Pictures, known bool)
	// KeepPictures takes the names of pictures that are written, nil where there is nothing to show,
	// or the trouble with writing them.
	KeepPictures func(*report.Clip, *report.Pictures, error) error
}

// Measure measures one clip: it is opened, read for what it says of itself, measured, its grey
// settled, and advice given on it; pictures come last, when nothing changes any more. A damaged
// clip is measured as far as it can be read. Errors are for the user; a *PictureError leaves the
// clip measured.
func Measure(ctx context.Context, j Job) (report.Clip, error) {
	clip, err := open(ctx, j.Path, j.Parts, nil)
	if err != nil {
		return report.Clip{}, err
	}
	defer clip.Close()
	b := &inProcess{clip: clip, display: j.Settings.Display}
	defer func() { b.shots.Release() }()
	return j.through(ctx, b)
}

// open opens a clip, all its parts, where it has some, as one. told is called as it gets on; it may be
// nil.
func open(ctx context.Context, path string, parts []string, told func()) (*decode.Clip, error) {
	if len(parts) == 0 {
		parts = []string{path}
	}
	return decode.OpenParts(ctx, told, parts...)
}

// A bench is where frames of one clip are decoded.
type bench interface {
	// measure measures the clip by itself.
	measure(ctx context.Context, s analyze.Settings, progress func(share float64)) (*Measurement, error)
	// view takes a small picture of what was measured, nil where it cannot be read again.
	view(ctx context.Context, m *Measurement) (*still.Still, error)
	// pictures takes the pictures of what was measured; at is the area to enlarge, nil to choose one.
	pictures(ctx context.Context, m *Measurement, c *report.Clip, at *geometry.Rect) (*picture.Rendered, error)
}

// through takes a clip through all the steps.
func (j Job) through(ctx context.Context, b bench) (report.Clip, error) {
	m, err := j.Kept, error(nil)
	if m == nil {
		m, err = b.measure(ctx, j.measured(), j.Progress)
	}
	if err != nil {
		return report.Clip{}, err
	}
	doc, err := j.Finish(ctx, m)
	if err != nil {
		return report.Clip{}, err
	}
	if j.View != nil {
		view, err := b.view(ctx, m)
		if err != nil {
			return doc, err
		}
		j.View(view)
	}
	return doc, j.takePictures(ctx, b, m, &doc)
}

// Finish has a new measurement kept and makes the clip's document of it.
func (j Job) Finish(ctx context.Context, m *Measurement) (report.Clip, error) {
	if m != j.Kept && j.Keep != nil {
		if err := j.Keep(m); err != nil {
			return report.Clip{}, err
		}
	}
	return j.conclude(ctx, m)
}

// conclude makes a clip's document, once the clips whose grey it may take over are through.
func (j Job) conclude(ctx context.Context, m *Measurement) (report.Clip, error) {
	var held *report.Clip
	if j.Held != nil && m.lacksGrey() {
		if held = j.Held(ctx); ctx.Err() != nil {
			return report.Clip{}, ctx.Err()
		}
	}
	return Conclude(m, j.Settings, held), nil
}

// fromKept makes the document of a clip that is kept, and tells whether it needs no frame.
func (j Job) fromKept(ctx context.Context) (c report.Clip, whole bool, err error) {
	c, err = j.conclude(ctx, j.Kept)
	if err != nil || !j.pictures() {
		return c, j.View == nil, err
	}
	c.Pictures, whole = j.Pictured(&c)
	return c, whole && j.View == nil, nil
}

// measured returns the settings to measure with.
func (j Job) measured() analyze.Settings {
	s := j.Settings
	s.Pictures = j.pictures()
	return s
}

// pictures tells whether pictures are to be taken.
func (j Job) pictures() bool { return j.Settings.Pictures && j.Folder != "" }

// takePictures takes a clip's pictures and writes them into the report's folder.
func (j Job) takePictures(ctx context.Context, b bench, m *Measurement, doc *report.Clip) error {
	if !j.pictures() {
		return nil
	}
	var at *geometry.Rect
	if j.Strip != nil {
		at = j.Strip(ctx)
	}
	rendered, err := b.pictures(ctx, m, doc, at)
	if err != nil {
		return err
	}
	if rendered != nil {
		doc.Pictures, err = &rendered.Names, rendered.Write(j.Folder)
	}
	if j.KeepPictures != nil {
		err = j.KeepPictures(doc, doc.Pictures, err)
	}
	if err != nil {
		doc.Pictures = nil
		return &PictureError{j.Path, err}
	}
	return nil
}

// inProcess decodes in this process.
type inProcess struct {
	clip    *decode.Clip
	display *display.File
	shots   *analyze.Shots // kept of the clip
}

func (p *inProcess) measure(ctx context.Context, s analyze.Settings,
	progress func(share float64)) (*Measurement, error) {
	m, shots, err := MeasureClip(ctx, p.clip, s, progress)
	p.shots = shots
	return m, err
}

func (p *inProcess) view(ctx context.Context, m *Measurement) (*still.Still, error) {
	return analyze.View(ctx, p.clip, &m.Result, nil)
}

func (p *inProcess) pictures(ctx context.Context, m *Measurement, c *report.Clip,
	at *geometry.Rect) (*picture.Rendered, error) {
	return TakePictures(ctx, p.clip, p.shots, m, c, at, p.display, nil)
}

// MeasureClip measures an opened clip by itself: it is read for what it says of itself, and measured. Where the
// settings ask for pictures it keeps shots for them, which the caller releases. Errors are for the user.
func MeasureClip(ctx context.Context, clip *decode.Clip, s analyze.Settings,
	progress func(share float64)) (*Measurement, *analyze.Shots, error) {
	m := &Measurement{Info: clip.Info(), Settings: Deciding(s)}
	path := clip.Path()
	m.Said = read(path, m.Info)
	settled, err := metadata.Settle(streamOf(m.Info), m.Said, s.ReadAs)
	if err != nil {
		return nil, nil, forUser(path, err)
	}
	measured, shots, err := analyze.ClipAndShots(ctx, clip, settled, s, progress)
	if err != nil {
		return nil, nil, forUser(path, err)
	}
	m.Result = *measured
	if measured.Lost == 0 && measured.Change == nil {
		m.Info.Frames = clip.Info().Frames // an estimate may have been counted since
	}
	return m, shots, nil
}

// TakePictures takes the pictures of a measured clip that is open, once its document is finished: of shots kept
// when it was measured, or of frames that are decoded again where those are nil. It returns nil where the clip
// cannot be read again; the errors are that of a context that ended and a *PictureError. through is the user's
// display transform, nil for none. told is called after each part of the work; it may be nil.
func TakePictures(ctx context.Context, clip *decode.Clip, shots *analyze.Shots, m *Measurement, c *report.Clip,
	at *geometry.Rect, through *display.File, told func()) (*picture.Rendered, error) {
	stills, err := analyze.Stills(ctx, clip, shots, &m.Result, c.Placement, at, told)
	defer stills.Release()
	if err != nil {
		return nil, err
	}
	rendered, err := picture.Render(c, &stills, through.For(m.Result.Settled.Reading))
	if err != nil {
		return nil, &PictureError{clip.Path(), err}
	}
	return rendered, nil
}

// Libraries returns the versions of the libraries that clips are read with.
func Libraries() []string { return decode.Libraries() }

// read reads what a clip says of its recording. That it cannot be read is one of the record's
// problems: the curve may be known otherwise.
func read(path string, info decode.Info) metadata.Record {
	said, err := metadata.Read(path, metadata.Hints{Container: info.Container, Tags: info.Tags,
		Transfer: info.Transfer, Primaries: info.Primaries})
	if err != nil && !isPictures(info) {
		said.Problems = append(said.Problems, err.Error())
	}
	return said
}

// isPictures tells still pictures, which may be named by a pattern that is no file, from
// containers.
func isPictures(info decode.Info) bool { return strings.HasPrefix(info.Container, "image") }

func streamOf(info decode.Info) metadata.Stream {
	return metadata.Stream{Path: info.Path, Codec: info.Codec, Bits: info.Bits, RGB: info.Layout == decode.RGB,
		Range: info.Range, Matrix: info.Matrix}
}
