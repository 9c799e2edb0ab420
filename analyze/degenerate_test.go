package analyze_test

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/clipping"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
)

// mayBeUnknown are the fields of a Result that are documented to be unknown where nothing was
// measured; every other number must always be one.
var mayBeUnknown = []string{
	"Placement.Confidence", "Placement.Drift", "Patches",
	"Noise.Floor", "Noise.FloorLow", "Noise.FloorHigh", "Noise.FloorSNR2",
	"Noise.Usable", "Noise.GrainPx", "Channels.GrainPx", "Noise.Groups.Floor",
	"Noise.Codec.LagGrowth", "Noise.Codec.CoarseOverFine", "Noise.Codec.Spread", "Noise.Codec.Kurtosis",
	"Noise.Coding.Loss", "Noise.Coding.Low", "Noise.Coding.High",
	"Tones.SigmaCode", "Tones.Below", "Tones.SigmaLinear", "Tones.Relative", "Tones.Fixed", "Tones.Row", "Tones.Column",
	"Tones.SNR", "Tones.Low", "Tones.High", "Noise.Made.Sigma", "Noise.Made.Below", "Noise.Made.Relative",
	"Clipping.Ceilings.Channel", "Clipping.Headroom", "Moments.Placement", "Moments.Floor",
	"Placement.Low", "Placement.High", "Placement.Reading", "Placement.Reference", // of a scene's average
	"Variation.Drift", "Variation.Step", "Variation.StepAt", "Variation.Flicker", "Variation.FlickerHz",
}

// mayBeInfinite are levels, -Inf where there is no light at all, and codes that nothing reaches.
var mayBeInfinite = []string{
	"Clipping.Brightest", "Clipping.Ceilings.Brightest", "Clipping.Ceilings.Held", "Clipping.Ceilings.From",
}

// checkNumbers fails for NaN and infinities where a number is due, and shares outside 0..1.
func checkNumbers(t *testing.T, r *analyze.Result) {
	t.Helper()
	visitNumbers(reflect.ValueOf(r), "", func(path string, v reflect.Value) {
		f := v.Float()
		switch {
		case math.IsNaN(f):
			if !endsInAny(path, mayBeUnknown) {
				t.Errorf("%s is NaN", path)
			}
		case math.IsInf(f, 0):
			if !endsInAny(path, mayBeInfinite) {
				t.Errorf("%s is %v", path, f)
			}
		case v.Type() == reflect.TypeFor[curve.Share]() && (f < 0 || f > 1+1e-9):
			t.Errorf("%s is %v, not a share", path, f)
		}
	})
}

func endsInAny(path string, ends []string) bool {
	for _, end := range ends {
		if strings.HasSuffix(path, end) {
			return true
		}
	}
	return false
}

// visitNumbers visits the floats in exported fields; indices are left out of paths, curves are not
// entered.
func visitNumbers(v reflect.Value, path string, visit func(string, reflect.Value)) {
	switch v.Kind() {
	case reflect.Float64, reflect.Float32:
		visit(path, v)
	case reflect.Pointer:
		if !v.IsNil() && v.Type() != reflect.TypeFor[*curve.Curve]() {
			visitNumbers(v.Elem(), path, visit)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			visitNumbers(v.Index(i), path, visit)
		}
	case reflect.Map:
		for _, key := range v.MapKeys() {
			visitNumbers(v.MapIndex(key), path, visit)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				visitNumbers(v.Field(i), strings.TrimPrefix(path+"."+f.Name, "."), visit)
			}
		}
	}
}

// A degenerate clip has next to nothing in it.
type degenerate struct {
	name          string
	width, height int
	frames        int
	value         string // its content
}

