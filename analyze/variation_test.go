package analyze

import (
	"fmt"
	"image"
	"math"
	"testing"

	"stopledger/decode/synth"
)

// greyWall exposes a wall of 18 % with a panel of a stop less, small, for a number of frames.
func greyWall(t testing.TB, shot synth.Shot) (*film, Settings) {
	t.Helper()
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Sampling = 64, 48, synth.S420
	shot.Seed = 5
	shot.Scene = synth.Scene{Parts: []synth.Part{
		synth.Fill{Light: synth.Grey(0.18)}, synth.NewPanel(synth.Rect(40, 0, 24, 48), synth.Grey(0.09), 1),
	}}
	set := settings(cam)
	set.Patches = []Patch{{image.Rect(0, 0, 32, 48), 0.18}}
	return expose(t, cam, shot), set
}

// A mains is light and shutter, with the swing that is kept, peak to peak in stops.
type mains struct {
	hz       float64 // of the mains
	shutter  float64 // seconds
	num, den int     // frame rate
	swing    float64 // 0: none can be seen
	alias    float64 // Hz
}

// TestFlicker measures light of depth 0.3 on 50 and 60 Hz mains. The swings are those of
// m |sin(pi f T) / (pi f T)|, log2((1 + mk) / (1 - mk)), worked apart from the camera's code
// (numpy) to three digits; the beats are distances to the nearest multiple of the frame rate.
func TestFlicker(t *testing.T) {
	for _, tc := range []mains{
		{50, 1.0 / 48, 24000, 1001, 0.034, 4.096}, {50, 1.0 / 48, 24, 1, 0.034, 4}, {50, 1.0 / 60, 24, 1, 0.143, 4},
		{50, 1.0 / 60, 30000, 1001, 0.143, 10.09}, {50, 1.0 / 60, 30, 1, 0.143, 10}, {50, 1.0 / 120, 60000, 1001, 0.166, 19.88},
		{50, 1.0 / 120, 60, 1, 0.166, 20}, {50, 1.0 / 200, 24, 1, 0.558, 4}, {50, 1.0 / 200, 48, 1, 0.558, 4},
		{60, 1.0 / 48, 25, 1, 0.110, 5}, {60, 1.0 / 50, 25, 1, 0.109, 5}, {60, 1.0 / 100, 25, 1, 0.135, 5},
		{60, 1.0 / 100, 50, 1, 0.135, 20}, {60, 1.0 / 200, 50, 1, 0.440, 20},
		// A shutter of whole periods, and beats that stand still or take longer than a group.
		{50, 1.0 / 50, 24, 1, 0, 0}, {50, 1.0 / 100, 30, 1, 0, 0}, {60, 1.0 / 60, 25, 1, 0, 0}, {60, 1.0 / 120, 50, 1, 0, 0},
		{50, 1.0 / 60, 25, 1, 0, 0}, {60, 1.0 / 50, 24, 1, 0, 0}, {60, 1.0 / 100, 30, 1, 0, 0}, {60, 1.0 / 48, 30000, 1001, 0, 0},
	} {
		rate := float64(tc.num) / float64(tc.den)
		t.Run(fmt.Sprintf("%.0f Hz/%.2f fps/shutter 1 of %.0f", tc.hz, rate, 1/tc.shutter), func(t *testing.T) {
			f, set := greyWall(t, synth.Shot{Frames: 96, RateNum: tc.num, RateDen: tc.den,
				Flicker: synth.Flicker{Depth: 0.3, MainsHz: tc.hz, ShutterS: tc.shutter, Phase: 1}})
			v := measure(t, f, set).Variation
			if tc.swing == 0 {
				if !math.IsNaN(v.Flicker) || !math.IsNaN(v.FlickerHz) {
					t.Errorf("flicker of %.3f stops at %.2f Hz where none can be seen", v.Flicker, v.FlickerHz)
				}
				return
			}
			if !(math.Abs(v.Flicker/tc.swing-1) <= variationShare) || !(math.Abs(v.FlickerHz-tc.alias) < 0.01) {
				t.Errorf("flicker of %.3f stops at %.2f Hz, want %.3f at %.2f", v.Flicker, v.FlickerHz, tc.swing, tc.alias)
			}
			if !math.IsNaN(v.Step) || !math.IsNaN(v.Drift) {
				t.Errorf("flicker reads as a step of %.3f or a drift of %.3f stops", v.Step, v.Drift)
			}
		})
	}
}

// rates are frame rates in use.
var rates = [][2]int{{24000, 1001}, {24, 1}, {25, 1}, {30000, 1001}, {30, 1}, {48, 1}, {50, 1}, {60000, 1001}, {60, 1}}

// TestDrift lets the light fade and swell at every frame rate.
func TestDrift(t *testing.T) {
	for _, rate := range rates {
		for _, perSecond := range []float64{-0.5, 0.2} {
			t.Run(fmt.Sprintf("%.2f fps/%+.1f stops a second", float64(rate[0])/float64(rate[1]), perSecond), func(t *testing.T) {
				f, set := greyWall(t, synth.Shot{Frames: 96, RateNum: rate[0], RateDen: rate[1], Drift: perSecond})
				r := measure(t, f, set)
				want := perSecond * f.frames[95].Time
				if v := r.Variation; !(math.Abs(v.Drift/want-1) <= driftShare) || !math.IsNaN(v.Step) || !math.IsNaN(v.Flicker) {
					t.Errorf("%+v, want a drift of %.3f and nothing else", v, want)
				}
				// Along the line from the first group's to the last one's start.
				if between := perSecond * f.frames[88].Time; math.Abs(r.Placement.Drift-between) > placementLossless {
					t.Errorf("placement drifts by %.3f, want %.3f", r.Placement.Drift, between)
				}
			})
		}
	}
}

