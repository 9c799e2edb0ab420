package detect

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"

	"stopledger/analyze/detect/lattice"
	"stopledger/analyze/detect/pyramid"
	"stopledger/curve"
)

// longley is employment and six measures of an economy by year (J. W. Longley, "An Appraisal of Least Squares Programs
// for the Electronic Computer from the Point of View of the User", Journal of the American Statistical Association 62,
// 1967; NIST Statistical Reference Datasets, "Longley", from memory).
var longley = [16][7]float64{
	{60323, 83.0, 234289, 2356, 1590, 107608, 1947}, {61122, 88.5, 259426, 2325, 1456, 108632, 1948},
	{60171, 88.2, 258054, 3682, 1616, 109773, 1949}, {61187, 89.5, 284599, 3351, 1650, 110929, 1950},
	{63221, 96.2, 328975, 2099, 3099, 112075, 1951}, {63639, 98.1, 346999, 1932, 3594, 113270, 1952},
	{64989, 99.0, 365385, 1870, 3547, 115094, 1953}, {63761, 100.0, 363112, 3578, 3350, 116219, 1954},
	{66019, 101.2, 397469, 2904, 3048, 117388, 1955}, {67857, 104.6, 419180, 2822, 2857, 118734, 1956},
	{68169, 108.4, 442769, 2936, 2798, 120445, 1957}, {66513, 110.8, 444546, 4681, 2637, 121950, 1958},
	{68655, 112.6, 482704, 3813, 2552, 123366, 1959}, {69564, 114.2, 502601, 3931, 2514, 125368, 1960},
	{69331, 115.7, 518173, 4806, 2572, 127852, 1961}, {70551, 116.9, 554894, 4007, 2827, 130081, 1962},
}

// TestLeastSquaresAgainstNIST: slopes and their standard errors certified for a set made to be hard. The measures are
// taken from their means, which changes neither.
func TestLeastSquaresAgainstNIST(t *testing.T) {
	const tolerance = 1e-6 // of a value
	slopes := []float64{15.0618722713733, -0.358191792925910e-01, -2.02022980381683, -1.03322686717359,
		-0.511041056535807e-01, 1829.15146461355}
	errors := []float64{84.9149257747669, 0.334910077722432e-01, 0.488399681651699, 0.214274163161675,
		0.226073200069370, 455.478499142212}
	units := []float64{1, 10, 1e5, 1e3, 1e3, 1e4, 1}
	var mean [7]float64
	for _, row := range longley {
		for k, v := range row {
			mean[k] += v / float64(len(longley))
		}
	}
	var rows [][]float64
	var y []float64
	for _, row := range longley {
		r := []float64{1}
		for k := 1; k < 7; k++ {
			r = append(r, (row[k]-mean[k])/units[k])
		}
		rows, y = append(rows, r), append(y, row[0])
	}
	x, errs, ok := leastSquares(rows, y)
	if !ok {
		t.Fatal("no solution")
	}
	for k := range slopes {
		slope, err := x[k+1]/units[k+1], errs[k+1]/units[k+1]
		if math.Abs(slope/slopes[k]-1) > tolerance || math.Abs(err/errors[k]-1) > tolerance {
			t.Errorf("slope %d: %.12g +- %.12g, want %.12g +- %.12g", k, slope, err, slopes[k], errors[k])
		}
	}
	if math.Abs(x[0]-mean[0]) > 1e-6 {
		t.Errorf("the mean %g, want %g", x[0], mean[0])
	}
}

// TestLeastSquaresRefuses: columns that are one another's multiple have no solution.
func TestLeastSquaresRefuses(t *testing.T) {
	if x, _, ok := leastSquares([][]float64{{1, 2}, {2, 4}, {3, 6}}, []float64{1, 2, 3}); ok {
		t.Errorf("solved: %v", x)
	}
}

// chartInSlope is the patches of a chart under light that changes by across and down stops a patch, recorded by a
// camera whose luminance is that of BT.709 after a balance of white, with a relative error of each.
func chartInSlope(rng *rand.Rand, e Edition, across, down, noise float64) (p [24]Patch) {
	m := curve.BT709
	for i := range p {
		k := math.Exp2(across*(float64(i%6)-2.5)+down*(float64(i/6)-1.5)) * (1 + noise*rng.NormFloat64())
		rgb := e.Reference(i)
		var l Light
		for c := range rgb {
			l.RGB[c] = curve.Light(rgb[c] * k)
		}
		l.Luma = curve.Light((m.Kr*rgb[0] + m.Kg()*rgb[1] + m.Kb*rgb[2]) * k)
		p[i] = Patch{Name: patchNames[i], Light: l, Published: curve.Light(e.Luminance(i)).Stops(), Measured: l.Stops()}
	}
	return p
}

