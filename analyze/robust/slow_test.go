package robust

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestMedianHalvesTheValues: as many values lie at or under the median as at or over it, whatever
// their order, ties and number; it is the quantile 0.5, and is moved and scaled with the values.
func TestMedianHalvesTheValues(t *testing.T) {
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 141))
		v := make([]float64, 1+random.IntN(30))
		for i := range v {
			v[i] = float64(random.IntN(12))
		}
		median, under, over := Median(v), 0, 0
		moved := make([]float64, len(v))
		for i, x := range v {
			moved[i] = 3*x - 7
			if x <= median {
				under++
			}
			if x >= median {
				over++
			}
		}
		if 2*under < len(v) || 2*over < len(v) {
			t.Errorf("seed %d: of %v %d lie under %g and %d over it", seed, v, under, median, over)
		}
		sorted := slices.Sorted(slices.Values(v))
		if q := Quantile(sorted, 0.5); math.Abs(q-median) > 1e-12 || math.Abs(Median(moved)-(3*median-7)) > 1e-12 {
			t.Errorf("seed %d: median %g, quantile %g, moved %g", seed, median, q, Median(moved))
		}
	}
}

// TestQuantileRises: with p, from the least to the largest value, on straight lines between them.
func TestQuantileRises(t *testing.T) {
	for seed := range uint64(50) {
		random := rand.New(rand.NewPCG(seed, 142))
		v := make([]float64, 1+random.IntN(20))
		for i := range v {
			v[i] = random.NormFloat64()
		}
		slices.Sort(v)
		before := math.Inf(-1)
		for step := range 101 {
			p := float64(step) / 100
			q := Quantile(v, p)
			at := p * float64(len(v)-1)
			low, high := v[int(math.Floor(at+1e-9))], v[int(math.Ceil(at-1e-9))]
			if q < before || q < low-1e-9 || q > high+1e-9 {
				t.Errorf("seed %d: the quantile %g is %g, its neighbours are %g and %g", seed, p, q, low, high)
			}
			before = q
		}
		if Quantile(v, 0) != v[0] || Quantile(v, 1) != v[len(v)-1] {
			t.Errorf("seed %d: from %g to %g of %v", seed, Quantile(v, 0), Quantile(v, 1), v)
		}
	}
}

// TestTheilSenHalvesTheSlopes: as many pairs of points rise more steeply than the line as less; a
// line added to the points is added to the fit.
func TestTheilSenHalvesTheSlopes(t *testing.T) {
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 143))
		n, apart := 4+random.IntN(12), 1+random.IntN(2)
		x, y, tilted := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], y[i] = float64(i)+0.4*random.Float64(), random.NormFloat64()
			tilted[i] = y[i] + 2 - 5*x[i]
		}
		slope, offset := TheilSen(x, y, apart)
		var steeper, flatter int
		for i := range x {
			for j := range i {
				if i-j < apart {
					continue
				}
				if s := (y[i] - y[j]) / (x[i] - x[j]); s > slope+1e-12 {
					steeper++
				} else if s < slope-1e-12 {
					flatter++
				}
			}
		}
		if steeper != flatter {
			t.Errorf("seed %d: %d pairs are steeper than %g, %d flatter", seed, steeper, slope, flatter)
		}
		if s, o := TheilSen(x, tilted, apart); math.Abs(s-(slope-5)) > 1e-9 || math.Abs(o-(offset+2)) > 1e-9 {
			t.Errorf("seed %d: tilted %g and %g, want %g and %g", seed, s, o, slope-5, offset+2)
		}
	}
}

// TestWeightsCountAsPoints: a point of weight three is three points, and one of none is no point.
func TestWeightsCountAsPoints(t *testing.T) {
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 144))
		var x, y, weight, xs, ys, ones []float64
		for i := range 3 + random.IntN(9) {
			w := random.IntN(4)
			if i < 2 {
				w = 1
			}
			x, y, weight = append(x, random.NormFloat64()), append(y, random.NormFloat64()), append(weight, float64(w))
			for range w {
				xs, ys, ones = append(xs, x[i]), append(ys, y[i]), append(ones, 1)
			}
		}
		a, okA := FitLine(x, y, weight)
		b, okB := FitLine(xs, ys, ones)
		if okA != okB || math.Abs(a.Slope-b.Slope) > 1e-6*(1+math.Abs(b.Slope)) ||
			math.Abs(a.SlopeError-b.SlopeError) > 1e-6*(1+b.SlopeError) ||
			math.Abs(a.Offset-b.Offset) > 1e-6*(1+math.Abs(b.Offset)) {
			t.Errorf("seed %d: weighted %+v %v, repeated %+v %v", seed, a, okA, b, okB)
		}
	}
}

// TestTrimmedVarianceScales: in other units it is the same estimate, of as many samples.
func TestTrimmedVarianceScales(t *testing.T) {
	for seed := range uint64(20) {
		v := variances(200, 0.2, seed)
		scaled := make([]float64, len(v))
		for i := range v {
			scaled[i] = 1e-8 * v[i]
		}
		a, b := TrimmedVariance(v, freedom), TrimmedVariance(scaled, freedom)
		if a.Kept != b.Kept || math.Abs(b.Variance/a.Variance*1e8-1) > 1e-9 || math.Abs(a.Relative-b.Relative) > 1e-9 {
			t.Errorf("seed %d: %+v, scaled %+v", seed, a, b)
		}
	}
}

// TestMedianIsTheMiddle sorts values of all kinds, with NaN, which come first, and with runs that are slow to
// search, and takes the middle.
func TestMedianIsTheMiddle(t *testing.T) {
	kinds := []func(r *rand.Rand, i, n int) float64{
		func(r *rand.Rand, i, n int) float64 { return r.NormFloat64() },
		func(r *rand.Rand, i, n int) float64 { return float64(r.IntN(3)) },
		func(r *rand.Rand, i, n int) float64 { return float64(min(i, n-i)) },
		func(r *rand.Rand, i, n int) float64 { return float64(-i) },
		func(r *rand.Rand, i, n int) float64 { return []float64{math.NaN(), math.Inf(1), 0, 1}[r.IntN(4)] },
	}
	for seed := range uint64(500) {
		random := rand.New(rand.NewPCG(seed, 142))
		v := make([]float64, 1+random.IntN(2000))
		for i := range v {
			v[i] = kinds[seed%5](random, i, len(v))
		}
		s := slices.Sorted(slices.Values(v))
		want := (s[(len(s)-1)/2] + s[len(s)/2]) / 2
		if got := Median(v); got != want && !(math.IsNaN(got) && math.IsNaN(want)) {
			t.Errorf("seed %d: %g, the middle of %d sorted values is %g", seed, got, len(v), want)
		}
	}
}
