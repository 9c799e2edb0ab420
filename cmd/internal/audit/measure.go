// Package audit measures many clips: it finds them, measures each, carries grey over from one to
// others, puts the document together and keeps the folder of a report.
package audit

import (
	"context"
	"strings"

	"stopledger/analyze"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/picture"
)

// A Job is one clip of a run to be measured.
type Job struct {
	Path     string           // to open
	Settings analyze.Settings // how to measure
	Folder   string           // of the report, which pictures are written into; "" for none

	// Held waits for the clips before this one and returns the last of them with grey of its own,
	// or nil. It is nil where grey is not held.
	Held func(context.Context) *report.Clip
	// Strip waits for the first clip and returns the area that it shows enlarged, or nil. It is nil
	// where each clip shows its own.
	Strip func(context.Context) *geometry.Rect
	// Progress takes how much of this clip is done, 0..1. It is never nil.
	Progress func(share float64)
}

// Measure measures one clip: it is opened, read for what it says of itself, measured, its grey
// settled, and advice given on it; pictures come last, when nothing changes any more. A damaged
// clip is measured as far as it can be read. Errors are for the user; a *PictureError leaves the
// clip measured.
func Measure(ctx context.Context, j Job) (report.Clip, error) {
	clip, err := decode.Open(j.Path)
	if err != nil {
		return report.Clip{}, err
	}
	defer clip.Close()
	return j.through(ctx, inProcess{clip})
}

// A bench is where frames of one clip are decoded.
type bench interface {
	// measure measures the clip by itself.
	measure(ctx context.Context, s analyze.Settings, progress func(share float64)) (*Measurement, error)
	// pictures takes the pictures of what was measured; at is the area to enlarge, nil to choose one.
	pictures(ctx context.Context, m *Measurement, c *report.Clip, at *geometry.Rect) (*picture.Rendered, error)
}

// through takes a clip through all the steps.
func (j Job) through(ctx context.Context, b bench) (report.Clip, error) {
	m, err := b.measure(ctx, j.Settings, j.Progress)
	if err != nil {
		return report.Clip{}, err
	}
	var held *report.Clip
	if j.Held != nil && m.lacksGrey() {
		if held = j.Held(ctx); ctx.Err() != nil {
			return report.Clip{}, ctx.Err()
		}
	}
	doc := Conclude(m, j.Settings, held)
	return doc, j.takePictures(ctx, b, m, &doc)
}

// takePictures takes a clip's pictures and writes them into the report's folder.
func (j Job) takePictures(ctx context.Context, b bench, m *Measurement, doc *report.Clip) error {
	if !j.Settings.Pictures || j.Folder == "" {
		return nil
	}
	var at *geometry.Rect
	if j.Strip != nil {
		at = j.Strip(ctx)
	}
	rendered, err := b.pictures(ctx, m, doc, at)
	if err != nil || rendered == nil {
		return err
	}
	if err := rendered.Write(j.Folder); err != nil {
		return &PictureError{j.Path, err}
	}
	doc.Pictures = &rendered.Names
	return nil
}

// inProcess decodes in this process.
type inProcess struct{ clip *decode.Clip }

func (p inProcess) measure(ctx context.Context, s analyze.Settings,
	progress func(share float64)) (*Measurement, error) {
	return MeasureClip(ctx, p.clip, s, progress)
}

func (p inProcess) pictures(ctx context.Context, m *Measurement, c *report.Clip,
	at *geometry.Rect) (*picture.Rendered, error) {
	return TakePictures(ctx, p.clip, m, c, at)
}

// MeasureClip measures an opened clip by itself: it is read for what it says of itself, and measured.
// Errors are for the user.
func MeasureClip(ctx context.Context, clip *decode.Clip, s analyze.Settings,
	progress func(share float64)) (*Measurement, error) {
	m := &Measurement{Info: clip.Info(), Settings: Deciding(s)}
	path := clip.Path()
	m.Said = read(path, m.Info)
	settled, err := metadata.Settle(streamOf(m.Info), m.Said, s.ReadAs)
	if err != nil {
		return nil, forUser(path, err)
	}
	measured, err := analyze.Clip(ctx, clip, settled, s, progress)
	if err != nil {
		return nil, forUser(path, err)
	}
	m.Result = *measured
	if measured.Lost == 0 && measured.Change == nil {
		m.Info.Frames = clip.Info().Frames // an estimate may have been counted since
	}
	return m, nil
}

// TakePictures takes the pictures of a measured clip that is open, once its document is finished. It
// returns nil where the clip cannot be read again; the errors are that of a context that ended and a
// *PictureError.
func TakePictures(ctx context.Context, clip *decode.Clip, m *Measurement, c *report.Clip,
	at *geometry.Rect) (*picture.Rendered, error) {
	stills, err := analyze.Stills(ctx, clip, &m.Result, c.Placement, at)
	if err != nil {
		return nil, err
	}
	rendered, err := picture.Render(c, &stills)
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
