package testframes

import (
	"context"
	"testing"

	"stopledger/decode"
	"stopledger/decode/synth"
)

// A Film is a clip in memory.
type Film struct {
	About  decode.Info     // what Info returns
	Frames []*decode.Frame // in order
	Truth  synth.Truth     // of a synthetic shot
	Lost   int             // frames lost at its end
}

var chromaNames = map[synth.Sampling]string{
	synth.S420: "4:2:0", synth.S422: "4:2:2", synth.S444: "4:4:4", synth.RGB: "RGB"}

// Reel makes a film of frames at 25 a second; chroma and codec as decode.Info has them.
func Reel(frames []*decode.Frame, chroma, codec string) *Film {
	f := frames[0]
	return &Film{Frames: frames, About: decode.Info{Path: "film", Codec: codec, Bits: f.Bits,
		Width: f.Planes[0].Width, Height: f.Planes[0].Height, RateNum: 25, RateDen: 1, Frames: len(frames),
		Layout: f.Layout, Chroma: chroma}}
}

// Expose makes a film of what a camera recorded, without a codec.
func Expose(t testing.TB, cam synth.Camera, shot synth.Shot) *Film {
	t.Helper()
	planes, truth, err := synth.Expose(cam, shot)
	if err != nil {
		t.Fatal(err)
	}
	var frames []*decode.Frame
	for i := range planes {
		frames = append(frames, planes[i].Frame())
	}
	f := Reel(frames, chromaNames[cam.Sampling], "ffv1")
	f.Truth = truth
	if shot.RateNum > 0 {
		f.About.RateNum, f.About.RateDen = shot.RateNum, max(shot.RateDen, 1)
	}
	return f
}

// Gray returns a film of the luma only.
func (f *Film) Gray() *Film {
	g := &Film{About: f.About, Truth: f.Truth}
	g.About.Layout, g.About.Chroma = decode.Gray, "gray"
	for _, frame := range f.Frames {
		luma := *frame
		luma.Layout, luma.Planes[1], luma.Planes[2] = decode.Gray, decode.Plane{}, decode.Plane{}
		g.Frames = append(g.Frames, &luma)
	}
	return g
}

// Change rewrites every sample of one plane.
func (f *Film) Change(plane int, value func(x, y int, v uint16) uint16) {
	for _, frame := range f.Frames {
		p := frame.Planes[plane]
		for i, v := range p.Samples {
			p.Samples[i] = value(i%p.Stride, i/p.Stride, v)
		}
	}
}

// Info returns what a decoder would say of the film.
func (f *Film) Info() decode.Info { return f.About }

// Read calls visit for the frames of the spans that are asked for, or for all in chunks.
func (f *Film) Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	for group, span := range spansOf(opt, len(f.Frames)) {
		for i := span.First; i < span.First+span.Count && i < len(f.Frames); i++ {
			frame := *f.Frames[i]
			frame.Group = group
			if err := visit(&frame); err != nil {
				return err
			}
		}
	}
	if f.Lost > 0 {
		return &decode.Damage{Path: "film", Frames: len(f.Frames), Lost: f.Lost}
	}
	return ctx.Err()
}

// spansOf returns the spans that reading options ask for.
func spansOf(opt decode.ReadOptions, frames int) []decode.Span {
	if opt.Spans != nil {
		return opt.Spans
	}
	var spans []decode.Span
	chunk := max(opt.Chunk, 1)
	for at := 0; at < frames; at += chunk {
		spans = append(spans, decode.Span{First: at, Count: min(chunk, frames-at)})
	}
	return spans
}
