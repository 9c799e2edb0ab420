package detect

import (
	"math"
	"testing"

	"stopledger/curve"
)

// off returns how far a quantity lies from another, without sign.
func off[T ~float64](got, want T) float64 { return math.Abs(float64(got - want)) }

// neutralsRecorded are the patches of a chart whose grey lies at stops, recorded by one reading and
// read by another; flare is light added, as a share of a perfect white's.
func neutralsRecorded(e Edition, stops curve.Stops, flare float64, recorded, read curve.Reading,
	round bool) (p [24]Patch) {
	for i := range p {
		code := recorded.CodeOf(curve.Light((e.Luminance(i) + flare) * stops.Gain()))
		if round {
			code = curve.FileCode(math.Round(float64(code)))
		}
		l := read.Light(code)
		light := Light{Luma: l, RGB: [3]curve.Light{l, l, l}, Pixels: 100}
		p[i] = Patch{Name: patchNames[i], Published: curve.Light(e.Luminance(i)).Stops(), Light: light,
			Measured: light.Stops()}
	}
	return p
}

// TestWorkedExample is the worked example of the neutrals through S-Log3 with grey at +1.65:
// rounded codes give slope 1.0012 and offset 1.6495 with the 2005 values, 0.9998 and 1.6486 with
// those of 1976.
func TestWorkedExample(t *testing.T) {
	const tolerance = 0.0003 // given to four places; the fit there is not weighted
	r := reading(t, "S-Log3")
	for _, c := range []struct {
		edition Edition
		round   bool
		slope   curve.Ratio
		offset  curve.Stops
	}{
		{Edition2005, false, 1, 1.65},
		{Edition2005, true, 1.0012, 1.6495},
		{Edition1976, true, 0.9998, 1.6486},
	} {
		p := neutralsRecorded(c.edition, 1.65, 0, r, r, c.round)
		l := neutralsOf(&p).judge()
		if off(l.Slope, c.slope) > tolerance || off(l.Offset, c.offset) > tolerance || l.Used != 6 {
			t.Errorf("edition %s: %+v, want slope %.4f, offset %.4f", c.edition, l, c.slope, c.offset)
		}
	}
}

// TestWrongCurve: slopes and offsets of a curve read as another, 2005 values, grey at +1.65, as
// worked independently. The line stays straight, and the curve it was recorded with is among the
// fits.
func TestWrongCurve(t *testing.T) {
	const tolerance, straightRMS = 0.0006, 0.0035
	for _, c := range []struct {
		recorded, read string
		slope          curve.Ratio
		offset         curve.Stops
	}{
		{"S-Log3", "V-Log", 1.0576, 1.560},
		{"S-Log3", "LogC3", 1.2000, 2.197},
		{"V-Log", "S-Log3", 0.9456, 1.735},
		{"V-Log", "LogC3", 1.1349, 2.299},
		{"LogC3", "S-Log3", 0.8341, 1.195},
		{"LogC3", "V-Log", 0.8822, 1.079},
	} {
		recorded, read := reading(t, c.recorded), reading(t, c.read)
		p := neutralsRecorded(Edition2005, 1.65, 0, recorded, read, false)
		l := neutralsOf(&p).judge()
		if off(l.Slope, c.slope) > tolerance || off(l.Offset, c.offset) > tolerance || l.Residual > straightRMS {
			t.Errorf("%s as %s: %+v, want slope %.4f, offset %.3f", c.recorded, c.read, l, c.slope, c.offset)
		}
		d := neutralsOf(&p).doubt(l, read, &defaults.Doubt)
		if d == nil || d.Kind != WrongCurve || !suggests(d, recorded) {
			t.Errorf("%s as %s: doubt %+v does not name the curve", c.recorded, c.read, d)
		}
	}
}

// neutralsOf is a row of neutrals in even light.
func neutralsOf(p *[24]Patch) neutralRow { return neutralRow{p, 0, &defaults.Neutrals} }

func suggests(d *Doubt, r curve.Reading) bool {
	for _, c := range d.Fits {
		if c.Reading == r {
			return true
		}
	}
	return false
}

// TestRightCurve raises no doubt, wherever grey lies, whichever edition it is read as.
func TestRightCurve(t *testing.T) {
	r := reading(t, "S-Log3")
	for _, chart := range []Edition{Edition2005, Edition1976, EditionNov2014} {
		for stops := curve.Stops(-2); stops <= 3; stops += 0.5 {
			p := neutralsRecorded(chart, stops, 0, r, r, true)
			for i := range p {
				p[i].Published = curve.Light(Edition2005.Luminance(i)).Stops()
			}
			l := neutralsOf(&p).judge()
			if d := neutralsOf(&p).doubt(l, r, &defaults.Doubt); d != nil || off(l.Offset, stops) > 0.03 {
				t.Errorf("chart of %s at %+.1f: %+v, doubt %v", chart, stops, l, d)
			}
		}
	}
}

