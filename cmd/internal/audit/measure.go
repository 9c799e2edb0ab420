// Package audit measures many clips: it finds them, measures each, carries grey over from one to
// others, puts the document together and keeps the folder of a report.
package audit

import (
	"context"
	"strings"

	"stopledger/analyze"
	"stopledger/analyze/advise"
	"stopledger/analyze/placement"
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
	f := facts{info: clip.Info(), settings: j.Settings}
	f.said = read(j.Path, f.info)
	settled, err := metadata.Settle(streamOf(f.info), f.said, j.Settings.ReadAs)
	if err != nil {
		return report.Clip{}, forUser(j.Path, err)
	}
	f.measured, err = analyze.Clip(ctx, clip, settled, j.Settings, j.Progress)
	if err != nil {
		return report.Clip{}, forUser(j.Path, err)
	}
	if m := f.measured; m.Lost == 0 && m.Change == nil {
		f.info.Frames = clip.Info().Frames // an estimate may have been counted since
	}
	f.grey, f.notCarried = settleGrey(ctx, j, f)
	doc := document(f, advise.Advise(adviseOn(f)))
	err = takePictures(ctx, j, clip, f, &doc)
	return doc, err
}

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

// settleGrey settles where grey is: where it was found in the clip, or, with --hold-grey, where
// an earlier clip has it that was recorded alike; else why it was not carried is noted.
func settleGrey(ctx context.Context, j Job, f facts) (*placement.Placement, []advise.Finding) {
	own, reading := f.measured.Placement, f.measured.Settled.Reading
	if j.Held == nil || own != nil && !own.Weak {
		return own, nil
	}
	held := j.Held(ctx)
	why := refused(held, j.Path, reading.Curve.Name, f.said.Camera)
	if own != nil && own.Doubt == placement.Curve {
		why = curveInDoubt
	}
	if why != "" {
		return own, []advise.Finding{{ID: advise.GreyNotCarried, Level: advise.Note, Text: why.text(held)}}
	}
	return placement.Carry(held.Placement, held.Path, own, reading), nil
}

func adviseOn(f facts) advise.Facts {
	r := f.measured
	change := ""
	if r.Change != nil {
		change = r.Change.Change()
	}
	return advise.Facts{Change: change, Placement: f.grey,
		Noise: &r.Noise, Clipping: &r.Clipping, Variation: r.Variation, Levels: &r.Levels, Patches: r.Patches,
		Reading: r.Settled.Reading, Assumed: r.Settled.Assumed, LossyCodec: r.LossyCodec,
		Interlaced: f.info.Interlaced, Overlays: r.Overlays, Truncated: f.info.Truncated, Lost: r.Lost,
		Doubts: append(advise.Doubted(r.Settled.Doubts), f.notCarried...),
		Target: f.settings.Target, Lifts: f.settings.Lifts}
}

// takePictures takes a clip's pictures and writes them into the report's folder.
func takePictures(ctx context.Context, j Job, clip *decode.Clip, f facts, doc *report.Clip) error {
	if !j.Settings.Pictures || j.Folder == "" {
		return nil
	}
	var at *geometry.Rect
	if j.Strip != nil {
		at = j.Strip(ctx)
	}
	stills, err := analyze.Stills(ctx, clip, f.measured, f.grey, at)
	if err != nil {
		return err
	}
	if err := picture.Write(j.Folder, doc, &stills); err != nil {
		return &PictureError{j.Path, err}
	}
	return nil
}
