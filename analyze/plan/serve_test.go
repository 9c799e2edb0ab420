package plan

import (
	"math"
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

func served(t *testing.T) (*Profile, Clip) {
	camera := noise.Camera{Read: 3e-4, ReadLow: 2.9e-4, ReadHigh: 3.1e-4, Shot: 2e-5, ShotLow: 1.9e-5, ShotHigh: 2.1e-5,
		Floor: -9.18, FloorLow: -9.25, FloorHigh: -9.1}
	p := &Profile{Camera: "Maker One", Curve: "S-Log3", BaseISOs: []int{800}, ISOs: []ISO{{ISO: 800, Camera: camera,
		Ceiling: 5.8, Origin: clipping.Measured, Ceilings: Ceilings{870, 868, 869}}}}
	return p, Clip{ISO: 800, Camera: "Maker One", Reading: reading(t, "slog3")}
}

// unclipped is a clip in which nothing clips, up to the end of the curve's recordings.
func unclipped(brightest curve.Stops) clipping.Result {
	return clipping.Result{Brightest: brightest, Headroom: 6.01 - brightest, Bound: clipping.AtMost,
		Ceiling: clipping.Ceiling{Recorded: 6.01, Origin: clipping.CurveEnd},
		Each:    map[string]clipping.Level{"r": {Code: 887, Origin: clipping.CurveEnd}}}
}

// A profile tells the noise that a clip hides, and the ceiling where nothing clips; what the clip shows itself
// stays.
func TestServe(t *testing.T) {
	p, c := served(t)
	hidden := noise.Result{Suppressed: true, Reason: "coding"}
	own := unclipped(4)
	s := p.Serve(c, hidden, own)
	snr := s.Noise.CameraSNR(-4)
	want := 20 * math.Log10(0.01125/math.Sqrt(9e-8+2e-5*0.01125)) // variance = read^2 + shot x light
	if s.Noise.Profile == nil || math.Abs(float64(snr.Value)-want) > 1e-6 || !(snr.Low < snr.Value) ||
		!(snr.Value < snr.High) {
		t.Errorf("%+v, want %.2f dB", snr, want)
	}
	if s.Clipping.Ceiling.Origin != clipping.Profile || s.Clipping.Ceiling.Recorded != 5.8 || s.Clipping.Bound != "" ||
		math.Abs(float64(s.Clipping.Headroom-1.8)) > 1e-9 ||
		s.Clipping.Each["r"] != (clipping.Level{Code: 870, Origin: clipping.Profile}) {
		t.Errorf("%+v", s.Clipping)
	}
	if !strings.Contains(s.Used, "hides") || !strings.Contains(s.Used, "nothing clips") || s.Doubt+s.Unused != "" {
		t.Errorf("%+v", s)
	}
	if own.Each["r"].Origin != clipping.CurveEnd {
		t.Error("it changed the measurement")
	}
	seen := unclipped(4)
	seen.Ceiling = clipping.Ceiling{Recorded: 5.9, Origin: clipping.Measured}
	told := noise.Result{Model: &noise.Model{Read: 1e-4, Shot: 1e-5}, Coding: noise.Coding{Origin: noise.Lossless}}
	s = p.Serve(c, told, seen)
	if s.Noise.Profile != nil || s.Clipping.Ceiling.Recorded != 5.9 || s.Used+s.Doubt+s.Unused != "" {
		t.Errorf("what the clip shows is replaced: %+v", s)
	}
}

// It is not used for another curve, camera or ISO, nor where the clip contradicts it.
func TestNotServed(t *testing.T) {
	hidden := noise.Result{Suppressed: true}
	lower := unclipped(4)
	lower.Ceiling = clipping.Ceiling{Recorded: 5, Origin: clipping.Measured}
	for says, change := range map[string]func(c *Clip, clip *clipping.Result){
		"read as V-Log":     func(c *Clip, _ *clipping.Result) { c.Reading = reading(t, "vlog") },
		"clip of a Other":   func(c *Clip, _ *clipping.Result) { c.Camera = "Other" },
		"not say its ISO":   func(c *Clip, _ *clipping.Result) { c.ISO = 0 },
		"no ISO 1600":       func(c *Clip, _ *clipping.Result) { c.ISO = 1600 },
		"clips at +5.0":     func(_ *Clip, clip *clipping.Result) { *clip = lower },
		"above the ceiling": func(_ *Clip, clip *clipping.Result) { *clip = unclipped(6.5) },
	} {
		p, c := served(t)
		clip := unclipped(4)
		change(&c, &clip)
		s := p.Serve(c, hidden, clip)
		if !strings.Contains(s.Unused+s.Doubt, says) || s.Used != "" || s.Noise.Profile != nil ||
			s.Clipping.Ceiling.Origin == clipping.Profile {
			t.Errorf("%s: %+v", says, s)
		}
	}
}
