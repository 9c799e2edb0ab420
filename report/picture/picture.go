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
	r := newRenderer(report.PictureStem(clip), shows)
	p := &report.Pictures{}
	r.full(p, clip, stills) // first, as it takes longest
	r.frame(p, clip, reduced(turned(stills.Frame, clip.Rotation), still.Width))
	p.Strips = r.strips(clip, stills.Shadows)
	r.measured(p, clip, stills)
	files, err := r.wait()
	if err != nil {
		return nil, err
	}
	return &Rendered{Names: *p, Files: files}, nil
}

// measured adds waveforms and levels.
func (r *renderer) measured(p *report.Pictures, clip *report.Clip, stills *still.Stills) {
	if fits(stills.Waveform) {
		p.Waveform = r.add("waveform", 0, func() image.Image { return waveformPicture(stills.Waveform) })
	}
	if c := stills.Channels; len(c) == 3 && fits(c[0]) && fits(c[1]) && fits(c[2]) {
		p.Channels = r.add("channels", 0, func() image.Image { return channelsPicture(c) })
	}
	if g := stills.Grid; g != nil && g.Width > 0 && g.Height > 0 {
		p.LevelsSide = g.Side
		p.Levels = r.add("levels", 0, func() image.Image { return levelsOf(g, clip.Rotation).picture() })
	}
}

func fits(w *still.Waveform) bool {
	return w != nil && w.Columns > 0 && len(w.Counts) == w.Columns*w.Levels
}

// full adds the frame at full resolution, as recorded and after the correction. One is made after the other: they
// may take much memory.
func (r *renderer) full(p *report.Pictures, clip *report.Clip, stills *still.Stills) {
	full := stills.Full
	if full == nil {
		full = stills.Frame
	}
	width, height, scale := full.Size()
	p.FullScale = int(scale)
	recorded := r.file("full.jpg")
	p.FullRecorded = recorded.Name
	var after *File
	stops := clip.Advice.Correction()
	if stops != 0 {
		after = r.file("full-after.jpg")
		p.FullAfter = after.Name
	}
	r.run(func() (err error) {
		img := image.NewRGBA(image.Rect(0, 0, width, height))
		render(img, full, r.shows, 0)
		recorded.Data, err = within(turnedImage(img, clip.Rotation))
		if err != nil || after == nil {
			return err
		}
		render(img, full, r.shows, stops)
		after.Data, err = within(turnedImage(img, clip.Rotation))
		return err
	})
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

// frame adds every picture that is made from the whole frame.
func (r *renderer) frame(p *report.Pictures, clip *report.Clip, frame *still.Still) {
	shown := func(change curve.Stops) func() image.Image {
		return func() image.Image { return rendered(frame, r.shows, change) }
	}
	p.Recorded = r.add("recorded", frameQuality, shown(0))
	p.After = r.add("after", frameQuality, shown(clip.Advice.Correction()))
	p.Thumb = r.add("thumb", thumbQuality, func() image.Image { return rendered(reduced(frame, thumbWidth), r.shows, 0) })
	p.StopMap = r.add("stops", 0, func() image.Image {
		return stopMap(reduced(frame, still.Width/mapEnlarged), matrixOf(clip), clip.Noise.Floor)
	})
	p.Clipped = r.add("clipped", 0, func() image.Image { return clippedOverlay(frame) })
}
