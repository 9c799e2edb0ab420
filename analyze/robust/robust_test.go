package robust

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// freedom is that of a cell of 16 x 16 samples less mean and two contrasts.
const freedom = 253

// variances of samples of unit variance that hold still, with a share that moves: there they are
// 1.2 to 20 times as large. In ascending order.
func variances(n int, moving float64, seed uint64) []float64 {
	random := rand.New(rand.NewPCG(seed, 99))
	chi := distuv.ChiSquared{K: freedom, Src: random}
	v := make([]float64, n)
	for i := range v {
		v[i] = chi.Rand() / freedom
		if float64(i) < moving*float64(n) {
			v[i] *= 1.2 * math.Pow(20/1.2, random.Float64())
		}
	}
	slices.Sort(v)
	return v
}

// estimates trims over seeds and returns mean and spread of the variance, and the mean of the
// standard errors it claims.
func estimates(n, seeds int, moving float64) (mean, spread, claimed float64) {
	var sum, square float64
	for seed := range uint64(seeds) {
		e := TrimmedVariance(variances(n, moving, seed), freedom)
		sum += e.Variance
		square += e.Variance * e.Variance
		claimed += e.Relative / float64(seeds)
	}
	mean = sum / float64(seeds)
	return mean, math.Sqrt((square/float64(seeds) - mean*mean) * float64(seeds) / float64(seeds-1)), claimed
}

// TestTrimmedVarianceIsUnbiased: over seeds the mean lies within four standard errors of the
// truth, spreads no more than 1.15 times the limit for as many samples, and claims about that
// spread.
func TestTrimmedVarianceIsUnbiased(t *testing.T) {
	const seeds = 300
	for _, n := range []int{16, 100, 1000} {
		mean, spread, claimed := estimates(n, seeds, 0)
		limit := math.Sqrt(2.0 / freedom / float64(n))
		// A thousandth: the cut at three spreads is known for normal distributions only.
		if d := math.Abs(mean - 1); d > 4*limit/math.Sqrt(seeds)+0.001 {
			t.Errorf("%d cells: variance %.5f, want 1 within %.5f", n, mean, 4*limit/math.Sqrt(seeds)+0.001)
		}
		// The spread of a spread over 300 seeds is 4 %.
		if spread > 1.15*limit || math.Abs(claimed/spread-1) > 0.16 {
			t.Errorf("%d cells: spread %.4f, limit %.4f, claimed %.4f", n, spread, limit, claimed)
		}
	}
}

// TestMovingCells: a share of cells with 1.2 to 20 times the variance moves sigma by little. For
// comparison: the plain standard deviation of pixels with 20 times the noise in 1, 5, 10, 20 % of
// them is 2.23, 4.58, 6.39, 9.00 times too large (worked with numpy).
func TestMovingCells(t *testing.T) {
	for _, tc := range []struct{ moving, most float64 }{
		{0.01, 0.001}, {0.05, 0.001}, {0.1, 0.002}, {0.2, 0.003}, {0.4, 0.006},
	} {
		mean, spread, claimed := estimates(400, 150, tc.moving)
		if sigma := math.Sqrt(mean); math.Abs(sigma-1) > tc.most {
			t.Errorf("%.0f %% moving: sigma %.4f, may be off by %.3f", 100*tc.moving, sigma, tc.most)
		}
		if spread > 1.35*claimed {
			t.Errorf("%.0f %% moving: spread %.4f, claimed %.4f", 100*tc.moving, spread, claimed)
		}
	}
}

// TestTrimmedVarianceOfNothing: no cells, one cell, cells without noise.
func TestTrimmedVarianceOfNothing(t *testing.T) {
	if e := TrimmedVariance(nil, freedom); e.Kept != 0 || !math.IsNaN(e.Variance) || !math.IsNaN(e.Relative) {
		t.Errorf("no cells: %+v", e)
	}
	if e := TrimmedVariance([]float64{2}, freedom); e.Kept != 1 || math.Abs(e.Variance-2) > 0.01 {
		t.Errorf("one cell: %+v", e)
	}
	if e := TrimmedVariance(make([]float64, 50), freedom); e.Variance != 0 || e.Kept != 50 {
		t.Errorf("no noise: %+v", e)
	}
}

// TestChiSquared: medians and 16th percentiles of chi-squared over its freedom (scipy 1.10,
// stats.chi2.ppf), and quantiles as tables of the chi-squared distribution print them
// (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4: 0.975 of 9, 15 and 63 degrees of
// freedom 19.023, 27.488, 86.830; of 0.025 2.700, 6.262, 42.950).
func TestChiSquared(t *testing.T) {
	for _, tc := range []struct{ p, freedom, want, digits float64 }{
		{0.5, 15, 0.95592, 5e-6}, {0.5, 63, 0.98944, 5e-6}, {0.5, 127, 0.99476, 5e-6}, {0.5, 255, 0.99739, 5e-6},
		{0.16, 255, 0.912, 5e-4}, {0.16, 15, 0.645, 5e-4},
		{0.975, 9, 19.023 / 9, 5.5e-4 / 9}, {0.975, 15, 27.488 / 15, 5.5e-4 / 15},
		{0.975, 63, 86.830 / 63, 5.5e-4 / 63},
		{0.025, 9, 2.700 / 9, 5.5e-4 / 9}, {0.025, 15, 6.262 / 15, 5.5e-4 / 15}, {0.025, 63, 42.950 / 63, 5.5e-4 / 63},
	} {
		if got := ChiQuantile(tc.p, tc.freedom); math.Abs(got-tc.want) > tc.digits {
			t.Errorf("quantile %.3f of freedom %.0f: %.5f, want %.5f", tc.p, tc.freedom, got, tc.want)
		}
	}
	if got, want := ChiQuantile(0.5, 0.2), ChiQuantile(0.5, 1); got != want {
		t.Errorf("less than one degree of freedom: %v, want that of one, %v", got, want)
	}
}