// TestFlare: evenly added light bends the line, and is told from a wrong curve. Slopes with all
// neutrals, as worked independently: 0.983, 0.960, 0.925 at 0.2, 0.5, 1 % of white.
func TestFlare(t *testing.T) {
	r := reading(t, "S-Log3")
	for flare, slope := range map[float64]curve.Ratio{0.002: 0.983, 0.005: 0.960, 0.01: 0.925} {
		p := neutralsRecorded(Edition2005, 1.65, flare, r, r, false)
		for i := range p {
			p[i].Used = true
		}
		const tolerance = 0.0006 // given to three places
		if l := neutralsOf(&p).fitLine(); off(l.Slope, slope) > tolerance {
			t.Errorf("flare %.3f: slope %.4f, want %.3f", flare, l.Slope, slope)
		}
		d := neutralsOf(&p).doubt(neutralsOf(&p).judge(), r, &defaults.Doubt)
		if slope > curve.Ratio(1-defaults.Doubt.Slope) {
			continue // too little to speak of
		}
		if d == nil || d.Kind != StrayLight || off(d.Flare, curve.Share(flare)) > 0.0005 {
			t.Errorf("flare %.3f: doubt %+v", flare, d)
		}
	}
}

// TestNeutralsLeftOut: clipped, dark and glared patches do not pull the line.
func TestNeutralsLeftOut(t *testing.T) {
	r := reading(t, "S-Log3")
	for _, c := range []struct {
		name  string
		stops curve.Stops
		spoil func(p *[24]Patch)
		why   map[int]string
	}{
		{"white clipped", 2, func(p *[24]Patch) { p[18].Light.Clipped = 1; p[18].Measured -= 0.7 },
			map[int]string{18: "clipped"}},
		{"white clipped, the next in one channel", 2,
			func(p *[24]Patch) { p[18].Measured -= 0.52; p[19].Measured -= 0.055 },
			map[int]string{18: "off the line", 19: "clipped"}},
		{"black in the noise", -2, func(p *[24]Patch) { p[23].Measured += 0.5 }, map[int]string{23: "too dark"}},
		{"no light", 0, func(p *[24]Patch) { p[23].Measured = curve.Stops(math.Inf(-1)) },
			map[int]string{23: "too dark"}},
		{"glare on two", 1, func(p *[24]Patch) { p[20].Measured += 0.9; p[21].Measured += 0.4 },
			map[int]string{20: "off the line", 21: "off the line"}},
	} {
		p := neutralsRecorded(Edition2005, c.stops, 0, r, r, false)
		c.spoil(&p)
		l := neutralsOf(&p).judge()
		if off(l.Offset, c.stops) > 0.001 || off(l.Slope, 1) > 0.001 || l.Used != 6-len(c.why) {
			t.Errorf("%s: %+v, want offset %.2f from %d", c.name, l, c.stops, 6-len(c.why))
		}
		for i := firstNeutral; i < 24; i++ {
			if p[i].Why != c.why[i] {
				t.Errorf("%s: %s: %q, want %q", c.name, p[i].Name, p[i].Why, c.why[i])
			}
		}
	}
}

// TestTooFewNeutrals: with two the slope is taken as 1, with none there is no placement.
func TestTooFewNeutrals(t *testing.T) {
	r := reading(t, "S-Log3")
	p := neutralsRecorded(Edition2005, 0.5, 0, r, r, false)
	for i := 18; i < 22; i++ {
		p[i].Light.Clipped = 1
	}
	if l := neutralsOf(&p).judge(); l.Used != 2 || l.Slope != 1 || off(l.Offset, 0.5) > 1e-6 ||
		l.worth(&defaults.Chart) >= 1 || neutralsOf(&p).doubt(l, r, &defaults.Doubt) != nil {
		t.Errorf("two neutrals: %+v", l)
	}
	for i := range p {
		p[i].Light.Clipped, p[i].Why = 1, ""
	}
	if l := neutralsOf(&p).judge(); l.Used != 0 || l.worth(&defaults.Chart) != 0 {
		t.Errorf("no neutral: %+v", l)
	}
}
