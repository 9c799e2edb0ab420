package analyze

import (
	"errors"
	"fmt"
	"image"
	"math"
	"reflect"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/synth"
)

// mayBeUnknown are the fields of a Result that are documented to be NaN where nothing was
// measured; every other number must always be one.
var mayBeUnknown = []string{
	"Placement.Confidence", "Placement.Drift",
	"Noise.Floor", "Noise.FloorSNR2", "Noise.Usable", "Noise.GrainPx", "Noise.ChannelGrain",
	"Noise.Codec.Growth", "Noise.Codec.Coarse", "Noise.Codec.Spread", "Noise.Codec.Kurtosis", "Noise.Patches.Temporal", "Noise.Patches.Fixed",
	"Tones.SigmaCode", "Tones.SigmaLinear", "Tones.Relative", "Tones.Fixed", "Tones.Row", "Tones.Column",
	"Channels.SigmaCode", "Channels.SigmaLinear", "Channels.Relative", "Channels.Fixed", "Channels.Row", "Channels.Column",
	"Graded.Visible", "Graded.Tones.SNR", "Graded.Tones.Nominal", "Graded.Tones.SigmaL",
	"Highlights.Ceiling.Channel", "Highlights.Headroom",
	"Advice.After.SNR", "Advice.After.Nominal", "Advice.Next.Stops", "Advice.Next.Zebra",
	"Moments.Placement", "Moments.Floor",
	"Variation.Drift", "Variation.Step", "Variation.StepAt", "Variation.Flicker", "Variation.FlickerHz",
}

// mayBeDark are levels, -Inf where there is no light at all.
var mayBeDark = []string{"Highlights.Brightest", "Tones.Stops", "Channels.Stops"}

// checkNumbers fails for NaN and infinities where a number is due, and shares outside 0..1.
func checkNumbers(t *testing.T, r *Result) {
	t.Helper()
	visitNumbers(reflect.ValueOf(r), "", func(path string, v float64) {
		switch {
		case math.IsNaN(v):
			if !endsInAny(path, mayBeUnknown) {
				t.Errorf("%s is NaN", path)
			}
		case math.IsInf(v, -1) && endsInAny(path, mayBeDark):
		case math.IsInf(v, 0):
			t.Errorf("%s is %v", path, v)
		case strings.Contains(path, "Highlights.Clipped") || strings.HasSuffix(path, "Share") || strings.HasSuffix(path, "Shares") || strings.HasSuffix(path, ".Hue"):
			if v < 0 || v > 1+1e-9 {
				t.Errorf("%s is %v, not a share", path, v)
			}
		}
	})
	checkTexts(t, r.Advice)
}

func endsInAny(path string, ends []string) bool {
	for _, end := range ends {
		if strings.HasSuffix(path, end) {
			return true
		}
	}
	return false
}

