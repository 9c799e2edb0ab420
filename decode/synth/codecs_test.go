package synth

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// recorded opens a clip with decode, FFmpeg's decoder behind it, and hands its frames over.
func recorded(t *testing.T, path string, visit func(*decode.Frame)) decode.Info {
	t.Helper()
	clip, err := decode.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer clip.Close()
	err = clip.Read(context.Background(), decode.ReadOptions{}, func(f *decode.Frame) error {
		visit(f)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return clip.Info()
}

// codecClips are one clip of each codec and of each way to predict frames.
var codecClips = []struct {
	file     string
	sampling Sampling
	bits     int
	enc      Encoding
}{
	{"a.mkv", S422, 10, Encoding{Codec: FFV1}}, {"a.mov", S422, 10, Encoding{Codec: ProRes422}},
	{"b.mov", S444, 10, Encoding{Codec: ProRes4444}}, {"c.mov", S422, 10, Encoding{Codec: DNxHR}},
	{"a.mp4", S420, 10, Encoding{Codec: HEVC}}, {"b.mp4", S420, 10, Encoding{Codec: HEVC, LongGOP: true}},
	{"c.mp4", S422, 10, Encoding{Codec: H264}}, {"d.mp4", S422, 10, Encoding{Codec: H264, LongGOP: true}},
	{"b.mkv", S420, 10, Encoding{Codec: VP9, LongGOP: true}}, {"e.mp4", S420, 10, Encoding{Codec: AV1, LongGOP: true}},
	{"d.mov", S422, 10, Encoding{Codec: V210}}, {"e_%03d.dpx", RGB, 10, Encoding{Codec: DPX}},
	{"f_%03d.tif", RGB, 16, Encoding{Codec: TIFF}},
}

// Through every codec the clip keeps what the truth tells: its frames and rate, and the light of
// grey. Codecs lose noise and edges, not the mean of a card: a tenth of a code of 10 bits is 0.001
// stops at S-Log3's grey; 0.02 stops are 1.6 codes.
func TestGreyThroughEveryCodec(t *testing.T) {
	const w, h, frames = 256, 144, 6
	for _, c := range codecClips {
		t.Run(fmt.Sprint(c.enc.Codec, " ", c.sampling, c.enc.LongGOP), func(t *testing.T) {
			cam := bench(t, w, h)
			cam.Sampling, cam.Bits = c.sampling, c.bits
			shot := Shot{Scene: Wheelhouse(w, h), Stops: 0.7, Frames: frames, RateNum: 24, Seed: 5}
			path := filepath.Join(t.TempDir(), c.file)
			truth, err := Record(path, cam, shot, c.enc)
			if err != nil {
				t.Fatal(err)
			}
			card, _ := truth.Region("card")
			seen := 0
			info := recorded(t, path, func(f *decode.Frame) {
				r := truth.Reading
				r.Bits = f.Bits // FFmpeg's decoder of ProRes 4444 gives 12
				got := math.Log2(frameLight(r, f, card.Rect(seen)) / 0.18)
				if d := math.Abs(got - float64(truth.Series[seen])); d > 0.02 {
					t.Errorf("frame %d: grey at %+.4f stops, told %+.4f", seen, got, float64(truth.Series[seen]))
				}
				if f.Index != seen {
					t.Errorf("frame %d comes as number %d", seen, f.Index)
				}
				seen++
			})
			if seen != frames || info.Frames != frames || info.Width != w || info.Height != h {
				t.Errorf("%d frames, told %+v", seen, info)
			}
			if c.enc.LongGOP != info.LongGOP {
				t.Errorf("long GOP: %v, asked for %v", info.LongGOP, c.enc.LongGOP)
			}
			if c.sampling != RGB && math.Abs(info.FrameRate()-24) > 1e-6 {
				t.Errorf("%g frames a second, want 24", info.FrameRate())
			}
		})
	}
}

// frameLight is the mean decoded light of a rectangle of luma, or of G'.
func frameLight(r curve.Reading, f *decode.Frame, in geometry.Rect) float64 {
	plane := f.Planes[0]
	if f.Layout == decode.RGB {
		plane = f.Planes[1]
	}
	sum := 0.0
	for y := in.Y; y < in.Y+in.H; y++ {
		for _, v := range plane.Row(y)[in.X : in.X+in.W] {
			sum += float64(r.Light(curve.FileCode(v)))
		}
	}
	return sum / float64(in.W*in.H)
}

// Lossless codecs give decode back each sample of each frame as it was recorded.
func TestLosslessThroughDecode(t *testing.T) {
	for _, c := range codecClips {
		switch c.enc.Codec {
		case FFV1, V210, DPX, TIFF:
		default:
			continue
		}
		cam := bench(t, 94, 54)
		cam.Sampling, cam.Bits = c.sampling, c.bits
		if c.sampling == RGB {
			cam.Range = curve.Full
		}
		shot := Shot{Scene: ToneWedge(94, 54), Frames: 3, Seed: 4}
		path := filepath.Join(t.TempDir(), c.file)
		if _, err := Record(path, cam, shot, c.enc); err != nil {
			t.Fatal(err)
		}
		frames, _, err := Expose(cam, shot)
		if err != nil {
			t.Fatal(err)
		}
		recorded(t, path, func(f *decode.Frame) {
			for i, plane := range f.Planes {
				for y := range plane.Height {
					for x, v := range plane.Row(y) {
						if want := frames[f.Index].Row(i, y)[x]; v != want {
							t.Fatalf("%s: frame %d, plane %d at %d, %d: %d, want %d", c.enc.Codec, f.Index, i, x, y, v, want)
						}
					}
				}
			}
		})
	}
}

// The lower the constant rate factor, the nearer the clip comes to what was recorded.
func TestQualityIsNearer(t *testing.T) {
	for _, codec := range []Codec{HEVC, H264} {
		last := math.Inf(1)
		for _, quality := range []int{34, 20, 6} {
			cam := bench(t, 128, 96)
			cam.Sampling = S420
			shot := Shot{Scene: HarbourSky(128, 96), Frames: 2, Seed: 4}
			path := filepath.Join(t.TempDir(), "a.mp4")
			if _, err := Record(path, cam, shot, Encoding{Codec: codec, Quality: quality, Preset: "ultrafast"}); err != nil {
				t.Fatal(err)
			}
			frames, _, err := Expose(cam, shot)
			if err != nil {
				t.Fatal(err)
			}
			var sum, n float64
			recorded(t, path, func(f *decode.Frame) {
				for y := range 96 {
					for x, v := range f.Planes[0].Row(y) {
						sum += sq(float64(v) - float64(frames[f.Index].Row(0, y)[x]))
						n++
					}
				}
			})
			if apart := math.Sqrt(sum / n); apart >= last {
				t.Errorf("%s at %d: %.3f codes apart, %.3f before", codec, quality, apart, last)
			} else {
				last = apart
			}
		}
	}
}
