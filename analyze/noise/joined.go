package noise

import (
	"math"
	"slices"

	"stopledger/analyze/robust"
	"stopledger/curve"
)

// made returns the tones as the camera made them.
func (t transfer) made(s *toneScale) (all []Made) {
	if t.tones == nil {
		return nil
	}
	for i, one := range t.tones[0] {
		m := Made{Light: one.light, Below: curve.Unknown[curve.Light](), Relative: curve.Ratio(one.relative),
			Coding: curve.Ratio(one.coding), Places: one.places, Noisy: s.tooNoisy(one.code, one.sigma)}
		m.Noisy = m.Noisy || !t.exact && one.sigma > mostCoded*s.Reading.PerCode()
		for _, guess := range t.tones {
			m.Sigma = append(m.Sigma, curve.Light(guess[i].sigmaLight))
		}
		if math.IsNaN(one.sigmaLight) && t.exact {
			m.Below = curve.Light(float64(LeastSigma) * curve.At(s.Slope, one.code))
		}
		all = append(all, m)
	}
	return all
}

// A tone is left out where its noise reaches over the end of the codes, toLastCode standard deviations below its
// mean (1 in 160 samples is cut off and takes 1.3 % of it, computed), or where the curve is mostBend times as
// steep one standard deviation up or down as the other way: there light comes in so few electrons that their
// numbers are not normally distributed any more, which the conversion from codes takes them for. Luma is
// quieter than the channels, through which light went, by the root of the sum of squares of its weights: by
// 1.35 for BT.709.
const (
	toLastCode   = 2.5
	mostBend     = 1.6
	overLuma     = 1.35
	mostCoded    = 24 // codes on the 10-bit scale: what coding takes was measured up to a third of it
	reservedCode = 4  // on the 10-bit scale: 0 to 3 are no picture in narrow range (BT.2100-2, table 9)
)

// tooNoisy tells whether a tone's noise is left out for its size.
func (s *toneScale) tooNoisy(code curve.FileCode, sigma float64) bool {
	spread := curve.FileCode(overLuma * sigma)
	least := curve.FileCode(0)
	if s.Reading.Range == curve.Narrow {
		least = s.Reading.FileCode(reservedCode)
	}
	up, down := curve.At(s.Slope, code+spread), curve.At(s.Slope, code-spread)
	return code-toLastCode*spread < least || up > mostBend*down || down > mostBend*up
}

// A Joint is the photon transfer of several takes together, with 95 % intervals.
type Joint struct {
	Read    Span[curve.Light] // standard deviation without light; Low is 0 where it is only bounded, by High
	Shot    Span[curve.Light] // variance that a unit of light adds
	Floor   Span[curve.Stops] // recorded stops where SNR is 1; Low is unknown where it is only bounded, by High
	Misfit  curve.Ratio       // of the tones; 1 is expected
	Clamped bool              // without light there is less noise than the lit tones tell: blacks are cut off or filtered
}

// A Span is a value with the ends of its 95 % interval.
type Span[T ~float64] struct {
	Value T // best estimate
	Low   T // lower end
	High  T // upper end
}

// Camera returns the photon transfer by itself.
func (j *Joint) Camera() Camera {
	return Camera{Read: j.Read.Value, ReadLow: j.Read.Low, ReadHigh: j.Read.High,
		Shot: j.Shot.Value, ShotLow: j.Shot.Low, ShotHigh: j.Shot.High,
		Floor: j.Floor.Value, FloorLow: j.Floor.Low, FloorHigh: j.Floor.High}
}

// UnknownCamera returns the photon transfer of a camera whose noise is not known.
func UnknownCamera() Camera {
	u, s := curve.Unknown[curve.Light](), curve.Unknown[curve.Stops]()
	return Camera{Read: u, ReadLow: u, ReadHigh: u, Shot: u, ShotLow: u, ShotHigh: u, Floor: s, FloorLow: s, FloorHigh: s}
}

// Joined fits one photon transfer to the tones of lit and dark takes of one camera at one ISO, dark ones with
// the lens capped. It is nil, with a reason, where there is none.
func Joined(lit, dark []*Result) (*Joint, string) {
	bright, black := gathered(lit), gathered(dark)
	j := &Joint{}
	if alone, _ := fitTogether(bright); alone != nil && black.under(alone) {
		j.Clamped, black = true, nil
	}
	all := append(bright, black...)
	if len(all) == 0 {
		return nil, "what coding took of the noise is not known, or no noise could be measured"
	}
	t, reason := fitTogether(all)
	if t == nil {
		return nil, reason
	}
	j.Misfit = t.likely.Chi2
	j.Read, j.Shot = t.span(readEnds, allTones), t.span(shotEnds, allTonesVariance)
	f := t.modelFloor()
	j.Floor = Span[curve.Stops]{f.value, f.low, f.high}
	if bound := all.bound(); bound > 0 || j.Read.Low == 0 {
		j.boundRead(bound)
	}
	return j, ""
}

// boundRead takes read noise for no more than known from above, and than a bound above 0.
func (j *Joint) boundRead(bound curve.Light) {
	if bound > 0 {
		j.Read.High = bound
	}
	j.Read.Low, j.Read.Value = 0, j.Read.High
	high := Model{Read: j.Read.High, Shot: j.Shot.High}.Floor(1)
	j.Floor = Span[curve.Stops]{high, curve.Unknown[curve.Stops](), high}
}