// TestDegenerateClips measures clips with next to nothing in them, in every layout and at 8, 10
// and 12 bits, in groups and every frame, with and without an area, and takes their pictures: a
// result comes back, and every number that is due is one.
func TestDegenerateClips(t *testing.T) {
	for _, c := range []degenerate{
		{"one frame", 64, 48, 1, "grainy"}, {"two frames", 64, 48, 2, "grainy"}, {"three frames", 64, 48, 3, "grainy"},
		{"a group and a frame", 48, 32, 25, "grainy"}, {"black", 64, 48, 4, "low"}, {"clipped", 64, 48, 4, "high"},
		{"one pixel", 1, 1, 3, "grainy"}, {"tiny", 2, 2, 3, "grainy"}, {"tiny, one frame", 2, 2, 1, "high"},
		{"less than a cell", 15, 15, 9, "random"},
		{"flashing", 64, 48, 12, "flash"}, {"boards", 64, 48, 12, "board"}, {"random", 64, 48, 12, "random"},
	} {
		for i, k := range testframes.Kinds {
			for j, bits := range []int{8, 10, 12} {
				t.Run(fmt.Sprintf("%s/%s/%d bits", c.name, k.Name, bits), func(t *testing.T) {
					set := settings()
					if j == 2 {
						set = at(geometry.Rect{W: c.width, H: c.height})
					}
					set.EveryFrame, set.SceneTarget = i%2 == 0, j == 1
					checkDegenerate(t, c, k, bits, set)
				})
			}
		}
	}
}

func checkDegenerate(t *testing.T, c degenerate, k testframes.Kind, bits int, set analyze.Settings) {
	t.Helper()
	f := reel(k, testframes.Make(k, c.width, c.height, bits, c.frames, testframes.Contents(bits, 4)[c.value]))
	r := measure(t, f, metadata.Settled{Reading: testframes.Reading(t, bits), Matrix: curve.BT709}, set)
	checkNumbers(t, r)
	if r.Frames != c.frames || len(r.Moments) != r.Groups {
		t.Errorf("%d frames in %d groups measured, %d moments, want %d frames", r.Frames, r.Groups, len(r.Moments), c.frames)
	}
	if c.value == "low" && r.Clipping.Clipped != (clipping.Shares{}) {
		t.Errorf("black is clipped: %+v", r.Clipping.Clipped)
	}
	if s := pictures(t, f, r, nil); s.Frame == nil || s.Waveform == nil || s.Frame.Width*s.Frame.Height != len(s.Frame.R) {
		t.Errorf("pictures %+v", s)
	}
}

// TestBars measures constant colour bars without noise: nothing is said about noise, and flat
// bars are no clipping. Levels: 75 % bars of Recommendation ITU-R BT.471-1, from memory.
func TestBars(t *testing.T) {
	bars := [][3]float64{{0.75, 0.75, 0.75}, {0.75, 0.75, 0}, {0, 0.75, 0.75}, {0, 0.75, 0},
		{0.75, 0, 0.75}, {0.75, 0, 0}, {0, 0, 0.75}, {0, 0, 0}}
	m, k := curve.BT709, testframes.Kinds[1]
	frames := testframes.Make(k, 160, 96, 10, 16, func(_, plane, x, _ int) uint16 {
		width := 20
		if plane > 0 {
			width = 10
		}
		c := bars[x/width]
		y := m.Kr*c[0] + m.Kg()*c[1] + m.Kb*c[2]
		return uint16(math.Round([3]float64{64 + 876*y, 512 + 448*(c[2]-y)/(1-m.Kb), 512 + 448*(c[0]-y)/(1-m.Kr)}[plane]))
	})
	r := measure(t, reel(k, frames), metadata.Settled{Reading: testframes.Reading(t, 10), Matrix: m}, settings())
	checkNumbers(t, r)
	if r.Noise.Model != nil || curve.Finite(r.Noise.Floor) {
		t.Errorf("noise of bars without noise: model %+v, floor %v", r.Noise.Model, float64(r.Noise.Floor))
	}
	if r.Clipping.Ceilings.Measured {
		t.Errorf("flat bars count as clipping: %+v", r.Clipping.Ceiling)
	}
}