// TestUnevenLight: a slope of the light over a chart is told, up to what a straight line in light can say of it, also
// with patches left out; even light, a slope in the noise and too few patches tell none.
func TestUnevenLight(t *testing.T) {
	rng := rand.New(rand.NewPCG(42, 1))
	limits := &defaults.Neutrals
	for _, c := range []struct {
		across, down, noise, tolerance float64
	}{
		{0, 0, 0.01, 0}, {0.1, 0, 0.01, 0.015}, {-0.08, 0.06, 0.01, 0.015}, {0.05, -0.1, 0.01, 0.015}, {0, 0, 0.04, 0},
	} {
		for range 10 {
			p := chartInSlope(rng, Edition2005, c.across, c.down, c.noise)
			var odd [24]bool
			for range 3 {
				i := rng.IntN(24)
				odd[i], p[i].Light.RGB[1] = true, 5
			}
			across, down := unevenLight(curve.BT709, &p, Edition2005, odd, limits)
			if math.Abs(across-c.across) > c.tolerance || math.Abs(down-c.down) > c.tolerance {
				t.Errorf("light that slopes by %g and %g: told %.3f and %.3f", c.across, c.down, across, down)
			}
		}
	}
	p := chartInSlope(rng, Edition2005, 0.1, 0.1, 0)
	var odd [24]bool
	for i := range 24 - limits.UnevenPatches + 1 {
		odd[i] = true
	}
	if across, down := unevenLight(curve.BT709, &p, Edition2005, odd, limits); across != 0 || down != 0 {
		t.Errorf("%d patches tell %g and %g", limits.UnevenPatches-1, across, down)
	}
}

// TestNeutralsInSlope: the line of neutrals holds for the middle of their row whichever way the light slopes; a slope
// that would take neutrals off the line is not borne out.
func TestNeutralsInSlope(t *testing.T) {
	r := reading(t, "S-Log3")
	for _, across := range []float64{-0.15, -0.05, 0.08, 0.2} {
		p := neutralsRecorded(Edition2005, 0.7, 0, r, r, false)
		for i := range p {
			p[i].Measured += curve.Stops(across * (float64(i%6) - 2.5))
		}
		row := neutralRow{&p, across, &defaults.Neutrals}
		if !row.borneOut() {
			t.Errorf("a slope of %g is not borne out", across)
		}
		if l := row.judge(); off(l.Offset, 0.7) > 1e-6 || off(l.Slope, 1) > 1e-6 || l.Used != 6 {
			t.Errorf("light that slopes by %g: %+v", across, l)
		}
		for i := firstNeutral; i < 24; i++ {
			if off(p[i].Residual, 0) > 1e-6 {
				t.Errorf("light that slopes by %g: %s off by %g", across, p[i].Name, p[i].Residual)
			}
		}
	}
	p := neutralsRecorded(Edition2005, 0.7, 0, r, r, false)
	if (neutralRow{&p, 0.2, &defaults.Neutrals}).borneOut() {
		t.Error("a slope of 0.2 is borne out by neutrals in even light")
	}
}

// TestWeightedLine compares the neutrals' line with gonum's weighted regression and its root mean square; with fewer
// than three the slope is 1, and the error grows with what is left.
func TestWeightedLine(t *testing.T) {
	const spread = 0.02
	rng := rand.New(rand.NewPCG(42, 2))
	for range 50 {
		var x, y, w []float64
		for range 3 + rng.IntN(4) {
			x, w = append(x, 5*rng.Float64()-2.5), append(w, 100+2000*rng.Float64())
			y = append(y, 1.1*x[len(x)-1]+0.4+0.03*rng.NormFloat64())
		}
		l := weightedLine(x, y, w, spread)
		offset, slope := stat.LinearRegression(x, y, w, false)
		left := make([]float64, len(x))
		total := 0.0
		for i := range x {
			left[i] = math.Pow(y[i]-offset-slope*x[i], 2)
			total += w[i]
		}
		residual := math.Sqrt(stat.Mean(left, w))
		want := math.Sqrt(1/total + residual*residual/max(float64(len(x)-2), 1) + spread*spread)
		if off(l.Slope, curve.Ratio(slope)) > 1e-12 || off(l.Offset, curve.Stops(offset)) > 1e-12 ||
			off(l.Residual, curve.Stops(residual)) > 1e-12 || off(l.Error, curve.Stops(want)) > 1e-12 {
			t.Fatalf("%+v, want %g, %g, %g, %g", l, slope, offset, residual, want)
		}
	}
	two := weightedLine([]float64{-1, 1}, []float64{0, 2.5}, []float64{1, 1}, spread)
	if two.Slope != 1 || off(two.Offset, 1.25) > 1e-12 {
		t.Errorf("two neutrals: %+v", two)
	}
	if none := weightedLine(nil, nil, nil, spread); !math.IsInf(float64(none.Error), 1) || none.Used != 0 {
		t.Errorf("no neutrals: %+v", none)
	}
}

