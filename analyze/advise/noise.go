package advise

import (
	"slices"

	"stopledger/analyze/noise"
)

// A causeWord is what is said of a cause of noise that is other than the sensor's.
type causeWord struct {
	id    ID
	level Level
	text  string
}

var causeWords = map[noise.Cause]causeWord{
	noise.Motion: {NoiseMotion, Note,
		"The picture moves; noise is taken from what has no texture."},
	noise.InterlacedMotion: {NoiseMotion, Note,
		"The picture moves between the two fields of a frame; noise is taken from what has no texture."},
	noise.FramesRepeated: {FramesRepeated, Note,
		"Whole frames repeat the frame before; they are left out of the noise."},
	noise.TemporalReduction: {NoiseReduced, Caution,
		"The camera carries noise over from frame to frame: temporal noise reduction. Its sensor is noisier."},
	noise.SpatialReduction: {NoiseCoarse, Note,
		"The finest noise is missing: spatial noise reduction, or scaling. The sensor is noisier."},
	noise.MotionOrReduction: {NoiseReduced, Caution,
		"Frames differ less from the next than from later ones: movement or noise reduction, not told apart here."},
}

// causeFindings tell what disturbs the noise or takes it.
func causeFindings(n *noise.Result) (out []Finding) {
	for _, c := range n.Causes {
		w, ok := causeWords[c]
		switch {
		case !ok:
		case n.Unmeasured != "" && (w.id == NoiseMotion || c == noise.MotionOrReduction):
			out = append(out, Finding{w.id, Caution, "No noise figure is given: " + n.Unmeasured + "."})
		case n.Suppressed && w.level == Note && slices.Contains(n.Causes, noise.CodecCarries): // coding hides it all
		default:
			out = append(out, Finding{w.id, w.level, w.text})
		}
	}
	if n.Doubt != "" { // a note: the tones are left out, and where grey is does not rest on them
		out = append(out, Finding{NoiseDoubt, Note, Capital(n.Doubt) + "."})
	}
	return out
}
