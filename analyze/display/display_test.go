package display

import (
	"fmt"
	"math"
	"testing"

	"stopledger/curve"
)

// near fails where got lies further from want than tolerance, relative to want.
func near[T, U ~float64](t *testing.T, what string, got T, want U, tolerance float64) {
	t.Helper()
	if off := math.Abs(float64(got) - float64(want)); !(off <= tolerance*math.Abs(float64(want))) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// TestLightness: CIE L*, its slope, and the L* of noise of 1 and 10 % (worked with numpy from the
// formula of CIE 15; it gives the L* of the 24-patch chart's 2005 edition from its Y to 1e-4).
func TestLightness(t *testing.T) {
	for _, tc := range []struct{ y, l, slope, one, ten float64 }{
		{0.001, 0.903, 903.3, 0.009, 0.090}, {0.01, 8.991, 833.1, 0.083, 0.83}, {0.05, 26.735, 284.9, 0.142, 1.42},
		{0.18, 49.496, 121.3, 0.218, 2.18}, {0.5, 76.069, 61.4, 0.307, 3.07}, {1, 100, 38.7, 0.387, 3.87},
		{0.09, 35.984, 0, 0, 0}, {0.36, 66.520, 0, 0, 0}, {0.9, 95.997, 0, 0, 0}, {0.18419, 50, 0, 0, 0},
	} {
		if got := float64(Light(tc.y).Lightness()); math.Abs(got-tc.l) > 6e-4 {
			t.Errorf("L* of %v: %.4f, want %.3f", tc.y, got, tc.l)
		}
		if tc.slope == 0 {
			continue
		}
		slope := float64(Light(tc.y).LightnessSlope())
		one, ten := slope*tc.y*0.01, slope*tc.y*0.1
		if math.Abs(slope-tc.slope) > 0.06 || math.Abs(one-tc.one) > 6e-4 || math.Abs(ten-tc.ten) > 6e-3 {
			t.Errorf("slope at %v: %.2f, want %.1f; noise of 1 %% %.4f, of 10 %% %.3f", tc.y, slope, tc.slope, one, ten)
		}
	}
	if Light(0).Lightness() != 0 || Light(-1).Lightness() != 0 {
		t.Error("no light has a lightness")
	}
}

// TestSlopes compares slopes with differences of the functions, on either side of the knee and of
// L*'s straight part.
func TestSlopes(t *testing.T) {
	const step = 1e-6
	for _, v := range []curve.Light{0.0005, 0.0088, 0.0089, 0.1, 0.5, 0.599, 0.601, 0.8, 1, 3} {
		near(t, "slope of the display", Slope(v), (Render(v+step)-Render(v-step))/2/step, 1e-4)
		y := Light(v)
		near(t, "slope of L*", y.LightnessSlope(), ((y+step).Lightness()-(y-step).Lightness())/2/step, 1e-4)
	}
	if Slope(0) != 0 || Slope(-1) != 0 {
		t.Error("no light has a slope")
	}
}

// TestRender: reflectances up to the knee show as themselves, nothing exceeds white, and more light
// never shows darker.
func TestRender(t *testing.T) {
	for _, v := range []curve.Light{0.0001, 0.18, 0.6} {
		if float64(Render(v)) != float64(v) {
			t.Errorf("light %v shows as %v", v, Render(v))
		}
	}
	// 0.6 + 0.4 (1 - 1/e), and the signals of an 11.7 and an 18 % grey on a BT.1886 display
	// (18 % through BT.709's camera curve is 40.9 % signal, shown at 11.7 %).
	near(t, "white", Render(1), 0.6+0.4*(1-math.Exp(-1)), 1e-12)
	near(t, "signal of 11.7 %", Light(0.1170).Signal(), 40.9, 1e-3)
	near(t, "signal of grey", Light(0.18).Signal(), 48.95, 1e-3)
	last := Light(-1)
	for stops := curve.Stops(-20); stops < 20; stops += 0.1 {
		d := Render(stops.Light())
		if d < last || d > 1 {
			t.Fatalf("%+.1f stops show as %v after %v", stops, d, last)
		}
		last = d
	}
	for _, v := range []float64{0, -0.01, math.Inf(-1), math.NaN()} {
		if d := Render(curve.Light(v)); d != 0 || d.Signal() != 0 || Code(curve.Light(v)) != 0 {
			t.Errorf("light %v shows as %v", v, d)
		}
	}
	if Render(curve.Light(math.Inf(1))) != 1 || Light(2).Signal() != 100 || Code(1000) != 255 {
		t.Error("no light is brighter than white")
	}
}

// TestScene: what shows as a light comes back from it.
func TestScene(t *testing.T) {
	for _, v := range []curve.Light{0.0001, 0.18, 0.6, 0.6001, 1, 3} {
		near(t, "scene light", Render(v).Scene(), v, 1e-9)
	}
}

// TestCode: the table of steps rounds as the formula does, on either side of every step and all
// over the scale.
func TestCode(t *testing.T) {
	round := func(l curve.Light) uint8 { return uint8(math.Round(255 * float64(Render(l).Signal()) / 100)) }
	for i, step := range steps {
		if under, over := Code(step*(1-1e-9)), Code(step*(1+1e-9)); int(under) != i || int(over) != i+1 {
			t.Errorf("codes %d and %d around the step from %d to %d", under, over, i, i+1)
		}
	}
	for stops := curve.Stops(-12); stops < 8; stops += 0.0137 {
		if l := stops.Light(); Code(l) != round(l) {
			t.Errorf("light %v shows as code %d, want %d", l, Code(l), round(l))
		}
	}
	// 0.18^(1/2.4) = 0.48945; x 255 is 124.8.
	if Code(0.18) != 125 {
		t.Errorf("grey shows as code %d, want 125", Code(0.18))
	}
}

// TestShade: rows of pixels have the codes of their light, on either side of every step, and of no light.
func TestShade(t *testing.T) {
	lights := []float32{0, -1, float32(math.NaN()), float32(math.Inf(1)), 1e-30, 1e30}
	for _, step := range steps {
		at := float32(step)
		lights = append(lights, at, math.Nextafter32(at, 0), math.Nextafter32(at, 2), at*(1-1e-6), at*(1+1e-6))
	}
	for bits := uint32(0); bits < 0x7f800000; bits += 9973 {
		lights = append(lights, math.Float32frombits(bits))
	}
	var none *Rendering
	for _, gain := range []float32{1, 0.3} {
		pixels := make([]uint8, 4*len(lights))
		none.Shade(pixels, lights, lights, lights, gain)
		for i, l := range lights {
			want := Code(curve.Light(l * gain))
			if got := [4]uint8(pixels[4*i:]); got != [4]uint8{want, want, want, 255} {
				t.Fatalf("light %g times %g shows as %v, want %d", l, gain, got, want)
			}
		}
	}
}

// Grey shows as itself; a white reflector is bent by the shoulder.
func ExampleRender() {
	for _, stops := range []curve.Stops{-4, 0, 2.474} {
		y := Render(stops.Light())
		fmt.Printf("%+.1f stops: %.1f %% of white, signal %v, L* %.0f\n", stops, 100*y, y.Signal(), y.Lightness())
	}
	// Output:
	// -4.0 stops: 1.1 % of white, signal 15.4 %, L* 10
	// +0.0 stops: 18.0 % of white, signal 48.9 %, L* 49
	// +2.5 stops: 85.3 % of white, signal 93.6 %, L* 94
}
