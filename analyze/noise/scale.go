package noise

import (
	"math"

	"stopledger/curve"
)

const (
	// toneStep is the width of a tone in stops.
	toneStep = 0.5
	// toneParts is how finely a tone is cut for the rejection of moving cells: noise in codes
	// changes by a tenth or so over half a stop, more than a cell's own uncertainty.
	toneParts = 4
)

// A toneScale tells light and stops by file code, from tables: cells ask for them by the
// thousand in every frame.
type toneScale struct {
	*curve.Table
	stops []curve.Stops // as in the table, darkest at least
	coded bool          // coding is lossy
	ends  bool          // and spends other bits on a clip's first frame than on later ones
	least float64       // variance of a cell from which it tells of movement, file code^2
}

// darkest bounds the logarithm of light at or below zero, so that stops can be interpolated.
const darkest curve.Stops = -12

func newToneScale(t *curve.Table) *toneScale {
	s := &toneScale{Table: t}
	for _, stops := range s.Stops {
		s.stops = append(s.stops, max(stops, darkest))
	}
	return s
}

// stopsAt returns recorded stops, -12 at least.
func (s *toneScale) stopsAt(c curve.FileCode) curve.Stops { return curve.At(s.stops, c) }

// The numbers of tones go from that of DarkestTone to a bound that no curve reaches; see toneTable.
const (
	darkestTone   = float64(DarkestTone) / toneStep
	brightestTone = 64
)

// partAt returns the number of the part of a tone in which a code lies, from 0 for the darkest on; what is darker
// counts to that.
func (s *toneScale) partAt(c curve.FileCode) int {
	part := math.Floor(float64(s.stopsAt(c))*toneParts/toneStep) - darkestTone*toneParts
	if !(part > 0) { // NaN, too
		return 0
	}
	return int(min(part, (brightestTone-darkestTone)*toneParts))
}

// perStop returns how many file codes a stop spans at a code.
func (s *toneScale) perStop(c curve.FileCode) float64 {
	return float64(max(curve.At(s.Light, c), 0)) * math.Ln2 / curve.At(s.Slope, c)
}

// light returns mean and standard deviation of the light whose recorded codes have this mean and
// standard deviation. The noise of light is taken as normal; where the curve bends or has a kink
// within it, the slope at the mean code would not do. Three nodes of Gauss-Hermite quadrature
// (Abramowitz and Stegun, 25.4.46) stand for the distribution: 0 with weight 2/3, and sqrt 3
// standard deviations either way with 1/6.
func (s *toneScale) light(code curve.FileCode, sigmaCode float64) (light curve.Light, sigma float64) {
	light = curve.At(s.Light, code)
	sigma = sigmaCode * curve.At(s.Slope, code)
	if !(sigma > 0) {
		return light, 0
	}
	for range 6 {
		reach := curve.Light(math.Sqrt(3) * sigma)
		low := float64(s.Reading.CodeOf(light - reach))
		middle := float64(s.Reading.CodeOf(light))
		high := float64(s.Reading.CodeOf(light + reach))
		mean := (low + 4*middle + high) / 6
		spread := math.Sqrt((low-mean)*(low-mean)/6 + (middle-mean)*(middle-mean)*2/3 + (high-mean)*(high-mean)/6)
		if !(spread > 0) {
			break
		}
		light += curve.Light((float64(code) - mean) * sigma / spread)
		sigma *= sigmaCode / spread
	}
	return light, sigma
}
