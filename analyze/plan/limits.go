package plan

import (
	"fmt"
	"math"

	"stopledger/analyze/clipping"
	"stopledger/analyze/limit"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

// worstMisfit is the misfit of the tones from which the photon transfer is said to be rough: the noise's own
// intervals allow for it.
const worstMisfit = 3

// limits says what a profile rests on and what it does not know.
func (p *Profile) limits(takes []Take, joints map[int]*noise.Joint) (notes []string) {
	note := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	for _, one := range p.ISOs {
		switch {
		case !one.Known():
			note("ISO %d: no noise is told: %s.", one.ISO, one.Reason)
		case one.ReadLow == 0:
			note("ISO %d: read noise is only known to be at most %.3g; take one with the lens capped, or darker.", one.ISO,
				float64(one.ReadHigh))
		}
		if j := joints[one.ISO]; j != nil && j.Clamped {
			note("ISO %d: with the lens capped there is less noise than the lit tones tell: blacks are cut off or filtered, "+
				"and that take is left out.", one.ISO)
		}
		if j := joints[one.ISO]; j != nil && j.Misfit > worstMisfit {
			note("ISO %d: the tones lie %.1f times as far off the photon transfer as their errors; the intervals allow "+
				"for it.", one.ISO, math.Sqrt(float64(j.Misfit)))
		}
		switch one.Origin {
		case clipping.CurveEnd:
			note("ISO %d: nothing clips in its takes; the ceiling is where the curve's recordings end, and the camera may "+
				"clip lower.", one.ISO)
		case clipping.Shoulder:
			note("ISO %d: the recording rolls off; the ceiling is as far as that was seen.", one.ISO)
		}
		if len(one.Reduced) > 0 {
			note("ISO %d: the camera seems to reduce noise (%s); the figures are of what it records.", one.ISO, one.Reduced[0])
		}
		if curve.Finite(one.Coding) && one.Coding != 0 {
			note("ISO %d: the codec took %.1f dB off the noise, which is allowed for.", one.ISO, float64(one.Coding))
		}
	}
	return append(append(notes, p.unlikeShot()...), unlikeGain(takes)...)
}

// unlikeShot notes ISOs whose shot noise before gain is another one: the sensor's depends on light alone.
func (p *Profile) unlikeShot() (notes []string) {
	var first *ISO
	for i := range p.ISOs {
		one := &p.ISOs[i]
		if !one.Known() {
			continue
		}
		if first == nil {
			first = one
			continue
		}
		gain := curve.Light(float64(one.ISO) / float64(first.ISO))
		if one.ShotHigh/gain < first.ShotLow || one.ShotLow/gain > first.ShotHigh {
			notes = append(notes, fmt.Sprintf("ISO %d: shot noise before gain is %.2f times that at ISO %d, where a sensor "+
				"left alone has the same: noise reduction differs, or gain is not what the ISO says.", one.ISO,
				float64(one.Input.Shot/first.Input.Shot), first.ISO))
		}
	}
	return notes
}

// unlikeGain notes takes whose grey rose by other than what ISO, iris, shutter and ND say.
func unlikeGain(takes []Take) (notes []string) {
	var first *Take
	for i := range takes {
		t := &takes[i]
		if !curve.Finite(t.grey()) || !curve.Finite(t.Light) {
			continue
		}
		if first == nil {
			first = t
			continue
		}
		says := gained(float64(t.ISO), float64(first.ISO)) + t.Light - first.Light
		if seen := t.grey() - first.grey(); math.Abs(float64(seen-says)) > float64(limit.Disagree) {
			notes = append(notes, fmt.Sprintf("%s: grey lies %s from that of %s, where ISO, iris, shutter and ND say %s: the "+
				"light changed, or a setting is not what it says.", t.Path, seen.Signed(1), first.Path, says.Signed(1)))
		}
	}
	return notes
}
