package placement

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"stopledger/curve"
)

// leastInterval is half the smallest 95 % interval claimed: a card's tilt alone moves it by more.
// Common practice, no source.
const leastInterval curve.Stops = 0.005

// Half the 95 % intervals of how well what grey is read from is known, where it is not detected:
// takes of the same object in the same light share them. Common practice, no source.
const (
	areaKnown  curve.Stops = 0.1 // tilt, sheen and wear of a card, whose reflectance the user gives
	sceneKnown curve.Stops = 1   // a scene's average, where the user takes it for grey
)

// setInterval sets Low, High and Drift from the series, a standard error in space, in stops, and
// half the interval of the reference: independent parts, added as squares.
// The interval over time is that of a mean, Student's t with n-1 degrees of freedom
// (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2); both parts are added as squares.
func (p *Placement) setInterval(space float64, reference curve.Stops) {
	var time float64
	p.Drift = Drift(p.Series)
	if n := len(p.Series); n > 1 {
		stops := make([]float64, n)
		for i, s := range p.Series {
			stops[i] = float64(s.Stops)
		}
		student := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(n - 1)}
		time = stat.StdDev(stops, nil) / math.Sqrt(float64(n)) * student.Quantile(0.975)
	}
	p.Reading = max(curve.Stops(math.Hypot(time, 1.96*space)), leastInterval)
	p.Reference = reference
	half := curve.Stops(math.Hypot(float64(p.Reading), float64(p.Reference)))
	p.Low, p.High = p.Stops-half, p.Stops+half
}

// Drift returns the last of a series less the first along the straight line fitted to it by
// ordinary least squares, unknown for less than two.
func Drift(series []At) curve.Stops {
	if len(series) < 2 {
		return curve.Unknown[curve.Stops]()
	}
	t, stops := make([]float64, len(series)), make([]float64, len(series))
	for i, s := range series {
		t[i], stops[i] = float64(s.T), float64(s.Stops)
	}
	_, slope := stat.LinearRegression(t, stops, nil, false)
	return curve.Stops(slope * (t[len(t)-1] - t[0]))
}
