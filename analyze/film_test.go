package analyze_test

import (
	"context"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
)

// A film is a clip in memory.
type film struct {
	info   decode.Info
	frames []*decode.Frame
	truth  synth.Truth // of a synthetic shot
}

var chromaNames = map[synth.Sampling]string{
	synth.S420: "4:2:0", synth.S422: "4:2:2", synth.S444: "4:4:4", synth.RGB: "RGB"}

// camera records 640 x 360 pixels, 4:2:2 at 10 bits.
func camera(t testing.TB, name string) synth.Camera {
	t.Helper()
	return synth.Camera{Width: 640, Height: 360, Curve: curveNamed(t, name), Matrix: curve.BT709, Bits: 10,
		Sampling: synth.S422, Noise: synth.Noise{Read: 0.001, Shot: 0.0002}}
}

func curveNamed(t testing.TB, name string) *curve.Curve {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// readingOf reads frames of a depth with a curve that has a toe.
func readingOf(t testing.TB, bits int) curve.Reading {
	t.Helper()
	return curve.Reading{Curve: curveNamed(t, "S-Log3"), Bits: bits}
}

// expose makes a film of what the camera recorded, without a codec.
func expose(t testing.TB, cam synth.Camera, shot synth.Shot) *film {
	t.Helper()
	planes, truth, err := synth.Expose(cam, shot)
	if err != nil {
		t.Fatal(err)
	}
	f := &film{truth: truth}
	for i := range planes {
		f.frames = append(f.frames, planes[i].Frame())
	}
	f.info = infoOf(f.frames, chromaNames[cam.Sampling], "ffv1")
	if shot.RateNum > 0 {
		f.info.RateNum, f.info.RateDen = shot.RateNum, max(shot.RateDen, 1)
	}
	return f
}

// reel makes a clip of made frames at 25 a second.
func reel(k testframes.Kind, frames []*decode.Frame) *film {
	return &film{info: infoOf(frames, k.Name, "rawvideo"), frames: frames}
}

func infoOf(frames []*decode.Frame, chroma, codec string) decode.Info {
	f := frames[0]
	return decode.Info{Path: "film", Codec: codec, Bits: f.Bits, Width: f.Planes[0].Width, Height: f.Planes[0].Height,
		RateNum: 25, RateDen: 1, Frames: len(frames), Layout: f.Layout, Chroma: chroma}
}

// gray leaves a film's luma only.
func (f *film) gray() *film {
	g := &film{info: f.info, truth: f.truth}
	g.info.Layout, g.info.Chroma = decode.Gray, "gray"
	for _, frame := range f.frames {
		luma := *frame
		luma.Layout, luma.Planes[1], luma.Planes[2] = decode.Gray, decode.Plane{}, decode.Plane{}
		g.frames = append(g.frames, &luma)
	}
	return g
}

func (f *film) Info() decode.Info { return f.info }

func (f *film) Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	for group, span := range spansOf(opt, len(f.frames)) {
		for i := span.First; i < span.First+span.Count && i < len(f.frames); i++ {
			frame := *f.frames[i]
			frame.Group = group
			if err := visit(&frame); err != nil {
				return err
			}
		}
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

// settledOf reads a film as it was recorded.
func settledOf(cam synth.Camera) metadata.Settled {
	return metadata.Settled{Reading: cam.Reading(), Matrix: cam.Matrix}
}

// settings look for a card of 18 %, with two workers.
func settings() analyze.Settings {
	return analyze.Settings{GreyFrom: placement.GreyFrom{Reflectance: 0.18}, Threads: 2}
}

// sceneGrey takes the scene's average for grey, which is the fastest.
func sceneGrey() analyze.Settings {
	set := settings()
	set.Grey = placement.Scene
	return set
}

// at takes grey from areas of 18 %.
func at(areas ...geometry.Rect) analyze.Settings {
	set := settings()
	for _, area := range areas {
		set.Regions = append(set.Regions, placement.Patch{Region: area, Reflectance: 0.18})
	}
	return set
}

// measure runs the whole measurement.
func measure(t testing.TB, f analyze.Source, how metadata.Settled, set analyze.Settings) *analyze.Result {
	t.Helper()
	r, err := analyze.Clip(context.Background(), f, how, set, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// shoot exposes a film and measures it as it was recorded.
func shoot(t testing.TB, cam synth.Camera, shot synth.Shot, set analyze.Settings) (*analyze.Result, *film) {
	t.Helper()
	f := expose(t, cam, shot)
	return measure(t, f, settledOf(cam), set), f
}
