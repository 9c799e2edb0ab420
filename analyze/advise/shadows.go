package advise

import (
	"fmt"
	"math"
	"slices"

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
			Capital(HiddenNoise(f.Noise)) + ": " + f.Noise.Reason + ". No figure is given."})
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
		out = append(out, Finding{ShadowsThin, level, fmt.Sprintf("Signal-to-noise 4 stops under grey is only "+
			"%.0f dB%s.", whole, why)})
	case snr < limit.ThinSNR:
		out = append(out, Finding{ShadowsThin, Caution,
			fmt.Sprintf("Signal-to-noise 4 stops under grey is %.0f dB: visibly noisy.", snr)})
	}
	return out
}

// shadowClause tells the noise four stops under grey after the correction, or nothing where it
// was not measured or the recording hides it.
func shadowClause(n *noise.Result, after After, verb string) string {
	if !curve.Finite(after.SNR) || n.Suppressed || n.Unmeasured != "" {
		return ""
	}
	s := "; signal-to-noise 4 stops under grey " + verb + " " + after.SNR.String()
	switch gain := curve.Round(after.Gain, 0); {
	case !curve.Finite(gain):
	case gain > 0:
		s += ", " + gain.String() + " better than exposed at nominal"
	case gain < 0:
		s += ", " + (-gain).String() + " worse than exposed at nominal"
	default:
		s += ", the same as exposed at nominal"
	}
	return s
}

// suppressedSentence says why no shadow figure is given.
func suppressedSentence(n *noise.Result) string {
	switch {
	case n.Unmeasured != "":
		return "The noise cannot be measured; no figure is given."
	case !n.Suppressed:
		return ""
	}
	return Capital(HiddenNoise(n)) + "; no figure given."
}

// HiddenNoise says what hides the camera's noise where a clip's is suppressed.
func HiddenNoise(n *noise.Result) string {
	if slices.Contains(n.Causes, noise.CodecCarries) {
		return "compression hides the camera's noise"
	}
	return "the recording hides the camera's noise"
}