// TestCutMean: E[z | z < 3] = -phi(3) / Phi(3) = -0.0044318 / 0.9986501, values of a table of the
// normal distribution (from memory).
func TestCutMean(t *testing.T) {
	if got, want := CutMean(0.1, 3), 1-0.1*0.0044318/0.9986501; math.Abs(got-want) > 1e-7 {
		t.Errorf("mean of the cut distribution %.7f, want %.7f", got, want)
	}
}

// TestOrder: quantiles as R's quantile(type = 7), which is Hyndman and Fan's definition 7, works
// them by its documentation: 1 + (n - 1) p is the place counted from 1.
func TestOrder(t *testing.T) {
	v := []float64{1, 2, 4, 8}
	for p, want := range map[float64]float64{0: 1, 0.25: 1.75, 0.5: 3, 0.75: 5, 1: 8} {
		if got := Quantile(v, p); math.Abs(got-want) > 1e-12 {
			t.Errorf("quantile %v is %v, want %v", p, got, want)
		}
	}
	mixed := []float64{8, 1, 4, 2}
	if got := Median(mixed); got != 3 || mixed[0] != 8 {
		t.Errorf("median %v of %v, want 3", got, mixed)
	}
	if got := Median([]float64{5, 1, 2}); got != 2 {
		t.Errorf("median %v, want 2", got)
	}
	if !math.IsNaN(Median(nil)) || !math.IsNaN(Quantile(nil, 0.5)) || Quantile([]float64{7}, 0.3) != 7 {
		t.Error("nothing has no middle; one value is every quantile")
	}
}

// TestExactLine: three points on a line give just it, however they are weighted: y = 9e-8 + 2e-5 x,
// the photon transfer of read noise 3e-4 and shot noise 2e-5.
func TestExactLine(t *testing.T) {
	x, y := []float64{0.0028125, 0.01125, 0.045}, []float64{1.4625e-7, 3.15e-7, 9.9e-7}
	for _, weights := range [][]float64{{1, 1, 1}, {1e14, 1e13, 1e12}, {1, 100, 1}, {1e6, 1e-3, 5}} {
		l, ok := FitLine(x, y, weights)
		if !ok || math.Abs(l.Offset/9e-8-1) > 1e-6 || math.Abs(l.Slope/2e-5-1) > 1e-6 {
			t.Errorf("weights %v: %+v %v", weights, l, ok)
		}
	}
}

// TestLineErrors: for y known to 1 at x = 1, 2, 3 the slope's variance is 1 / sum (x - 2)^2 = 1/2
// and the intercept's 1/3 + 4/2 (worked by hand from the normal equations).
func TestLineErrors(t *testing.T) {
	l, ok := FitLine([]float64{1, 2, 3}, []float64{1, 3, 5}, []float64{1, 1, 1})
	if !ok || math.Abs(l.Offset+1) > 1e-12 || math.Abs(l.Slope-2) > 1e-12 {
		t.Errorf("line %+v, want offset -1 and slope 2", l)
	}
	if math.Abs(l.SlopeError-math.Sqrt(0.5)) > 1e-12 || math.Abs(l.OffsetError-math.Sqrt(7.0/3)) > 1e-12 {
		t.Errorf("errors %+v", l)
	}
	for _, x := range [][]float64{nil, {1}, {2, 2, 2}} {
		if _, ok := FitLine(x, x, []float64{1, 1, 1}[:len(x)]); ok {
			t.Errorf("a line through %v", x)
		}
	}
}

// TestLineAgainstPublished: Anscombe's first set (F. J. Anscombe, "Graphs in statistical
// analysis", The American Statistician 27 (1973); from memory) has the line 3.00 + 0.500 x.
func TestLineAgainstPublished(t *testing.T) {
	x := []float64{10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5}
	y := []float64{8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68}
	ones := slices.Repeat([]float64{1}, len(x))
	if l, ok := FitLine(x, y, ones); !ok || math.Abs(l.Offset-3) > 0.005 || math.Abs(l.Slope-0.5) > 0.0005 {
		t.Errorf("line %+v, want 3.00 and 0.500", l)
	}
}

// TestTheilSen: of ten points on y = 1 + 3 x, two moved far away leave the line where it is (29 %
// may, by Sen 1968).
func TestTheilSen(t *testing.T) {
	var x, y []float64
	for i := range 10 {
		x, y = append(x, float64(i)), append(y, 1+3*float64(i))
	}
	y[2], y[7] = 100, -50
	for _, apart := range []int{1, 3} {
		if slope, offset := TheilSen(x, y, apart); slope != 3 || offset != 1 {
			t.Errorf("pairs %d apart: slope %v, offset %v, want 3 and 1", apart, slope, offset)
		}
	}
	if slope, offset := TheilSen(x[:2], y[:2], 3); slope != 0 || offset != 2.5 {
		t.Errorf("without pairs: slope %v, offset %v", slope, offset)
	}
}