// TestCurvesAtNominal: slopes and offsets of the 2005 neutrals with grey at its nominal code and decoded by another
// curve: worked independently from the published curves, unrounded codes.
func TestCurvesAtNominal(t *testing.T) {
	const slopeTolerance, offsetTolerance = 0.0015, 0.0015 // the fit there is not weighted, and takes all six
	for _, c := range []struct {
		recorded, read string
		slope          curve.Ratio
		offset         curve.Stops
	}{
		{"S-Log3", "V-Log", 1.0616, -0.190}, {"S-Log3", "LogC3", 1.2031, 0.211}, {"V-Log", "S-Log3", 0.9431, 0.178},
		{"V-Log", "LogC3", 1.1324, 0.427}, {"LogC3", "S-Log3", 0.8325, -0.178}, {"LogC3", "V-Log", 0.8834, -0.377},
	} {
		p := neutralsRecorded(Edition2005, 0, 0, reading(t, c.recorded), reading(t, c.read), false)
		var x, y []float64
		for i := firstNeutral; i < 24; i++ {
			x, y = append(x, p[i].published()), append(y, float64(p[i].Measured))
		}
		l := weightedLine(x, y, []float64{1, 1, 1, 1, 1, 1}, 0)
		if off(l.Slope, c.slope) > slopeTolerance || off(l.Offset, c.offset) > offsetTolerance {
			t.Errorf("%s as %s: %.4f, %.3f; want %.4f, %.3f", c.recorded, c.read, l.Slope, l.Offset, c.slope, c.offset)
		}
	}
}

// TestRereadReturns: patches read by the wrong curve and taken back to codes lie right by the curve they were
// recorded with.
func TestRereadReturns(t *testing.T) {
	names := []string{"S-Log3", "V-Log", "LogC3"}
	for _, recorded := range names {
		for _, read := range names {
			from, to := reading(t, read), reading(t, recorded)
			p := neutralsRecorded(Edition2005, 1, 0, to, from, false)
			row := neutralsOf(&p)
			row.markUsable()
			if l := row.reread(from, to); off(l.Slope, 1) > 1e-6 || off(l.Offset, 1) > 1e-6 {
				t.Errorf("%s read as %s: %+v", recorded, read, l)
			}
		}
	}
}

// TestFitFlare: the light added to all patches is told to half a step, the gain does not matter.
func TestFitFlare(t *testing.T) {
	for _, flare := range []float64{0, 0.0013, 0.004, 0.02} {
		var p [24]Patch
		for i := range p {
			y := Edition2005.Luminance(i)
			p[i] = Patch{Published: curve.Light(y).Stops(), Measured: curve.Light(2.7 * (y + flare)).Stops(), Used: true}
		}
		got, left := neutralsOf(&p).fitFlare(&defaults.Doubt)
		if math.Abs(got-flare) > defaults.Doubt.FlareStep || left > 0.002 {
			t.Errorf("flare %g: told %g, %g left", flare, got, left)
		}
	}
}

// TestLikeness compares the least correlation of the three axes with gonum's.
func TestLikeness(t *testing.T) {
	rng := rand.New(rand.NewPCG(42, 3))
	for range 30 {
		seen := rng.Perm(24)[:10+rng.IntN(14)]
		colours := make([][axes]float64, len(seen))
		want := 1.0
		var seenOf [axes][]float64
		for i, p := range seen {
			for k := range axes {
				colours[i][k] = referenceAxes[p][k] + rng.NormFloat64()
				seenOf[k] = append(seenOf[k], colours[i][k])
			}
		}
		for k := range axes {
			var published []float64
			for _, p := range seen {
				published = append(published, referenceAxes[p][k])
			}
			want = min(want, stat.Correlation(published, seenOf[k], nil))
			if sd := math.Sqrt(stat.PopVariance(seenOf[k], nil)); k > 0 && sd < 0.1 {
				t.Fatal("colours hardly vary")
			}
		}
		if got := likeness(seen, colours, -1); math.Abs(got-want) > 1e-9 {
			t.Fatalf("likeness %.6f, want %.6f", got, want)
		}
		sd := math.Sqrt(min(stat.PopVariance(seenOf[1], nil), stat.PopVariance(seenOf[2], nil)))
		if !variegated(colours, 0.999*sd) || variegated(colours, 1.001*sd) {
			t.Errorf("variegated at a deviation of %g", sd)
		}
	}
	if got := likeness([]int{1, 2, 3}, make([][axes]float64, 3), -1); got != -1 {
		t.Errorf("of one colour: %g", got)
	}
}