// TestLayoutsAgree measures the same shot in every sampling and as gray: placement, luma noise
// and what clips must not depend on it.
func TestLayoutsAgree(t *testing.T) {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Ceiling = 256, 160, 6
	cam.Noise = synth.Noise{Read: 0.002, Shot: 0.0004}
	shot := synth.Shot{Frames: 6, Seed: 3, Scene: synth.Scene{Parts: []synth.Part{
		synth.Fill{Light: synth.Grey(0.18)},
		synth.NewPanel(geometry.Upright(0, 0, 96, 160), synth.Grey(20), 1),
	}}}
	var films []*film
	for _, s := range []synth.Sampling{synth.S422, synth.S420, synth.S444, synth.RGB} {
		cam.Sampling = s
		films = append(films, testframes.Expose(t, cam, shot))
	}
	films = append(films, films[0].Gray())
	for _, f := range films {
		r := measure(t, f, settledOf(cam), at(geometry.Rect{X: 112, Y: 16, W: 128, H: 128}))
		checkNumbers(t, r)
		if math.Abs(float64(r.Placement.Stops)) > placementLossless {
			t.Errorf("%s: placed %+.3f stops", f.About.Chroma, float64(r.Placement.Stops))
		}
		if got, want := float64(r.Clipping.Clipped.All), 96.0/256; math.Abs(got-want) > 2*shareLossless {
			t.Errorf("%s: %.4f clipped, want %.4f", f.About.Chroma, got, want)
		}
		want := float64(f.Truth.SigmaCode(420))
		if f.About.Layout == decode.RGB {
			// Luma is made of three channels rounded each, then rounded itself.
			m := cam.Matrix
			want = math.Sqrt(want*want + (m.Kr*m.Kr+m.Kg()*m.Kg()+m.Kb*m.Kb)/12)
		}
		if got := float64(mainTone(r).SigmaCode); math.Abs(got/want-1) > sigmaLossless/2 {
			t.Errorf("%s: sigma %.3f codes at grey, want %.3f", f.About.Chroma, got, want)
		}
	}
}

// TestRegionOutside asks for areas that do not lie in the frame.
func TestRegionOutside(t *testing.T) {
	k := testframes.Kinds[1]
	clip := reel(k, testframes.Make(k, 64, 48, 10, 2, testframes.Contents(10, 4)["grainy"]))
	for _, tc := range []struct {
		name string
		area geometry.Rect
		ok   bool
	}{
		{"whole frame", geometry.Rect{X: 0, Y: 0, W: 64, H: 48}, true},
		{"one pixel", geometry.Rect{X: 63, Y: 47, W: 1, H: 1}, true},
		{"a column too wide", geometry.Rect{X: 0, Y: 0, W: 65, H: 48}, false},
		{"a row too high", geometry.Rect{X: 0, Y: 0, W: 64, H: 49}, false},
		{"left of it", geometry.Rect{X: -1, Y: 0, W: 11, H: 10}, false},
		{"above it", geometry.Rect{X: 0, Y: -1, W: 10, H: 11}, false},
		{"elsewhere", geometry.Rect{X: 100, Y: 100, W: 10, H: 10}, false},
		{"empty", geometry.Rect{X: 10, Y: 10, W: 0, H: 10}, false},
		{"turned inside out", geometry.Rect{X: 20, Y: 10, W: -10, H: 10}, false},
		{"far too wide", geometry.Rect{X: 10, Y: 10, W: math.MaxInt, H: 10}, false},
	} {
		set := at(geometry.Rect{W: 16, H: 16})
		set.Regions = append(set.Regions, placement.Patch{Region: tc.area, Reflectance: 0.9})
		how := metadata.Settled{Reading: testframes.Reading(t, 10), Matrix: curve.BT709}
		_, err := analyze.Clip(t.Context(), clip, how, set, nil)
		if tc.ok {
			if err != nil {
				t.Errorf("%s: %v", tc.name, err)
			}
			continue
		}
		var told *decode.ClipError
		if !errors.As(err, &told) || told.Path != "film" || !strings.Contains(told.What, "64 x 48") || told.Do == "" {
			t.Errorf("%s: error %v does not say which file, what and what to do", tc.name, err)
		}
	}
}
