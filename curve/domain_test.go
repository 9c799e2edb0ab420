package curve

import (
	"math"
	"testing"
)

// TestDomains: what a file is handed of a code, worked out from the code itself, for both conventions
// and ranges at every depth (narrow range: Recommendation ITU-R BT.2100-2, table 9).
func TestDomains(t *testing.T) {
	for _, convention := range []Convention{DataCodes, VideoScaled} {
		for _, span := range []Range{Narrow, Full} {
			for bits := 8; bits <= 16; bits++ {
				r := Reading{Curve: &Curve{Convention: convention}, Range: span, Bits: bits}
				for code := 0; code < r.Codes(); code += max(1, r.Codes()/97) {
					n := r.Signal(FileCode(code))
					code10 := float64(code) / math.Exp2(float64(bits)-10)
					video := (code10 - 64) / 876
					if span == Full {
						video = float64(code) / float64(r.Codes()-1)
					}
					gain, offset := r.InDomain(VideoDomain)
					if v := gain*n + offset; math.Abs(v-video) > 1e-12 {
						t.Errorf("%+v: code %d is %.6f of video, want %.6f", r, code, v, video)
					}
					if gain, offset := r.InDomain(CurveDomain); gain != 1 || offset != 0 {
						t.Errorf("%+v: n is not the curve's own: %g n + %g", r, gain, offset)
					}
				}
			}
		}
	}
}
