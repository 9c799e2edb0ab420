package analyze

import (
	"image"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"stopledger/curve"
)

// leastInterval is half the smallest 95 % interval claimed, in stops: a card's tilt alone moves
// it by more. Common practice, no source.
const leastInterval = 0.005

// measurePatch returns the placement that the first patch shows, nil where it holds no light.
func measurePatch(groups []*groupSums, set Settings, table []float64) *Placement {
	patch := set.Patches[0]
	p := &Placement{Method: "region", Confidence: math.NaN(), Reflectance: patch.Reflectance, Area: patch.Area}
	var light, frames float64
	var uneven float64
	for _, s := range groups {
		linear := s.patch[0].linear(table)
		light += linear * float64(s.frames)
		frames += float64(s.frames)
		if linear > 0 {
			p.Series = append(p.Series, StopsAt{s.t, stopsOver(linear, patch.Reflectance)})
		}
		uneven = max(uneven, s.patch[0].uneven(set.Reading, patch.Area, s.frames))
	}
	light /= frames
	if !(light > 0) {
		return nil
	}
	p.Stops = stopsOver(light, patch.Reflectance)
	p.Code = set.Reading.CodeOf(light)
	p.interval(uneven)
	return p
}

// stopsOver returns how far light lies above what a patch of this reflectance gives at nominal
// exposure.
func stopsOver(linear, reflectance float64) float64 { return math.Log2(linear / reflectance) }

// interval sets Low, High and Drift from the series and a standard error in space.
func (p *Placement) interval(space float64) {
	time := 0.0
	if n := len(p.Series); n > 1 {
		stops := make([]float64, n)
		moments := make([]levelAt, n)
		for i, s := range p.Series {
			stops[i] = s.Stops
			moments[i] = levelAt{s.T, s.Stops}
		}
		student := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(n - 1)}
		time = stat.StdDev(stops, nil) / math.Sqrt(float64(n)) * student.Quantile(0.975)
		p.Drift = drift(moments)
	} else {
		p.Drift = math.NaN()
	}
	half := max(math.Hypot(time, 1.96*space), leastInterval)
	p.Low, p.High = p.Stops-half, p.Stops+half
}

// measureScene returns the scene's log-average as a placement, marked weak.
func measureScene(groups []*groupSums, set Settings) *Placement {
	p := &Placement{Method: "scene", Weak: !set.SceneTarget, Confidence: 0, Reflectance: curve.MidGrey}
	var sum, frames float64
	for _, s := range groups {
		level := logAverage(s.hist, set.Reading)
		p.Series = append(p.Series, StopsAt{s.t, level})
		sum += level * float64(s.frames)
		frames += float64(s.frames)
	}
	p.Stops = sum / frames
	p.Code = set.Reading.CodeOf(curve.FromStops(p.Stops))
	p.interval(0)
	// A scene's average is not grey: a stop either way is common practice, no source.
	p.Low, p.High = p.Stops-1, p.Stops+1
	return p
}

// logAverage returns the mean recorded stops of a histogram, bounded below at darkest.
func logAverage(hist []uint64, r curve.Reading) float64 {
	var sum, n float64
	for code, count := range hist {
		if count > 0 {
			sum += float64(count) * math.Max(r.Stops(float64(code)), darkest)
			n += float64(count)
		}
	}
	return sum / n
}

// sceneOf returns the level of the luma of all groups. Percentiles at no light are DarkestTone.
func sceneOf(groups []*groupSums, r curve.Reading) Scene {
	hist := make([]uint64, 1<<r.Bits)
	var total uint64
	for _, s := range groups {
		for code, n := range s.hist {
			hist[code] += n
			total += n
		}
	}
	percentile := func(p float64) float64 {
		var sum float64
		for code, n := range hist {
			if sum += float64(n); sum >= p*float64(total) {
				return max(r.Stops(float64(code)), DarkestTone)
			}
		}
		return math.NaN()
	}
	return Scene{logAverage(hist, r), percentile(0.01), percentile(0.1), percentile(0.5), percentile(0.9), percentile(0.99)}
}

// histogramOf returns luma by recorded stops over all groups.
func histogramOf(groups []*groupSums, r curve.Reading) Histogram {
	h := Histogram{First: -10, Step: 0.25, Shares: make([]float64, 80)}
	var total float64
	for _, s := range groups {
		for code, count := range s.hist {
			if count == 0 {
				continue
			}
			total += float64(count)
			spread(&h, r, float64(code), float64(count))
		}
	}
	for i := range h.Shares {
		h.Shares[i] /= total
	}
	h.Below /= total
	return h
}

// spread shares a code's count out over the stops between code - 1/2 and code + 1/2, so that
// near black, where one code spans several bins, no bin stays empty by rounding.
func spread(h *Histogram, r curve.Reading, code, count float64) {
	const parts = 8
	for i := range parts {
		stops := r.Stops(code + (float64(i)+0.5)/parts - 0.5)
		bin := math.Floor((stops - h.First) / h.Step)
		if bin < 0 || math.IsInf(stops, -1) {
			h.Below += count / parts
		} else {
			h.Shares[int(min(bin, float64(len(h.Shares)-1)))] += count / parts
		}
	}
}

// inside tells whether every patch lies within a frame.
func inside(patches []Patch, width, height int) bool {
	for _, p := range patches {
		if p.Area.Empty() || !p.Area.In(image.Rect(0, 0, width, height)) {
			return false
		}
	}
	return true
}
