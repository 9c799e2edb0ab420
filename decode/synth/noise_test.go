package synth

import (
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// errorsAllowed is how many standard errors a measured variance may lie from the truth: 29 tiles
// in a few tests, so that 4.5 is passed by chance less than once in 1,000 changes of the seeds.
const errorsAllowed = 4.5

// pooled is the naive temporal variance of a rectangle of luma: each pixel's own sample
// variance over the frames, its mean over the pixels, and the standard error of that mean.
func pooled(frames []Planes, in geometry.Rect, value func(code uint16) float64) (variance, se float64) {
	var sum, sumSq float64
	n := float64(in.W * in.H)
	for y := in.Y; y < in.Y+in.H; y++ {
		for x := in.X; x < in.X+in.W; x++ {
			var m, s float64
			for _, p := range frames {
				m += value(p.Row(0, y)[x])
			}
			m /= float64(len(frames))
			for _, p := range frames {
				s += sq(value(p.Row(0, y)[x]) - m)
			}
			s /= float64(len(frames) - 1)
			sum, sumSq = sum+s, sumSq+s*s
		}
	}
	variance = sum / n
	return variance, math.Sqrt((sumSq/n - variance*variance) / n)
}

func TestNoiseIsAsTold(t *testing.T) {
	base := bench(t, 480, 300)
	tungsten, shared, pattern, few, fine := base, base, base, base, base
	tungsten.Gains = [3]float64{1.2, 1, 2.6}
	shared.Grain = Shared
	pattern.Pattern = Pattern{Seed: 5, PRNU: 0.01, DSNU: 2e-4, Rows: 1e-4, Columns: 1e-4}
	few.Noise = Photosite{FullWell: 3000, ReadE: 1.5, BaseISO: 800, ISO: 3200, BaseCeiling: 4}.Noise()
	fine.Sampling, fine.Range, fine.Bits = S444, curve.Full, 16
	for name, cam := range map[string]Camera{
		"daylight": base, "tungsten": tungsten, "shared grain": shared,
		"fixed pattern": pattern, "few electrons": few, "16 bits full": fine,
	} {
		t.Run(name, func(t *testing.T) { checkNoise(t, cam) })
	}
}

func checkNoise(t *testing.T, cam Camera) {
	frames, truth, err := Expose(cam, Shot{Scene: TestTiles(cam.Width, cam.Height), Frames: 8, Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	scale := cam.Reading().PerCode()
	neighbours := 1.0
	if cam.Grain == Shared {
		neighbours = math.Sqrt(2.25) // sum of squared correlations of [1 1] both ways
	}
	table := truth.Reading.Table()
	for _, g := range truth.Regions {
		in, linear := g.Rect(0), g.Linear[0]
		want := float64(truth.SigmaCode(truth.Reading.Code(truth.Reading.CodeOf(linear))))
		heap := linear+3*truth.SigmaLinear(linear) > cam.Ceiling
		if want < 0.5 || heap && cam.Bits < 16 {
			continue // below what whole codes can show, or a heap at the ceiling, which rounding shifts
		}
		v, se := pooled(frames, in, func(c uint16) float64 { return float64(c) / scale })
		v -= 1.0 / 12 / scale / scale // rounding
		if d := math.Abs(v - want*want); d > errorsAllowed*se*neighbours {
			t.Errorf("%s: sigma %.4f codes, want %.4f: %.1f standard errors",
				g.Name, math.Sqrt(v), want, d/se/neighbours)
		}
		if sd := truth.SigmaLinear(linear); linear > 6*sd && linear+6*sd*3 < cam.Ceiling {
			v, se := pooled(frames, in, func(c uint16) float64 { return float64(table.Light[c]) })
			want := sq(float64(sd)) + sq(truth.Reading.LightPerCode(truth.Reading.CodeOf(linear)))/12
			// A straight line stands for the curve here; where light is over 6 sigma the bend
			// within the noise is worth under 3 %.
			if d := math.Abs(v - want); d > errorsAllowed*se*neighbours+0.03*want {
				t.Errorf("%s: sigma %.3g of light, want %.3g: off by %.1f %%",
					g.Name, math.Sqrt(v), math.Sqrt(want), 100*(v/want-1)/2)
			}
		}
	}
}

// Shared grain is correlated as [1 1] both ways makes it: 1/2 to a neighbour beside or below,
// 1/4 across the corner, nothing two pixels away.
func TestSharedGrainCorrelation(t *testing.T) {
	cam := bench(t, 400, 240)
	cam.Grain = Shared
	frame := Render(cam, Shot{Scene: Scene{Parts: []Part{Fill{Grey(0.18)}}}, Seed: 1}, 0)
	mean := 0.0
	for _, v := range frame.Samples[0] {
		mean += float64(v)
	}
	mean /= float64(len(frame.Samples[0]))
	at := func(x, y int) float64 { return float64(frame.Row(0, y)[x]) - mean }
	corr := func(dx, dy int) float64 {
		var a, b float64
		for y := 0; y < 230; y++ {
			for x := 0; x < 390; x++ {
				a += at(x, y) * at(x+dx, y+dy)
				b += sq(at(x, y))
			}
		}
		return a / b
	}
	const tolerance = 0.02 // about 4 standard errors of a correlation over 90,000 pixels, rounding included
	for _, c := range []struct {
		dx, dy int
		want   float64
	}{{1, 0, 0.5}, {0, 1, 0.5}, {1, 1, 0.25}, {2, 0, 0}, {0, 2, 0}} {
		if got := corr(c.dx, c.dy); math.Abs(got-c.want) > tolerance {
			t.Errorf("correlation at %d,%d is %.3f, want %.3f", c.dx, c.dy, got, c.want)
		}
	}
}

// Twice the ISO gives the same light half the electrons: sqrt 2 of the noise, a stop more room.
func TestPhotosite(t *testing.T) {
	site := Photosite{FullWell: 20000, ReadE: 2, BaseISO: 400, BaseCeiling: 8}
	base := site.Noise()
	site.ISO = 800
	fast := site.Noise()
	if got := site.Ceiling(); got != 16 {
		t.Errorf("ceiling %g, want 16", got)
	}
	if base.Shot != 8.0/20000 || fast.Shot != 2*base.Shot || fast.Read != 2*base.Read {
		t.Errorf("noise %+v at 400, %+v at 800", base, fast)
	}
	for _, n := range []Noise{base, fast} {
		if l := n.Floor(); math.Abs(float64(n.Sigma(l)/l-1)) > 1e-12 {
			t.Errorf("at the floor %g noise is %g", l, n.Sigma(l))
		}
	}
}

func BenchmarkFrame(b *testing.B) {
	for _, size := range [][2]int{{320, 180}, {1920, 1080}} {
		cam := bench(b, size[0], size[1])
		for name, s := range map[string]curve.Stops{"day": 0, "night": -6} {
			r, err := NewRenderer(cam, Shot{Scene: TestTiles(size[0], size[1]), Stops: s, Seed: 1})
			if err != nil {
				b.Fatal(err)
			}
			b.Run(name+stopsName(curve.Stops(size[1])), func(b *testing.B) {
				b.SetBytes(int64(size[0] * size[1]))
				for i := range b.N {
					r.Frame(i)
				}
			})
		}
	}
}
