package analyze

import (
	"context"
	"image"

	"stopledger/analyze/levels"
	"stopledger/analyze/limit"
	"stopledger/analyze/placement"
	"stopledger/analyze/still"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// Stills takes the pictures of a measured clip, once its placement is settled: one whole frame from
// the middle of the clip, and a dark area in consecutive frames. at is the area for the enlarged
// strip, nil to have one chosen near scene -4 stops. A clip that cannot be read again has no
// pictures; the error is that of a context that ended. told is called after each part of the work; it
// may be nil.
func Stills(ctx context.Context, clip Source, r *Result, grey *placement.Placement,
	at *geometry.Rect, told func()) (still.Stills, error) {
	camera := still.NewCamera(r.Settled.Reading.Table(), r.Settled.Matrix, r.Clipping.Ceilings.From)
	camera.Told = told
	middle := r.Levels.Middle
	area, strip := stripArea(middle, grey, at)
	var s still.Stills
	opt := decode.ReadOptions{Spans: []decode.Span{{First: middle.First, Count: still.StripFrames}}}
	_ = clip.Read(ctx, opt, func(f *decode.Frame) error {
		if s.Frame == nil {
			s.Frame, s.Waveform, s.Channels = camera.Whole(f), camera.Waveform(f), camera.Channels(f)
			s.Grid = camera.Grid(f, s.Frame)
			if strip {
				s.Shadows = &still.Strip{Area: area, Scene: still.Tone(middle, area) - grey.StopsOr(0)}
			}
		}
		if strip {
			s.Shadows.Frames = append(s.Shadows.Frames, *camera.Area(f, area))
		}
		if told != nil {
			told()
		}
		return nil
	})
	return s, ctx.Err() // what cannot be decoded is no reason to lose a measurement
}

// viewWidth is how many pixels across a view has at most.
const viewWidth = 320

// View takes a small picture of a measured clip, from its middle, for clips to be compared by what they
// show. A clip that cannot be read again has none; the error is that of a context that ended. told is
// called after each part of the work; it may be nil.
func View(ctx context.Context, clip Source, r *Result, told func()) (*still.Still, error) {
	camera := still.NewCamera(r.Settled.Reading.Table(), r.Settled.Matrix, r.Clipping.Ceilings.From)
	camera.Told = told
	var view *still.Still
	opt := decode.ReadOptions{Spans: []decode.Span{{First: r.Levels.Middle.First, Count: 1}}}
	_ = clip.Read(ctx, opt, func(f *decode.Frame) error {
		view = camera.Reduced(f, viewWidth)
		return nil
	})
	return view, ctx.Err() // what cannot be decoded is no reason to lose a measurement
}

// stripArea returns the part of at that lies in the frame, or else the area nearest to the tone at
// which shadows are judged; ok is false where nothing dark holds together.
func stripArea(middle levels.Cells, grey *placement.Placement, at *geometry.Rect) (area geometry.Rect, ok bool) {
	if at != nil {
		inside := at.Image().Intersect(image.Rect(0, 0, middle.Grid.Width, middle.Grid.Height))
		if !inside.Empty() {
			return geometry.RectOf(inside), true
		}
	}
	return still.ShadowArea(middle, limit.Shadow+grey.StopsOr(0))
}
