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

var chromaNames = map[synth.Sampling]string{synth.S420: "4:2:0", synth.S422: "4:2:2", synth.S444: "4:4:4", synth.RGB: "RGB"}

// expose makes a film.
func expose(t testing.TB, cam synth.Camera, shot synth.Shot) *film {
	t.Helper()
	frames, truth, err := synth.Expose(cam, shot)
	if err != nil {
		t.Fatal(err)
	}
	f := frames[0].Frame()
	info := decode.Info{Path: "film", Codec: "ffv1", Bits: cam.Bits, Width: cam.Width, Height: cam.Height,
		RateNum: 25, RateDen: 1, Frames: len(frames), Layout: f.Layout, Chroma: chromaNames[cam.Sampling]}
	if shot.RateNum > 0 {
		info.RateNum, info.RateDen = shot.RateNum, max(shot.RateDen, 1)
	}
	return &film{info, frames, truth}
}

// gray leaves a film's luma only.
func (f *film) gray() *film {
	g := *f
	g.info.Layout, g.info.Chroma = decode.Gray, "gray"
	return &g
}

func (f *film) Info() decode.Info { return f.info }

func (f *film) Read(_ context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	for group, span := range spansOf(opt, len(f.frames)) {
		for i := span.First; i < span.First+span.Count && i < len(f.frames); i++ {
			frame := f.frames[i].Frame()
			frame.Group = group
			if f.info.Layout == decode.Gray {
				frame.Layout, frame.Planes[1], frame.Planes[2] = decode.Gray, decode.Plane{}, decode.Plane{}
			}
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
