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

// setInterval sets Low, High and Drift from the series and a standard error in space, in stops.
// The interval over time is that of a mean, Student's t with n-1 degrees of freedom
// (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2); both parts are added as squares.
func (p *Placement) setInterval(space float64) {
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
	half := max(curve.Stops(math.Hypot(time, 1.96*space)), leastInterval)
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
