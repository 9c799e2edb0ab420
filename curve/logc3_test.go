package curve

import (
	"math"
	"testing"
)

// The printed table: ALEXA Log C Curve - Usage in VFX, "LogC curve encoding (linear scene
// exposure factor)", SUP 3.x, and the printed signal maximum ("clip").
var logC3Printed = []struct {
	ei                          int
	cut, a, b, c, d, e, f, clip float64
}{
	{160, 0.005561, 5.555556, 0.080216, 0.269036, 0.381991, 5.842037, 0.092778, 0.8128},
	{200, 0.006208, 5.555556, 0.076621, 0.266007, 0.382478, 5.776265, 0.092782, 0.8341},
	{250, 0.006871, 5.555556, 0.072941, 0.262978, 0.382966, 5.710494, 0.092786, 0.8549},
	{320, 0.007622, 5.555556, 0.068768, 0.259627, 0.383508, 5.637732, 0.092791, 0.8773},
	{400, 0.008318, 5.555556, 0.064901, 0.256598, 0.383999, 5.571960, 0.092795, 0.8968},
	{500, 0.009031, 5.555556, 0.060939, 0.253569, 0.384493, 5.506188, 0.092800, 0.9158},
	{640, 0.009840, 5.555556, 0.056443, 0.250219, 0.385040, 5.433426, 0.092805, 0.9362},
	{800, 0.010591, 5.555556, 0.052272, 0.247190, 0.385537, 5.367655, 0.092809, 0.9539},
	{1000, 0.011361, 5.555556, 0.047996, 0.244161, 0.386036, 5.301883, 0.092814, 0.9711},
	{1280, 0.012235, 5.555556, 0.043137, 0.240810, 0.386590, 5.229121, 0.092819, 0.9895},
	{1600, 0.013047, 5.555556, 0.038625, 0.237781, 0.387093, 5.163350, 0.092824, 1.0000},
}

func TestLogC3Generator(t *testing.T) {
	const sixthDecimal, fourthDecimal = 5.1e-7, 5.1e-5 // halves of the last digit printed
	for _, p := range logC3Printed {
		s, top := logC3(p.ei)
		pieces := s.(joined)
		toe, log := pieces[0].Shape.(line), pieces[1].Shape.(logarithm)
		for name, pair := range map[string][2]float64{
			"cut": {pieces[1].fromX, p.cut}, "a": {log.in, p.a}, "b": {log.lift, p.b},
			"c": {log.gain, p.c}, "d": {log.offset, p.d}, "e": {toe.gain, p.e}, "f": {toe.offset, p.f},
		} {
			if math.Abs(pair[0]-pair[1]) > sixthDecimal {
				t.Errorf("EI %d: %s = %.7f, printed %.6f", p.ei, name, pair[0], pair[1])
			}
		}
		if math.Abs(top-p.clip) > fourthDecimal {
			t.Errorf("EI %d: signal maximum %.5f, printed %.4f", p.ei, top, p.clip)
		}
	}
}

// From index 1600 the shoulder starts at 0.8 with the logarithm's own value and slope and
// puts the maximum, which would be m, at 1 (ALEXA Log C Curve - Usage in VFX; m computed
// from the generator independently, as the Academy's CSC.Arri.LogCv3_to_ACES has it).
func TestLogC3Shoulder(t *testing.T) {
	for _, tc := range []struct {
		ei int
		m  float64
	}{{1600, 1.0054}, {2000, 1.0208}, {2560, 1.0371}, {3200, 1.0513}} {
		s, top := logC3(tc.ei)
		bend := s.(joined)[2].Shape.(shoulder)
		if math.Abs(bend.top-tc.m) > 5.1e-5 {
			t.Errorf("EI %d: signal maximum before the shoulder %.5f, want %.4f", tc.ei, bend.top, tc.m)
		}
		clip := 0.18 / 0.01 * (1 - 16.0/4095) * float64(tc.ei) / 400
		if n := s.Encode(clip); top != 1 || math.Abs(n-1) > 1e-12 {
			t.Errorf("EI %d: the sensor's top is recorded at %.15f, want 1", tc.ei, n)
		}
		x := bend.log.Decode(0.8)
		if n := s.Encode(x); math.Abs(n-0.8) > 1e-12 {
			t.Errorf("EI %d: the shoulder starts at %.15f, want 0.8", tc.ei, n)
		}
		if got, want := s.Slope(0.8+1e-12), bend.log.Slope(0.8); math.Abs(got/want-1) > 1e-9 {
			t.Errorf("EI %d: slope %.12g at the shoulder's start, want the logarithm's %.12g", tc.ei, got, want)
		}
		if s.Encode(0.9*clip) >= bend.log.Encode(0.9*clip) {
			t.Errorf("EI %d: the shoulder does not bend down", tc.ei)
		}
	}
}

func TestWithIndex(t *testing.T) {
	c, err := Find("logc3")
	if err != nil {
		t.Fatal(err)
	}
	usual, err := c.WithIndex(800)
	if err != nil || usual.Index != 800 || c.Index != 800 || usual.Decode(0.7) != c.Decode(0.7) {
		t.Errorf("LogC3 without an index is not EI 800: %v", err)
	}
	fast, err := usual.WithIndex(1600)
	if err != nil || fast.Name != "LogC3 EI1600" {
		t.Errorf("WithIndex(1600) of EI 800: %v, %v", fast, err)
	}
	if named, err := Find("LogC3 EI1600"); err != nil || named.Decode(0.7) != fast.Decode(0.7) {
		t.Errorf("LogC3 EI1600 by name: %v", err)
	}
	for name, tc := range map[string]struct {
		curve string
		ei    int
		want  string
	}{
		"not printed": {"LogC3", 1234, "LogC3 is not published for exposure index 1234: it takes " +
			"160 200 250 320 400 500 640 800 1000 1280 1600 2000 2560 3200"},
		"no index": {"S-Log3", 800, "S-Log3 is the same at every exposure index: leave the index out"},
	} {
		c, err := Find(tc.curve)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := c.WithIndex(tc.ei); err == nil || err.Error() != tc.want {
			t.Errorf("%s: %v, want %q", name, err, tc.want)
		}
	}
	if _, err := Find("LogC3 EI1234"); err == nil {
		t.Error("LogC3 EI1234 was found")
	}
}