// TestStep changes the exposure between groups and within one.
func TestStep(t *testing.T) {
	for _, rate := range [][2]int{{24, 1}, {25, 1}, {48, 1}} {
		for _, at := range []int{24, 48, 51, 53, 80} {
			for _, stops := range []float64{-1, 0.2} {
				t.Run(fmt.Sprintf("%.2f fps/%+.1f stops at frame %d", float64(rate[0])/float64(rate[1]), stops, at), func(t *testing.T) {
					seconds := (float64(at) - 0.5) * float64(rate[1]) / float64(rate[0])
					f, set := greyWall(t, synth.Shot{Frames: 96, RateNum: rate[0], RateDen: rate[1], Steps: []synth.Step{{AtS: seconds, Stops: stops}}})
					v := measure(t, f, set).Variation
					if !(math.Abs(v.Step/stops-1) <= variationShare) || !math.IsNaN(v.Drift) || !math.IsNaN(v.Flicker) {
						t.Errorf("%+v, want a step of %.2f and nothing else", v, stops)
					}
					// Known to a group of eight frames.
					if group := 8 * float64(rate[1]) / float64(rate[0]); math.Abs(v.StepAt-seconds) > group {
						t.Errorf("step at %.2f s, want %.2f", v.StepAt, seconds)
					}
				})
			}
		}
	}
}

// TestSteadyClips holds still, pans over texture, and flickers or steps by less than matters.
func TestSteadyClips(t *testing.T) {
	shots := map[string]synth.Shot{
		"still":         {},
		"a tenth":       {Drift: 0.02},
		"small step":    {Steps: []synth.Step{{AtS: 2, Stops: 0.05}}},
		"small flicker": {Flicker: synth.Flicker{Depth: 0.03, MainsHz: 60, ShutterS: 1.0 / 50}},
	}
	for name, shot := range shots {
		for _, rate := range rates {
			shot.Frames, shot.RateNum, shot.RateDen = 96, rate[0], rate[1]
			f, set := greyWall(t, shot)
			v := measure(t, f, set).Variation
			if !math.IsNaN(v.Drift) || !math.IsNaN(v.Step) || !math.IsNaN(v.Flicker) {
				t.Errorf("%s at %.2f fps: %+v, want nothing", name, float64(rate[0])/float64(rate[1]), v)
			}
		}
	}
}

// TestFlickerWithDrift finds both, and the drift is no flicker.
func TestFlickerWithDrift(t *testing.T) {
	f, set := greyWall(t, synth.Shot{Frames: 96, RateNum: 24, RateDen: 1, Drift: 0.3,
		Flicker: synth.Flicker{Depth: 0.3, MainsHz: 50, ShutterS: 1.0 / 60}})
	v := measure(t, f, set).Variation
	if !(math.Abs(v.Flicker/0.143-1) <= variationShare) {
		t.Errorf("flicker of %.3f stops, want 0.143", v.Flicker)
	}
	if want := 0.3 * f.frames[95].Time; !(math.Abs(v.Drift/want-1) <= variationShare) {
		t.Errorf("drift of %.3f stops, want %.3f", v.Drift, want)
	}
}

// TestFewFramesTellNothing: a clip of one group shows no drift, and too few frames no flicker.
func TestFewFramesTellNothing(t *testing.T) {
	for _, frames := range []int{1, 2, 5} {
		f, set := greyWall(t, synth.Shot{Frames: frames, Drift: 1, Flicker: synth.Flicker{Depth: 0.3, MainsHz: 60, ShutterS: 1.0 / 50}})
		if v := measure(t, f, set).Variation; v.Drift == v.Drift || v.Step == v.Step || v.Flicker == v.Flicker {
			t.Errorf("%d frames: %+v, want nothing", frames, v)
		}
	}
}

// TestVariationLimits puts drift, step and swing just below and just above what is told: a tenth
// of a stop over the clip, 0.15 stop between two moments, 0.02 stop peak to peak.
func TestVariationLimits(t *testing.T) {
	moments := func(level func(i int) float64) (out []levelAt) {
		for i := range 12 {
			out = append(out, levelAt{float64(i), level(i)})
		}
		return out
	}
	frames := func(swing float64) [][]frameLevel {
		group := make([]frameLevel, 8)
		for i := range group {
			s := float64(i) / 24
			group[i] = frameLevel{s, swing / 2 * math.Cos(2*math.Pi*4*s)}
		}
		return [][]frameLevel{group, group, group}
	}
	for _, side := range []float64{-0.001, 0.001} {
		told := func(v float64) bool { return !math.IsNaN(v) }
		// Twelve moments reach from the middle of the first twelfth to that of the last.
		v := measureVariation(moments(func(i int) float64 { return (0.1 + side) * float64(i) / 12 }), nil, 24)
		if told(v.Drift) != (side > 0) || told(v.Step) {
			t.Errorf("a drift of %.3f: %+v", 0.1+side, v)
		}
		v = measureVariation(moments(func(i int) float64 { return (0.15 + side) * float64(i/6) }), nil, 24)
		if told(v.Step) != (side > 0) {
			t.Errorf("a step of %.3f: %+v", 0.15+side, v)
		}
		if v := measureVariation(nil, frames(0.02+side), 24); told(v.Flicker) != (side > 0) {
			t.Errorf("a swing of %.3f: %+v", 0.02+side, v)
		}
	}
}
