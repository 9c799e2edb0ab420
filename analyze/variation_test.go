package analyze_test

import (
	"fmt"
	"math"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/variation"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// greyWall exposes a wall of 18 % with a panel of a stop less, small, and measures it.
func greyWall(t testing.TB, shot synth.Shot) (*analyze.Result, *film) {
	t.Helper()
	return shoot(t, wallCamera(t), wall(shot), at(geometry.Rect{W: 32, H: 48}))
}

func wallCamera(t testing.TB) synth.Camera {
	cam := camera(t, "S-Log3")
	cam.Width, cam.Height, cam.Sampling = 64, 48, synth.S420
	return cam
}

func wall(shot synth.Shot) synth.Shot {
	shot.Seed = 5
	shot.Scene = synth.Scene{Parts: []synth.Part{
		synth.Fill{Light: synth.Grey(0.18)}, synth.NewPanel(geometry.Upright(40, 0, 24, 48), synth.Grey(0.09), 1),
	}}
	return shot
}

// told tells whether something was found.
func told[T ~float64](v T) bool { return curve.Finite(v) }

// within tells whether got is want up to a share of it.
func within[T ~float64](got T, want, share float64) bool {
	return math.Abs(float64(got)/want-1) <= share
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
		{50, 1.0 / 60, 30000, 1001, 0.143, 10.09}, {50, 1.0 / 60, 30, 1, 0.143, 10},
		{50, 1.0 / 120, 60000, 1001, 0.166, 19.88},
		{50, 1.0 / 120, 60, 1, 0.166, 20}, {50, 1.0 / 200, 24, 1, 0.558, 4}, {50, 1.0 / 200, 48, 1, 0.558, 4},
		{60, 1.0 / 48, 25, 1, 0.110, 5}, {60, 1.0 / 50, 25, 1, 0.109, 5}, {60, 1.0 / 100, 25, 1, 0.135, 5},
		{60, 1.0 / 100, 50, 1, 0.135, 20}, {60, 1.0 / 200, 50, 1, 0.440, 20},
		// A shutter of whole periods, and beats that stand still or take longer than a group.
		{50, 1.0 / 50, 24, 1, 0, 0}, {50, 1.0 / 100, 30, 1, 0, 0}, {60, 1.0 / 60, 25, 1, 0, 0}, {60, 1.0 / 120, 50, 1, 0, 0},
		{50, 1.0 / 60, 25, 1, 0, 0}, {60, 1.0 / 50, 24, 1, 0, 0}, {60, 1.0 / 100, 30, 1, 0, 0},
		{60, 1.0 / 48, 30000, 1001, 0, 0},
	} {
		rate := float64(tc.num) / float64(tc.den)
		t.Run(fmt.Sprintf("%.0f Hz/%.2f fps/shutter 1 of %.0f", tc.hz, rate, 1/tc.shutter), func(t *testing.T) {
			r, _ := greyWall(t, synth.Shot{Frames: 96, RateNum: tc.num, RateDen: tc.den,
				Flicker: synth.Flicker{Depth: 0.3, MainsHz: tc.hz, ShutterS: curve.Seconds(tc.shutter), Phase: 1}})
			checkFlicker(t, r.Variation, tc)
		})
	}
}

func checkFlicker(t *testing.T, v variation.Result, want mains) {
	t.Helper()
	if want.swing == 0 {
		if told(v.Flicker) || told(v.FlickerHz) {
			t.Errorf("flicker of %.3f stops at %.2f Hz where none can be seen", float64(v.Flicker), float64(v.FlickerHz))
		}
		return
	}
	if !within(v.Flicker, want.swing, variationShare) || !(math.Abs(float64(v.FlickerHz)-want.alias) < 0.01) {
		t.Errorf("flicker of %.3f stops at %.2f Hz, want %.3f at %.2f",
			float64(v.Flicker), float64(v.FlickerHz), want.swing, want.alias)
	}
	if told(v.Step) || told(v.Drift) {
		t.Errorf("flicker reads as a step of %.3f or a drift of %.3f stops", float64(v.Step), float64(v.Drift))
	}
}

// rates are frame rates in use.
var rates = [][2]int{{24000, 1001}, {24, 1}, {25, 1}, {30000, 1001}, {30, 1}, {48, 1}, {50, 1}, {60000, 1001}, {60, 1}}

func perSecond(rate [2]int) float64 { return float64(rate[0]) / float64(rate[1]) }