// mades are tones of several takes.
type mades []Made

// gathered returns the tones of takes that lie below where a sensor's noise shrinks.
func gathered(takes []*Result) (all mades) {
	var every mades
	for _, r := range takes {
		if !r.hidden() {
			every = append(every, r.Made...)
		}
	}
	saturated := every.saturation()
	for _, r := range takes {
		for _, m := range r.Made {
			if !r.hidden() && !m.Noisy && (r.Top == 0 || m.Light <= r.Top) && m.Light <= topTone*saturated {
				all = append(all, m)
			}
		}
	}
	return all
}

// pastPeak is the variance of brighter tones, of the largest, from which a sensor is seen to saturate: tones of
// one level differ by less.
const pastPeak = 0.9

// saturation returns the light at which noise is largest, where brighter tones are seen to have less (EMVA 1288
// release 4.0: saturation is where the temporal variance peaks), infinite where none are.
func (all mades) saturation() curve.Light {
	peak, light, less := curve.Light(0), curve.Light(0), false
	for _, m := range all {
		if m.Sigma[0] > peak {
			peak, light = m.Sigma[0], m.Light
		}
	}
	for _, m := range all {
		less = less || m.Light > light && m.Sigma[0]*m.Sigma[0] < pastPeak*peak*peak
	}
	if !less {
		return curve.Light(math.Inf(1))
	}
	return light
}

// tones returns the tones by one guess of what coding took.
func (all mades) tones(guess int) []tone {
	out := make([]tone, len(all))
	for i, m := range all {
		out[i] = tone{light: m.Light, sigma: 1, sigmaLight: float64(m.Sigma[guess]), relative: float64(m.Relative),
			coding: float64(m.Coding), places: m.Places}
	}
	return out
}

// fitTogether fits the photon transfer by each guess; nil and a reason where none fits.
func fitTogether(all mades) (*transfer, string) {
	if len(all) == 0 {
		return nil, "no tone with measurable noise"
	}
	t := &transfer{}
	var reason string
	models := make([]*Model, len(guesses))
	for g := range guesses {
		tones := all.tones(g)
		t.tones = append(t.tones, tones)
		m, why := fitStill(tones)
		if models[g] = m; g == 0 {
			reason = why
		}
	}
	if t.likely, t.least, t.most = models[0], models[1], models[2]; slices.Contains(models[:3], nil) {
		return nil, reason
	}
	for _, m := range models[3:] {
		if m != nil {
			t.tilted = append(t.tilted, m)
		}
	}
	return t, ""
}

// clampedFrom is by how much less noise dark takes have where blacks are cut off at no light: half of a normal
// distribution has 0.60 of its standard deviation.
const clampedFrom = 0.8

// under tells whether the noise without light is less than lit tones allow.
func (all mades) under(t *transfer) bool {
	var off []float64
	for i, one := range all.tones(0) {
		if !math.IsNaN(one.sigmaLight) {
			low := t.likely.variance(one.light) - 1.96*t.likely.varianceError(one.light)
			off = append(off, float64(all[i].Sigma[2])*(1+1.96*one.error())/math.Sqrt(max(low, 0)))
		}
	}
	return len(off) > 0 && robust.Median(off) < clampedFrom
}

// bound returns the least that rounding allows read noise to be at most, 0 where it hides none of the tones that
// tell of it: those darker than all whose noise is told. A bright one without noise is clipped.
func (all mades) bound() (least curve.Light) {
	darkest := curve.Light(math.Inf(1))
	for _, m := range all {
		if curve.Finite(m.Sigma[0]) {
			darkest = min(darkest, m.Light)
		}
	}
	for _, m := range all {
		if curve.Finite(m.Below) && m.Light < darkest && (least == 0 || m.Below < least) {
			least = m.Below
		}
	}
	return least
}

// An end returns a parameter with its variance so many standard errors off.
type end func(m *Model, errors float64) float64

// allTones is by how much all tones together may be off, relative, of a standard deviation and of a variance.
var (
	allTones         = math.Pow(10, common/20) - 1
	allTonesVariance = math.Pow(10, common/10) - 1
)

func readEnds(m *Model, errors float64) float64 {
	misfit := math.Sqrt(max(float64(m.Chi2), 1))
	return math.Sqrt(max(float64(m.Read*m.Read)+errors*float64(m.DarkError)*misfit, 0))
}

func shotEnds(m *Model, errors float64) float64 {
	return max(float64(m.Shot)+errors*float64(m.ShotError)*math.Sqrt(max(float64(m.Chi2), 1)), 0)
}

// span returns a parameter with its interval: of the sample, of what coding leaves open and of what all tones
// have in common, added in squares.
func (t *transfer) span(of end, off float64) Span[curve.Light] {
	v := of(t.likely, 0)
	least, most := v, v
	for _, m := range append([]*Model{t.least, t.most}, t.tilted...) {
		least, most = min(least, of(m, 0)), max(most, of(m, 0))
	}
	all := off * v
	side := func(sample, coding float64) float64 { return math.Sqrt(sample*sample + coding*coding + all*all) }
	low := v - side(v-of(t.likely, -1.96), v-least)
	return Span[curve.Light]{curve.Light(v), curve.Light(max(low, 0)),
		curve.Light(v + side(of(t.likely, 1.96)-v, most-v))}
}
