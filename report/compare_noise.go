package report

import (
	"cmp"
	"math"
	"slices"

	"stopledger/curve"
)

// widestGap is how far apart two measured tones may lie for a tone between them to be read off
// the line through them: tones come in half-stop bins, and one bin may be empty. Over wider gaps
// the line would cut the bend of the noise curve.
const widestGap = 1.25

// toneSNR returns the SNR in dB at a scene tone: from the model, as the advice has it, or on the
// line between the two measured tones around it where no model fits. Nil where neither is there, where grey is
// not known, or where the recording hides the camera's noise.
func toneSNR(c Clip, scene float64) *Estimate {
	if c.Noise.Suppressed {
		return nil
	}
	if e := modelSNR(c.Noise.Model, c.Placement, scene); e != nil {
		return e
	}
	return betweenTones(c.Noise.Tones, scene)
}

// sceneTone is a measured tone whose place in the scene is known.
type sceneTone struct {
	scene, snr float64
	low, high  float64 // of the SNR; NaN where not known
}

func betweenTones(tones []Tone, scene float64) *Estimate {
	var list []sceneTone
	for _, t := range tones {
		at, ok1 := known(t.SceneStops)
		snr, ok2 := known(t.SNR)
		if !ok1 || !ok2 {
			continue
		}
		tone := sceneTone{at, snr, math.NaN(), math.NaN()}
		if t.Low != nil && t.High != nil {
			tone.low, tone.high = *t.Low, *t.High
		}
		list = append(list, tone)
	}
	slices.SortFunc(list, func(a, b sceneTone) int { return cmp.Compare(a.scene, b.scene) })
	for i := 1; i < len(list); i++ {
		a, b := list[i-1], list[i]
		if a.scene > scene || b.scene < scene || b.scene-a.scene > widestGap {
			continue
		}
		return along(a, b, scene)
	}
	return nil
}

// along interpolates between two tones. The interval's ends are interpolated too, which is a
// little wider than two independent tones would make it.
func along(a, b sceneTone, scene float64) *Estimate {
	t := 0.0
	if b.scene > a.scene {
		t = (scene - a.scene) / (b.scene - a.scene)
	}
	mix := func(x, y float64) float64 { return x + t*(y-x) }
	return interval(mix(a.snr, b.snr), mix(a.low, b.low), mix(a.high, b.high))
}

// modelSNR returns 20 log10(L / sigma) with sigma^2 = read^2 + shot L at the light L where the
// scene's tone was recorded. The interval is that of the model's two errors taken as independent:
// 1.96 standard errors of the variance.
func modelSNR(m *Model, p *Placement, scene float64) *Estimate {
	if m == nil || p == nil || !finite(p.Stops) {
		return nil
	}
	light := curve.FromStops(p.Stops + scene)
	variance := m.Read*m.Read + m.Shot*light
	if !(variance > 0) || !finite(variance) {
		return nil
	}
	snr := func(variance float64) float64 { return 20*math.Log10(light) - 10*math.Log10(variance) }
	read, ok1 := known(m.ReadError)
	shot, ok2 := known(m.ShotError)
	spread := 1.96 * math.Hypot(2*m.Read*read, light*shot)
	if !ok1 || !ok2 || spread >= variance {
		return &Estimate{Value: snr(variance)}
	}
	return interval(snr(variance), snr(variance+spread), snr(variance-spread))
}
