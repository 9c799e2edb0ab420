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
	Kind  DoubtKind   // the likeliest explanation
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
	Reading curve.Reading // with which the clip would be read
	Line    Line          // of the neutrals, so read
}

// doubt judges a fitted line; nil if there is nothing to doubt or too little to judge by.
func (r neutralRow) doubt(line Line, read curve.Reading, p *DoubtParams) *Doubt {
	switch {
	case line.Used < LeastNeutrals:
		return nil
	case line.Disagree && offSlope(line) > p.Slope:
		return &Doubt{Kind: WrongCurve, Fits: r.fits(read, p)}
	case line.Disagree:
		return &Doubt{Kind: Unclear}
	case r.publishedRange() < p.LeastRange:
		return nil
	}
	// A straight line with flare in it drops the dark end: judge by all that has light.
	patches := *r.patches
	for i := firstNeutral; i < 24; i++ {
		n := &r.patches[i]
		patches[i].Used = n.Used || n.Why == offLine && i >= neutral5
	}
	all := neutralRow{&patches, r.across, r.p}
	whole := all.fitLine()
	if offSlope(line) <= p.Slope && offSlope(whole) <= p.Slope && float64(whole.Residual) <= p.Residual {
		return nil
	}
	flare, left := all.fitFlare(p)
	bent := float64(whole.Residual)
	if flare > 0 && whole.Slope < 1 && bent > p.LeastBend && left < p.FlareLeaves*bent {
		return &Doubt{Kind: StrayLight, Flare: curve.Share(flare)}
	}
	if offSlope(line) > p.Slope && float64(line.Residual) <= p.Straight && line.Used >= p.LeastCurve {
		return &Doubt{Kind: WrongCurve, Fits: r.fits(read, p)}
	}
	return &Doubt{Kind: Unclear}
}

func (r neutralRow) publishedRange() float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := firstNeutral; i < 24; i++ {
		if p := &r.patches[i]; p.Used {
			low, high = math.Min(low, p.published()), math.Max(high, p.published())
		}
	}
	return high - low
}

// fitFlare fits measured = gain x (Y + flare) to the used neutrals, by trying flares in steps, and
// returns the flare and the root mean square left, in stops.
func (r neutralRow) fitFlare(p *DoubtParams) (flare, left float64) {
	left = math.Inf(1)
	for f := 0.0; f <= p.MostFlare; f += p.FlareStep {
		var d []float64
		for i := firstNeutral; i < 24; i++ {
			if n := &r.patches[i]; n.Used {
				with := math.Log2(math.Exp2(n.published()) + f/curve.MidGrey)
				d = append(d, r.level(i)-with)
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

// fits reads the patches' codes with every curve that cameras record and both ranges, and returns the
// readings under which the line is right.
func (r neutralRow) fits(read curve.Reading, p *DoubtParams) (fits []ReadingFit) {
	for _, c := range curve.All() {
		if !c.Recorded {
			continue
		}
		for _, span := range []curve.Range{curve.Narrow, curve.Full} {
			other := curve.Reading{Curve: c, Range: span, Bits: read.Bits}
			if other == read {
				continue
			}
			line := r.reread(read, other)
			if line.Used >= 3 && offSlope(line) <= p.FitSlope && float64(line.Residual) <= p.FitResidual {
				fits = append(fits, ReadingFit{other, line})
			}
		}
	}
	slices.SortStableFunc(fits, func(a, b ReadingFit) int {
		return cmp.Compare(misfit(a.Line), misfit(b.Line))
	})
	return fits
}

func misfit(l Line) float64 { return math.Hypot(float64(l.Slope-1), float64(l.Residual)) }

// reread fits the line as it would be under another reading. The mean light is taken back to a
// code first, which is exact but for the noise's bend.
func (r neutralRow) reread(from, to curve.Reading) Line {
	patches := *r.patches
	for i := firstNeutral; i < 24; i++ {
		stops := to.Stops(from.CodeOf(patches[i].Light.Luma))
		patches[i].Measured = stops
		if math.IsInf(float64(stops), 0) || float64(stops) < r.p.Darkest {
			patches[i].Used = false
		}
	}
	return neutralRow{&patches, r.across, r.p}.fitLine()
}
