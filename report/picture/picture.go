// Package picture renders a clip's stills into the pictures of a report: as recorded, after the
// advised correction, as a map of stops, what clipped, the waveform, and a dark area enlarged.
package picture

import (
	"errors"
	"fmt"
	"image"
	"slices"

	"golang.org/x/sync/errgroup"

	"stopledger/analyze/display"
	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// Sizes of the pictures, in pixels across, and how lossy ones are coded.
const (
	thumbWidth   = 240
	frameQuality = 88
	thumbQuality = 78
)

// Render renders the stills of one clip as a display shows them. It needs the clip's finished advice, as
// pictures are shown after the correction too. Without a whole frame there is nothing to show, and nil
// is returned. The frame at full resolution is rendered beside the others, as it takes about as long.
func Render(clip *report.Clip, stills *still.Stills, shows *display.Rendering) (*Rendered, error) {
	if stills == nil || stills.Frame == nil {
		return nil, nil
	}
	if err := check(stills.Frame); err != nil {
		return nil, fmt.Errorf("pictures of %s: %w", clip.Path, err)
	}
	r := &renderer{stem: report.PictureStem(clip), shows: shows}
	large := *r
	var beside errgroup.Group
	var full report.Pictures
	beside.Go(func() error { return large.full(&full, clip, stills) })
	p, err := r.all(clip, stills)
	if err := errors.Join(err, beside.Wait()); err != nil {
		return nil, err
	}
	p.FullScale, p.FullRecorded, p.FullAfter = full.FullScale, full.FullRecorded, full.FullAfter
	return &Rendered{Names: *p, Files: slices.Concat(r.files, large.files)}, nil
}

// all adds every picture but those at full resolution.
func (r *renderer) all(clip *report.Clip, stills *still.Stills) (*report.Pictures, error) {
	p, err := r.frame(clip, reduced(turned(stills.Frame, clip.Rotation), still.Width))
	if err != nil {
		return nil, err
	}
	if p.Strips, err = r.strips(clip, stills.Shadows); err != nil {
		return nil, err
	}
	return p, r.measured(p, clip, stills)
}

// measured adds waveforms and levels.
func (r *renderer) measured(p *report.Pictures, clip *report.Clip, stills *still.Stills) (err error) {
	if fits(stills.Waveform) {
		p.Waveform, err = r.add("waveform", waveformPicture(stills.Waveform), 0)
	}
	if c := stills.Channels; err == nil && len(c) == 3 && fits(c[0]) && fits(c[1]) && fits(c[2]) {
		p.Channels, err = r.add("channels", channelsPicture(c), 0)
	}
	if g := stills.Grid; err == nil && g != nil && g.Width > 0 && g.Height > 0 {
		p.LevelsSide = g.Side
		p.Levels, err = r.add("levels", levelsOf(g, clip.Rotation).picture(), 0)
	}
	return err
}

func fits(w *still.Waveform) bool {
	return w != nil && w.Columns > 0 && len(w.Counts) == w.Columns*w.Levels
}

// full adds the frame at full resolution, as recorded and after the correction.
func (r *renderer) full(p *report.Pictures, clip *report.Clip, stills *still.Stills) (err error) {
	full := stills.Full
	if full == nil {
		full = stills.Frame
	}
	_, _, scale := full.Size()
	p.FullScale = int(scale)
	shown := func(change curve.Stops) *image.RGBA {
		return turnedImage(rendered(full, r.shows, change), clip.Rotation)
	}
	if p.FullRecorded, err = r.addWithin("full", shown(0)); err != nil {
		return err
	}
	if stops := clip.Advice.Correction(); stops != 0 {
		p.FullAfter, err = r.addWithin("full-after", shown(stops))
	}
	return err
}

func check(s *still.Still) error {
	n := s.Width * s.Height
	if n <= 0 || len(s.R) != n || len(s.G) != n || len(s.B) != n || len(s.Clipped) != n {
		return fmt.Errorf("a still of %d x %d pixels has planes of other sizes", s.Width, s.Height)
	}
	return nil
}

// matrixOf returns the matrix of the clip's luma; one it does not know counts as BT.709.
func matrixOf(clip *report.Clip) curve.Matrix {
	if m, known := metadata.MatrixName(clip.Matrix.Value).Matrix(); known {
		return m
	}
	return curve.BT709
}

// frame renders every picture that is made from the whole frame.
func (r *renderer) frame(clip *report.Clip, frame *still.Still) (*report.Pictures, error) {
	matrix := matrixOf(clip)
	small := reduced(frame, still.Width/mapEnlarged)
	p := &report.Pictures{}
	for _, picture := range []struct {
		name    *string
		kind    string
		quality int // of a lossy picture, 0 for none
		img     image.Image
	}{
		{&p.Thumb, "thumb", thumbQuality, rendered(reduced(frame, thumbWidth), r.shows, 0)},
		{&p.Recorded, "recorded", frameQuality, rendered(frame, r.shows, 0)},
		{&p.After, "after", frameQuality, rendered(frame, r.shows, clip.Advice.Correction())},
		{&p.StopMap, "stops", 0, stopMap(small, matrix, clip.Noise.Floor)},
		{&p.Clipped, "clipped", 0, clippedOverlay(frame)},
	} {
		var err error
		if *picture.name, err = r.add(picture.kind, picture.img, picture.quality); err != nil {
			return nil, err
		}
	}
	return p, nil
}
