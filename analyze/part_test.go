package analyze_test

import (
	"context"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// counted counts the frames that are read of a film.
type counted struct {
	*film
	read int
}

func (c *counted) Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	return c.film.Read(ctx, opt, func(f *decode.Frame) error {
		c.read++
		return visit(f)
	})
}

// TestScoutedInPart: of ten seconds that hold still before a card, eight pairs of frames are scouted; where there
// is no card, or light changes for a sixth of the clip, all twelve are.
func TestScoutedInPart(t *testing.T) {
	during := func(at float64) (dx, dy float64) {
		if at > 3.2 && at < 3.2+10.0/6 {
			return 0, 0
		}
		return 2000, 0
	}
	card := synth.NewCard(geometry.Upright(120, 60, 60, 75), curve.MidGrey)
	lamp := synth.Moving{Part: synth.NewPanel(geometry.Upright(0, 0, 60, 60), synth.Grey(1), 1), Path: during}
	for name, tc := range map[string]struct {
		parts []synth.Part
		pairs int
	}{"a card": {[]synth.Part{card}, 8}, "no card": {nil, 12}, "light that changes": {[]synth.Part{lamp, card}, 12}} {
		cam := camera(t, "S-Log3")
		cam.Width, cam.Height = 320, 180
		parts := append([]synth.Part{synth.NewSurface(geometry.Upright(-10, -10, 340, 200), synth.Grey(0.3),
			synth.Texture{CellX: 20, CellY: 20, Octaves: 3, Contrast: 0.2, Seed: 5})}, tc.parts...)
		f := &counted{film: testframes.Expose(t, cam, synth.Shot{Scene: synth.Scene{Parts: parts}, Frames: 120,
			RateNum: 12, Stops: 0.5, Seed: 4})}
		r := measure(t, f, settledOf(cam), settings())
		const kept = 8 // of the frames scouted, which are not read again
		if scouted := f.read + kept - r.Frames; scouted != 2*tc.pairs {
			t.Errorf("%s: %d frames scouted, want %d pairs", name, scouted, tc.pairs)
		}
	}
}

// TestClipsMeasuredInPart: five seconds that hold still are measured in fewer groups than twelve, and what is
// said of them lies as near every frame's as it is to. Light, a window or noise that changes in one group
// alone, which the first ones measured are not, has all measured. Results are the same bits for any threads.
func TestClipsMeasuredInPart(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	const alone = 7 // group, of ten frames
	during := func(at float64) (dx, dy float64) {
		if frame := at * 25; frame > alone*10-0.5 && frame < (alone+1)*10-0.5 {
			return 0, 0
		}
		return 2000, 0
	}
	panel := func(x, y, w, h float64, reflectance curve.Light) synth.Part {
		return synth.Moving{Part: synth.NewPanel(geometry.Upright(x, y, w, h), synth.Grey(reflectance), 1), Path: during}
	}
	for _, tc := range []struct {
		name string
		part synth.Part
		all  bool // groups are measured
	}{
		{"still", nil, false},
		{"light that changes", panel(-10, -10, 340, 200, 0.36), true},
		{"a window opened", panel(240, 100, 60, 40, 30), true},
		{"a lamp", panel(240, 100, 8, 8, 30), false}, // 0.1 % of the frame
	} {
		t.Run(tc.name, func(t *testing.T) {
			cam := camera(t, "S-Log3")
			cam.Width, cam.Height, cam.Ceiling = 320, 180, curve.Stops(5).Light()
			parts := []synth.Part{synth.Fill{Light: synth.Grey(0.3)},
				synth.NewPanel(geometry.Upright(0, 0, 110, 180), synth.Grey(0.02), 1),
				synth.NewPanel(geometry.Upright(10, 110, 40, 60), synth.Grey(30), 1)}
			if tc.part != nil {
				parts = append(parts, tc.part)
			}
			parts = append(parts, synth.NewCard(geometry.Upright(120, 60, 60, 80), curve.MidGrey))
			f := testframes.Expose(t, cam, synth.Shot{Scene: synth.Scene{Parts: parts}, Frames: 120,
				Stops: 0.5, Seed: 4})
			set := settings()
			sampled := measure(t, f, settledOf(cam), set)
			if got := sampled.Groups == 12; got != tc.all || sampled.Frames != 8*sampled.Groups {
				t.Errorf("%d groups of %d frames", sampled.Groups, sampled.Frames)
			}
			set.Threads = 3
			if d := cmp.Diff(sampled, measure(t, f, settledOf(cam), set), sameBits...); d != "" {
				t.Errorf("three threads:\n%s", d)
			}
			set.EveryFrame = true
			every := measure(t, f, settledOf(cam), set)
			near := func(what string, got, want, most float64) {
				if !(math.Abs(got-want) <= most) {
					t.Errorf("%s: %.4f, every frame says %.4f", what, got, want)
				}
			}
			near("placement", float64(sampled.Placement.Stops), float64(every.Placement.Stops), 0.02)
			near("floor", float64(sampled.Noise.Floor), float64(every.Noise.Floor), 0.1)
			near("clipped", float64(sampled.Clipping.Clipped.Any), float64(every.Clipping.Clipped.Any), 0.003)
			truth := float64(every.Clipping.Clipped.Any)
			if c := sampled.Clipping; float64(c.Low) > truth || float64(c.High) < truth {
				t.Errorf("clipped %v to %v, every frame says %v", c.Low, c.High, truth)
			}
			t.Logf("%d groups: grey %+.3f %+.3f, floor %+.2f %+.2f, clipped %.4f %.4f", sampled.Groups,
				float64(sampled.Placement.Stops), float64(every.Placement.Stops), float64(sampled.Noise.Floor),
				float64(every.Noise.Floor), float64(sampled.Clipping.Clipped.Any), truth)
		})
	}
}

// sameBits compares results bit by bit.
var sameBits = []cmp.Option{testframes.SameBits(), cmp.Comparer(func(a, b *curve.Curve) bool { return a == b })}