// visitNumbers visits the floats in exported fields; indices are left out of paths, curves and
// pictures are not entered.
func visitNumbers(v reflect.Value, path string, visit func(string, float64)) {
	switch v.Kind() {
	case reflect.Float64, reflect.Float32:
		visit(path, v.Float())
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

// TestDegenerateClips measures clips with next to nothing in them, in every layout and at 8, 10
// and 12 bits, with and without a patch: a result comes back, and every number that is due is one.
func TestDegenerateClips(t *testing.T) {
	clips := []struct {
		name          string
		width, height int
		frames        int
		value         string
	}{
		{"one frame", 64, 48, 1, "grainy"}, {"two frames", 64, 48, 2, "grainy"}, {"three frames", 64, 48, 3, "grainy"},
		{"a group and a frame", 48, 32, 25, "grainy"}, {"black", 64, 48, 4, "low"}, {"clipped", 64, 48, 4, "high"},
		{"one pixel", 1, 1, 3, "grainy"}, {"tiny", 2, 2, 3, "grainy"}, {"tiny, one frame", 2, 2, 1, "high"}, {"less than a cell", 15, 15, 9, "random"},
		{"flashing", 64, 48, 12, "flash"}, {"boards", 64, 48, 12, "board"}, {"random", 64, 48, 12, "random"},
	}
	for _, c := range clips {
		for i, k := range kinds {
			for j, bits := range []int{8, 10, 12} {
				t.Run(fmt.Sprintf("%s/%s/%d bits", c.name, k.name, bits), func(t *testing.T) {
					frames := makeFrames(k, c.width, c.height, bits, c.frames, contents(bits, 4)[c.value])
					set := Settings{Reading: readingOf(t, bits), Matrix: curve.BT709, Reflectance: 0.18, Threads: 2,
						EveryFrame: i%2 == 0, SceneTarget: j == 1, Pictures: true, Lifts: []float64{1}}
					if j == 2 {
						set.Patches = []Patch{{image.Rect(0, 0, c.width, c.height), 0.18}}
					}
					r := measure(t, newReel(k, frames), set)
					checkNumbers(t, r)
					if r.Frames != c.frames {
						t.Errorf("%d frames measured, want %d", r.Frames, c.frames)
					}
					if c.value == "low" && r.Highlights.Clipped != (Shares{}) {
						t.Errorf("black is clipped: %+v", r.Highlights.Clipped)
					}
				})
			}
		}
	}
}

// TestBars measures constant colour bars without noise: nothing is said about noise, and flat
// bars are no clipping. Levels: 75 % bars of Recommendation ITU-R BT.471-1, from memory.
func TestBars(t *testing.T) {
	bars := [][3]float64{{0.75, 0.75, 0.75}, {0.75, 0.75, 0}, {0, 0.75, 0.75}, {0, 0.75, 0}, {0.75, 0, 0.75}, {0.75, 0, 0}, {0, 0, 0.75}, {0, 0, 0}}
	m := curve.BT709
	frames := makeFrames(kinds[1], 160, 96, 10, 16, func(_, plane, x, _ int) uint16 {
		width := 20
		if plane > 0 {
			width = 10
		}
		c := bars[x/width]
		y := m.Kr*c[0] + m.Kg()*c[1] + m.Kb*c[2]
		return uint16(math.Round([3]float64{64 + 876*y, 512 + 448*(c[2]-y)/(1-m.Kb), 512 + 448*(c[0]-y)/(1-m.Kr)}[plane]))
	})
	r := measure(t, newReel(kinds[1], frames), Settings{Reading: readingOf(t, 10), Matrix: m, Reflectance: 0.18, Threads: 2})
	checkNumbers(t, r)
	if r.Noise.Model != nil || !math.IsNaN(r.Noise.Floor) {
		t.Errorf("noise of bars without noise: model %+v, floor %v", r.Noise.Model, r.Noise.Floor)
	}
	if r.Highlights.Ceiling.Measured {
		t.Errorf("flat bars count as clipping: %+v", r.Highlights.Ceiling)
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
		synth.NewPanel(synth.Rect(0, 0, 96, 160), synth.Grey(20), 1),
	}}}
	var films []*film
	for _, s := range []synth.Sampling{synth.S422, synth.S420, synth.S444, synth.RGB} {
		cam.Sampling = s
		films = append(films, expose(t, cam, shot))
	}
	films = append(films, films[0].gray())
	for _, f := range films {
		set := settings(cam)
		set.Patches = []Patch{{image.Rect(112, 16, 240, 144), 0.18}}
		r := measure(t, f, set)
		checkNumbers(t, r)
		if math.Abs(r.Placement.Stops) > placementLossless {
			t.Errorf("%s: placed %+.3f stops", f.info.Chroma, r.Placement.Stops)
		}
		if got, want := r.Highlights.Clipped.All, 96.0/256; math.Abs(got-want) > 2*shareLossless {
			t.Errorf("%s: %.4f clipped, want %.4f", f.info.Chroma, got, want)
		}
		want := f.truth.SigmaCode(420)
		if f.info.Layout == decode.RGB {
			// Luma is made of three channels rounded each, then rounded itself.
			m := cam.Matrix
			want = math.Sqrt(want*want + (m.Kr*m.Kr+m.Kg()*m.Kg()+m.Kb*m.Kb)/12)
		}
		if got := r.Noise.Patches[0].Temporal; math.Abs(got/want-1) > sigmaLossless/2 {
			t.Errorf("%s: sigma %.3f codes at grey, want %.3f", f.info.Chroma, got, want)
		}
	}
}

// TestPatchOutside asks for areas that do not lie in the frame.
func TestPatchOutside(t *testing.T) {
	clip := newReel(kinds[1], makeFrames(kinds[1], 64, 48, 10, 2, contents(10, 4)["grainy"]))
	for _, tc := range []struct {
		name string
		area image.Rectangle
		ok   bool
	}{
		{"whole frame", image.Rect(0, 0, 64, 48), true}, {"one pixel", image.Rect(63, 47, 64, 48), true},
		{"a column too wide", image.Rect(0, 0, 65, 48), false}, {"a row too high", image.Rect(0, 0, 64, 49), false},
		{"left of it", image.Rect(-1, 0, 10, 10), false}, {"above it", image.Rect(0, -1, 10, 10), false},
		{"elsewhere", image.Rect(100, 100, 110, 110), false}, {"empty", image.Rect(10, 10, 10, 20), false},
	} {
		set := Settings{Reading: readingOf(t, 10), Matrix: curve.BT709, Threads: 1,
			Patches: []Patch{{image.Rect(0, 0, 16, 16), 0.18}, {tc.area, 0.9}}}
		_, err := Clip(t.Context(), clip, set)
		if tc.ok {
			if err != nil {
				t.Errorf("%s: %v", tc.name, err)
			}
			continue
		}
		var told *decode.ClipError
		if !errors.As(err, &told) || told.Path != "reel" || !strings.Contains(told.What, "64 x 48") || told.Do == "" {
			t.Errorf("%s: error %v does not say which file, what and what to do", tc.name, err)
		}
	}
}
