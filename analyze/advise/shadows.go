package advise

import (
	"fmt"
	"math"

	"stopledger/analyze/limit"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

// noiseFindings tell what the recorded noise is worth, and where shadows are thin: an alarm where the
// clip is underexposed too, for a night is dark without anybody's fault.
func noiseFindings(f Facts, a Advice, under bool) (out []Finding) {
	switch {
	case f.Noise.Suppressed:
		out = append(out, Finding{NoiseSuppressed, Caution,
			"The recorded noise understates the camera's: " + f.Noise.Reason + ". No noise figure is given."})
	case f.Noise.Unmeasured != "":
	case f.LossyCodec:
		out = append(out, Finding{NoiseRecorded, Note,
			"Noise is as recorded: coding leaves somewhat less (or, rarely, more) than the camera made."})
	}
	out = append(out, causeFindings(f.Noise)...)
	switch snr := a.After.SNR; {
	case snr < limit.DeadSNR:
		level, why := Caution, ""
		if under {
			level, why = Alarm, ", and the clip is underexposed"
		}
		whole := math.Round(float64(snr)) + 0 // -0 + 0 is 0
		out = append(out, Finding{ShadowsThin, level, fmt.Sprintf("Shadows at -4 stops carry only %.0f dB%s.", whole, why)})
	case snr < limit.ThinSNR:
		out = append(out, Finding{ShadowsThin, Caution,
			fmt.Sprintf("Shadows at -4 stops carry %.0f dB: plainly grainy.", snr)})
	}
	return out
}

// shadowClause tells the noise four stops under grey after the correction, or nothing where it
// was not measured or the recording hides it.
func shadowClause(n *noise.Result, after After, verb string) string {
	if !curve.Finite(after.SNR) || n.Suppressed || n.Unmeasured != "" {
		return ""
	}
	s := "; shadows at -4 stops " + verb + " " + after.SNR.String()
	switch gain := curve.Round(after.Gain, 0); {
	case !curve.Finite(gain):
	case gain > 0:
		s += ", " + gain.String() + " more than at nominal"
	case gain < 0:
		s += ", " + (-gain).String() + " less than at nominal"
	default:
		s += ", as much as at nominal"
	}
	return s
}

// suppressedSentence says why no shadow figure is given.
func suppressedSentence(n *noise.Result) string {
	switch {
	case n.Unmeasured != "":
		return "The noise cannot be measured, so no shadow figure is given."
	case !n.Suppressed:
		return ""
	}
	return "The recorded noise understates the camera's, so no shadow figure is given."
}
