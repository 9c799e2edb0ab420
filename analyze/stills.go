package analyze

import (
	"context"
	"image"
	"math"

	"stopledger/analyze/levels"
	"stopledger/analyze/limit"
	"stopledger/analyze/placement"
	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// Stills takes the pictures of a measured clip, once its placement is settled: one whole frame from
// the middle of the clip, and a dark area in consecutive frames. at is the area for the enlarged
// strip, nil to have one chosen near scene -4 stops. They are taken of shots, or else, where those are nil or
// something is missing, of frames that are decoded again; the caller releases both. A clip that cannot be read
// again has no pictures; the error is that of a context that ended. told is called after each part of the work; it
// may be nil.
func Stills(ctx context.Context, clip Source, shots *Shots, r *Result, grey *placement.Placement,
	at *geometry.Rect, told func()) (still.Stills, error) {
	camera := still.NewCamera(r.Settled.Reading.Table(), r.Settled.Matrix, r.Clipping.Ceilings.From)
	camera.Told = told
	strip := stripOf(r.Levels.Middle, grey, at)
	if s, ok := shots.stills(camera, r, strip); ok {
		return *s, ctx.Err()
	}
	s := new(still.Stills)
	opt := decode.ReadOptions{Spans: []decode.Span{{First: r.Levels.Middle.First, Count: still.StripFrames}}}
	_ = clip.Read(ctx, opt, func(f *decode.Frame) error {
		if s.Frame == nil {
			s = camera.Frame(f)
			s.Shadows = strip
		}
		if strip != nil {
			strip.Frames = append(strip.Frames, *camera.Area(f, strip.Area))
		}
		return nil
	})
	return *s, ctx.Err() // what cannot be decoded is no reason to lose a measurement
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

// stripOf returns a strip without frames of the part of at that lies in the frame, or else of the area nearest to
// the tone at which shadows are judged; nil where nothing dark holds together.
func stripOf(middle levels.Cells, grey *placement.Placement, at *geometry.Rect) *still.Strip {
	var area geometry.Rect
	inside := image.Rectangle{}
	if at != nil {
		inside = at.Image().Intersect(image.Rect(0, 0, middle.Grid.Width, middle.Grid.Height))
		area = geometry.RectOf(inside)
	}
	if inside.Empty() {
		tone := limit.Shadow + grey.StopsOr(0)
		tone = curve.Stops(math.Round(float64(tone/toneStep))) * toneStep
		var ok bool
		if area, ok = still.NewShadows(middle).Area(tone); !ok {
			return nil
		}
	}
	return &still.Strip{Area: area, Scene: still.Tone(middle, area) - grey.StopsOr(0)}
}