// TestPlacedLikeness: the chart laid as it is has a likeness of 1, turned it has less.
func TestPlacedLikeness(t *testing.T) {
	var places []lattice.Place
	for i := range 24 {
		places = append(places, lattice.Place{I: i % 6, J: i / 6})
	}
	p := lattice.DefaultParams()
	whole := 0
	for _, one := range lattice.Placings([][]lattice.Place{places}, &p) {
		l := placedLikeness(places, one, referenceAxes[:], -1)
		u, v, ok := one.Patch(lattice.Place{})
		if upright := ok && u == 0 && v == 0; upright != (l > 1-1e-9) {
			t.Errorf("first place at %d, %d: likeness %.3f", u, v, l)
		} else if upright {
			whole++
		}
	}
	if whole != 1 {
		t.Errorf("laid upright in %d ways", whole)
	}
}

// seenChart is the published colours through a camera: each axis with a gain and an offset, lightness with a slope.
func seenChart(gains, offsets [axes]float64, across, down float64) (c [24][axes]float64) {
	for i := range c {
		for k := range axes {
			c[i][k] = gains[k]*referenceAxes[i][k] + offsets[k]
		}
		c[i][0] += across*(float64(i%6)-2.5) + down*(float64(i/6)-1.5)
	}
	return c
}

// TestMatchColours: a camera's gains and offsets and a slope of the light are found and nothing is left; patches in
// glare are told and have no say; a negative or scrambled chart is none.
func TestMatchColours(t *testing.T) {
	rng := rand.New(rand.NewPCG(42, 4))
	var all [24]bool
	for i := range all {
		all[i] = true
	}
	for range 20 {
		gains := [axes]float64{0.6 + rng.Float64(), 0.4 + rng.Float64(), 0.4 + rng.Float64()}
		c := seenChart(gains, [axes]float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}, 0.1, -0.05)
		glare := map[int]bool{rng.IntN(24): true, rng.IntN(24): true}
		for i := range glare {
			c[i][0] += 3
			c[i][1], c[i][2] = c[i][1]+1.5, c[i][2]-1.5
		}
		m := matchColours(&c, all, &defaults.Chart)
		if m.used != 24-len(glare) || m.explained < 1-1e-6 {
			t.Errorf("%d patches used, %.4f explained", m.used, m.explained)
		}
		for k := range axes {
			if math.Abs(m.gains[k]-gains[k]) > 1e-6 {
				t.Errorf("axis %d: gain %.4f, want %.4f", k, m.gains[k], gains[k])
			}
		}
		for i, odd := range m.odd {
			if odd != glare[i] {
				t.Errorf("patch %d in glare %v, left out %v", i, glare[i], odd)
			}
		}
	}
	negative := seenChart([axes]float64{-1, 1, 1}, [axes]float64{}, 0, 0)
	if m := matchColours(&negative, all, &defaults.Chart); m.explained > 0 {
		t.Errorf("a negative: %.3f explained", m.explained)
	}
	upright, mixed := seenChart([axes]float64{1, 1, 1}, [axes]float64{}, 0, 0), [24][axes]float64{}
	for i, k := range rng.Perm(24) {
		mixed[i] = upright[k]
	}
	if m := matchColours(&mixed, all, &defaults.Chart); m.explained >= defaults.Chart.LeastExplained &&
		m.used >= defaults.Chart.LeastUsed {
		t.Errorf("scrambled: %.3f explained of %d", m.explained, m.used)
	}
	var few [24]bool
	few[0], few[9], few[20] = true, true, true
	scattered := mixed
	if m := matchColours(&scattered, few, &defaults.Chart); m.explained > 0.9 {
		t.Errorf("three patches: %.3f explained", m.explained)
	}
}

// TestAxes: lightness is the mean, the others are differences to green; grey has none.
func TestAxes(t *testing.T) {
	if got := axesOf(pyramid.Tone{R: 1, G: 2, B: 6}); got != [axes]float64{3, -1, 4} {
		t.Errorf("%v", got)
	}
	for k := range axes {
		var v []float64
		for i := range referenceAxes {
			v = append(v, referenceAxes[i][k])
		}
		if want := math.Sqrt(stat.PopVariance(v, nil)); math.Abs(referenceSpread[k]-want) > 1e-9 {
			t.Errorf("axis %d: spread %g, want %g", k, referenceSpread[k], want)
		}
	}
}