// TestDrift lets the light fade and swell at every frame rate.
func TestDrift(t *testing.T) {
	for _, rate := range rates {
		for _, drift := range []float64{-0.5, 0.2} {
			t.Run(fmt.Sprintf("%.2f fps/%+.1f stops a second", perSecond(rate), drift), func(t *testing.T) {
				r, f := greyWall(t, synth.Shot{Frames: 96, RateNum: rate[0], RateDen: rate[1], Drift: curve.Stops(drift)})
				want := drift * f.Frames[95].Time
				if v := r.Variation; !within(v.Drift, want, driftShare) || told(v.Step) || told(v.Flicker) {
					t.Errorf("%+v, want a drift of %.3f and nothing else", v, want)
				}
				// Along the line from the first group's to the last one's start.
				if between := drift * f.Frames[88].Time; math.Abs(float64(r.Placement.Drift)-between) > placementLossless {
					t.Errorf("placement drifts by %.3f, want %.3f", float64(r.Placement.Drift), between)
				}
			})
		}
	}
}

// TestStep changes the exposure between groups and within one.
func TestStep(t *testing.T) {
	for _, rate := range [][2]int{{24, 1}, {25, 1}, {48, 1}} {
		for _, frame := range []int{24, 48, 51, 53, 80} {
			for _, stops := range []float64{-1, 0.2} {
				t.Run(fmt.Sprintf("%.2f fps/%+.1f stops at frame %d", perSecond(rate), stops, frame), func(t *testing.T) {
					seconds := (float64(frame) - 0.5) / perSecond(rate)
					step := synth.Step{AtS: curve.Seconds(seconds), Stops: curve.Stops(stops)}
					r, _ := greyWall(t, synth.Shot{Frames: 96, RateNum: rate[0], RateDen: rate[1], Steps: []synth.Step{step}})
					v := r.Variation
					if !within(v.Step, stops, variationShare) || told(v.Drift) || told(v.Flicker) {
						t.Errorf("%+v, want a step of %.2f and nothing else", v, stops)
					}
					// Known to a group of eight frames.
					if math.Abs(float64(v.StepAt)-seconds) > 8/perSecond(rate) {
						t.Errorf("step at %.2f s, want %.2f", float64(v.StepAt), seconds)
					}
				})
			}
		}
	}
}

// TestSteadyClips holds still, and flickers, drifts or steps by less than matters.
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
			r, _ := greyWall(t, shot)
			if v := r.Variation; told(v.Drift) || told(v.Step) || told(v.Flicker) {
				t.Errorf("%s at %.2f fps: %+v, want nothing", name, perSecond(rate), v)
			}
		}
	}
}

// TestFlickerWithDrift finds both, and the drift is no flicker.
func TestFlickerWithDrift(t *testing.T) {
	r, f := greyWall(t, synth.Shot{Frames: 96, RateNum: 24, RateDen: 1, Drift: 0.3,
		Flicker: synth.Flicker{Depth: 0.3, MainsHz: 50, ShutterS: 1.0 / 60}})
	if v := r.Variation; !within(v.Flicker, 0.143, variationShare) {
		t.Errorf("flicker of %.3f stops, want 0.143", float64(v.Flicker))
	}
	if want := 0.3 * f.Frames[95].Time; !within(r.Variation.Drift, want, variationShare) {
		t.Errorf("drift of %.3f stops, want %.3f", float64(r.Variation.Drift), want)
	}
}

// TestDriftOverEveryFrame finds the same drift, step and flicker when every frame is measured.
func TestDriftOverEveryFrame(t *testing.T) {
	set := at(geometry.Rect{W: 32, H: 48})
	set.EveryFrame = true
	shot := synth.Shot{Frames: 240, RateNum: 24, RateDen: 1, Drift: 0.1,
		Flicker: synth.Flicker{Depth: 0.3, MainsHz: 50, ShutterS: 1.0 / 60}}
	r, f := shoot(t, wallCamera(t), wall(shot), set)
	drift := 0.1 * f.Frames[239].Time
	if v := r.Variation; !within(v.Flicker, 0.143, variationShare) || !within(v.Drift, drift, variationShare) {
		t.Errorf("%+v, want flicker of 0.143 and a drift of %.3f", v, drift)
	}
	step := synth.Shot{Frames: 240, RateNum: 24, RateDen: 1, Steps: []synth.Step{{AtS: 5, Stops: -1}}}
	r, _ = shoot(t, wallCamera(t), wall(step), set)
	if v := r.Variation; !within(v.Step, -1, variationShare) || math.Abs(float64(v.StepAt)-5) > 12.0/24 {
		t.Errorf("%+v, want a step of -1 at 5 s", v)
	}
}

// TestFewFramesTellNothing: a clip of one group shows no drift, and too few frames no flicker.
func TestFewFramesTellNothing(t *testing.T) {
	for _, frames := range []int{1, 2, 5} {
		light := synth.Flicker{Depth: 0.3, MainsHz: 60, ShutterS: 1.0 / 50}
		r, _ := greyWall(t, synth.Shot{Frames: frames, Drift: 1, Flicker: light})
		if v := r.Variation; told(v.Drift) || told(v.Step) || told(v.Flicker) {
			t.Errorf("%d frames: %+v, want nothing", frames, v)
		}
	}
}
