package analyze

import (
	"context"
	"image"
	"testing"

	"stopledger/decode"
	"stopledger/decode/synth"
)

// A film is a synthetic shot in memory: what the camera recorded, without a codec.
type film struct {
	info   decode.Info
	frames []synth.Planes
	truth  synth.Truth
}

// expose makes a film.
func expose(t testing.TB, cam synth.Camera, shot synth.Shot) *film {
	t.Helper()
	frames, truth, err := synth.Expose(cam, shot)
	if err != nil {
		t.Fatal(err)
	}
	f := frames[0].Frame()
	info := decode.Info{Path: "film", Codec: "ffv1", Bits: cam.Bits, Width: cam.Width, Height: cam.Height,
		RateNum: 25, RateDen: 1, Frames: len(frames), Layout: f.Layout}
	if f.Layout == decode.RGB {
		info.Chroma = "RGB"
	}
	return &film{info, frames, truth}
}

func (f *film) Info() decode.Info { return f.info }

func (f *film) Read(_ context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	spans := opt.Spans
	if spans == nil {
		chunk := max(opt.Chunk, 1)
		for at := 0; at < len(f.frames); at += chunk {
			spans = append(spans, decode.Span{First: at, Count: min(chunk, len(f.frames)-at)})
		}
	}
	for group, span := range spans {
		for i := span.First; i < span.First+span.Count && i < len(f.frames); i++ {
			frame := f.frames[i].Frame()
			frame.Group, frame.Index, frame.Time, frame.Picture = group, i, float64(i)/25, 'I'
			if err := visit(frame); err != nil {
				return err
			}
		}
	}
	return nil
}

// settings reads a film as it was recorded.
func settings(cam synth.Camera) Settings {
	return Settings{Reading: cam.Reading(), Matrix: cam.Matrix, Reflectance: 0.18, Threads: 2}
}

// measure runs the whole measurement.
func measure(t testing.TB, f Source, set Settings) *Result {
	t.Helper()
	r, err := Clip(context.Background(), f, set)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// patchOf makes the synthetic camera's region a patch.
func patchOf(r synth.PixelRect, reflectance float64) Patch {
	return Patch{Area: image.Rect(r.X, r.Y, r.X+r.W, r.Y+r.H), Reflectance: reflectance}
}
