// Package picture renders a clip's stills into the pictures of a report: as recorded, after the
// advised correction, as a map of stops, what clipped, the waveform, and a dark area enlarged.
package picture

import (
	"fmt"
	"image"

	"stopledger/analyze/display"
	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// Sizes of the pictures, in pixels across, and how lossy ones are coded.
const (
	frameWidth   = 960
	thumbWidth   = 240
	frameQuality = 88
	thumbQuality = 78
)

// Render renders the stills of one clip as a display shows them. It needs the clip's finished advice, as
// pictures are shown after the correction too. Without a whole frame there is nothing to show, and nil
// is returned.
func Render(clip *report.Clip, stills *still.Stills, shows *display.Rendering) (*Rendered, error) {
	if stills == nil || stills.Frame == nil {
		return nil, nil
	}
	if err := check(stills.Frame); err != nil {
		return nil, fmt.Errorf("pictures of %s: %w", clip.Path, err)
	}
	r := &renderer{stem: report.PictureStem(clip), shows: shows}
	p, err := r.frame(clip, reduced(turned(stills.Frame, clip.Rotation), frameWidth))
	if err != nil {
		return nil, err
	}
	if p.Strips, err = r.strips(clip, stills.Shadows); err != nil {
		return nil, err
	}
	if wf := stills.Waveform; wf != nil && wf.Columns > 0 && len(wf.Counts) == wf.Columns*wf.Levels {
		if p.Waveform, err = r.add("waveform", waveformPicture(wf), 0); err != nil {
			return nil, err
		}
	}
	return &Rendered{Names: *p, Files: r.files}, nil
}

func check(s *still.Still) error {
	n := s.Width * s.Height
	if n <= 0 || len(s.R) != n || len(s.G) != n || len(s.B) != n || len(s.Code) != n || len(s.Clipped) != n {
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
	small := reduced(frame, frameWidth/mapEnlarged)
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
		{&p.Levels, "levels", 0, levelsPicture(reduced(frame, levelsWidth), matrix)},
	} {
		var err error
		if *picture.name, err = r.add(picture.kind, picture.img, picture.quality); err != nil {
			return nil, err
		}
	}
	return p, nil
}
