package detect

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"stopledger/curve"
)

// A Doubt says that a chart's neutrals do not lie as the named curve says, and what would
// explain it. A wrong curve keeps the line straight and turns it; flare lifts the dark end and
// bends it. So slope and residual are judged together.
type Doubt struct {
	Kind  DoubtKind
	Flare curve.Share // of light added evenly, as a share of a perfect white's; only for flare
	// Fits are the readings under which the line would be straight with slope 1, best
	// first; only for a wrong curve. Empty if none of the published curves fits.
	Fits []ReadingFit
}

// A DoubtKind names the likeliest explanation.
type DoubtKind int

const (
	// WrongCurve: straight, but not of slope 1.
	WrongCurve DoubtKind = iota + 1
	// StrayLight: flare, haze or sheen over the chart; bent upward at the dark end.
	StrayLight
	// Unclear: neither explains it.
	Unclear
)

var doubtNames = [...]string{"none", WrongCurve: "curve", StrayLight: "flare", Unclear: "unclear"}

// String returns curve, flare, unclear or none.
func (k DoubtKind) String() string {
	if k < 0 || int(k) >= len(doubtNames) {
		return doubtNames[0]
	}
	return doubtNames[k]
}

// MarshalText writes curve, flare, unclear or none.
func (k DoubtKind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (k *DoubtKind) UnmarshalText(text []byte) error {
	i := slices.Index(doubtNames[:], string(text))
	if i < 0 {
		return fmt.Errorf("no doubt is named %q; use %s", text, strings.Join(doubtNames[:], ", "))
	}
	*k = DoubtKind(i)
	return nil
}

// A ReadingFit is a reading under which a chart's neutrals would lie right.
type ReadingFit struct {
	Reading curve.Reading
	Line    Line
}

const (
	// slopeTolerance: any two published log curves told apart by a chart differ by 0.055 or
	// more in slope, editions of the chart by 0.009, uneven light of 0.1 stop by 0.02.
	slopeTolerance = 0.04
	// candidateSlope and candidateResidual are what a curve that would fit must keep to.
	candidateSlope    = 0.02
	candidateResidual = 0.03
	// straight is what the editions' differences leave of a wrong curve's line.
	straight = 0.015
	// leastForCurve neutrals must lie on the line: three that glare lifted may do so by chance.
	leastForCurve = 4
	// residualTolerance is what a right curve stays under, stops.
	residualTolerance = 0.05
	// leastRange of published stops must the used neutrals span for the slope to say anything.
	leastRange = 1.9
)

// doubt judges a fitted line; nil if there is nothing to doubt or too little to judge by.
func doubt(p *[24]Patch, line Line, r curve.Reading, across float64) *Doubt {
	if line.Used < 3 || publishedRange(p) < leastRange {
		return nil
	}
	// A straight line with flare in it drops the dark end: judge by all that has light.
	all := *p
	for i := firstNeutral; i < 24; i++ {
		all[i].Used = p[i].Used || p[i].Why == "off the line" && i >= neutral5
	}
	whole := fitLine(&all, across)
	if offSlope(line) <= slopeTolerance && offSlope(whole) <= slopeTolerance && whole.Residual <= residualTolerance {
		return nil
	}
	flare, left := fitFlare(&all, across)
	if flare > 0 && whole.Slope < 1 && whole.Residual > 0.008 && left < float64(whole.Residual/2) {
		return &Doubt{Kind: StrayLight, Flare: curve.Share(flare)}
	}
	if offSlope(line) > slopeTolerance && line.Residual <= straight && line.Used >= leastForCurve {
		return &Doubt{Kind: WrongCurve, Fits: fits(p, r, across)}
	}
	return &Doubt{Kind: Unclear}
}

func publishedRange(p *[24]Patch) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := firstNeutral; i < 24; i++ {
		if p[i].Used {
			low, high = math.Min(low, p[i].published()), math.Max(high, p[i].published())
		}
	}
	return high - low
}

// fitFlare fits measured = gain x (Y + flare) to the used neutrals and returns the flare and the
// root mean square left, in stops.
func fitFlare(p *[24]Patch, across float64) (flare, left float64) {
	left = math.Inf(1)
	for f := 0.0; f <= 0.05; f += 0.0002 {
		var d []float64
		for i := firstNeutral; i < 24; i++ {
			if p[i].Used {
				with := math.Log2(math.Exp2(p[i].published()) + f/curve.MidGrey)
				d = append(d, p[i].level(i, across)-with)
			}
		}
		var mean, s float64
		for _, v := range d {
			mean += v / float64(len(d))
		}
		for _, v := range d {
			s += sq(v-mean) / float64(len(d))
		}
		if rms := math.Sqrt(s); rms < left {
			flare, left = f, rms
		}
	}
	return flare, left
}

// fits reads the patches' codes with every curve that cameras record and both ranges.
func fits(p *[24]Patch, r curve.Reading, across float64) (fits []ReadingFit) {
	for _, c := range curve.All() {
		if !c.Recorded {
			continue
		}
		for _, span := range []curve.Range{curve.Narrow, curve.Full} {
			other := curve.Reading{Curve: c, Range: span, Bits: r.Bits}
			if other == r {
				continue
			}
			line := reread(p, r, other, across)
			if line.Used >= 3 && offSlope(line) <= candidateSlope && line.Residual <= candidateResidual {
				fits = append(fits, ReadingFit{other, line})
			}
		}
	}
	slices.SortStableFunc(fits, func(a, b ReadingFit) int {
		return cmp.Compare(misfit(a.Line), misfit(b.Line))
	})
	return fits
}

// offSlope is how far a line's slope lies from the right curve's.
func offSlope(l Line) float64 { return math.Abs(float64(l.Slope - 1)) }

func misfit(l Line) float64 { return math.Hypot(float64(l.Slope-1), float64(l.Residual)) }

// reread fits the line as it would be under another reading. The mean light is taken back to a
// code first, which is exact but for the noise's bend.
func reread(p *[24]Patch, from, to curve.Reading, across float64) Line {
	q := *p
	for i := firstNeutral; i < 24; i++ {
		q[i].Measured = to.Stops(from.CodeOf(p[i].Light.Luma))
		if math.IsInf(float64(q[i].Measured), 0) || q[i].Measured < darkestNeutral {
			q[i].Used = false
		}
	}
	return fitLine(&q, across)
}
