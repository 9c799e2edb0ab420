package noise

import (
	"math"
	"testing"

	"stopledger/analyze/internal/testframes"
)

// TestCodingLoss: lossless coding takes nothing, exactly; what a family takes goes into the camera's
// noise, falls with the noise, and counts codes of 10 bits whatever the file's depth; where frames
// are predicted, where the codec, its profile or its rate is another than those measured, nothing
// is told. That white noise of 5 codes through HEVC intra, crf 18, keeps 0.65 of it at 0.6 bits a
// pixel is measured (testdata/noise.md): no table may speak of it.
func TestCodingLoss(t *testing.T) {
	tones := func(sigma float64) []tone { return []tone{{light: 0.18, sigma: sigma, sigmaLight: 0.001 * sigma}} }
	reading := testframes.Reading(t, 10)
	lossless := Recording{Table: reading.Table()}.codingOf(tones(1))
	if lossless.Loss != 0 || lossless.Low != 0 || lossless.High != 0 || lossless.Origin != Lossless {
		t.Errorf("lossless: %+v", lossless)
	}
	prores := Recording{LossyCodec: true, Codec: "prores", Profile: "HQ", Table: reading.Table(), BitsPerPixel: 3}
	before := math.Inf(1)
	for _, sigma := range []float64{0.5, 1, 2, 8} {
		c := prores.codingOf(tones(sigma))
		if !(float64(c.Loss) <= before) && sigma != 4 || !(c.Low < c.Loss && c.Loss < c.High) || c.Origin != CodecFamily {
			t.Errorf("sigma %g: %+v, loss before %.2f", sigma, c, before)
		}
		before = float64(c.Loss)
	}
	deep := prores
	deep.Table = testframes.Reading(t, 12).Table()
	if a, b := prores.codingOf(tones(2)), deep.codingOf(tones(8)); a != b {
		t.Errorf("2 codes of 10 bits %+v, 8 of 12 bits %+v", a, b)
	}
	for name, set := range map[string]func(*Recording){
		"long GOP": func(r *Recording) { r.LongGOP = true },
		"codec":    func(r *Recording) { r.Codec = "mpeg2video" },
		"profile":  func(r *Recording) { r.Profile = "LT" },
		"rate":     func(r *Recording) { r.Codec, r.BitsPerPixel = "hevc", 0.6 },
	} {
		r := prores
		set(&r)
		if c := r.codingOf(tones(3.25)); c.Reason == "" || !math.IsNaN(float64(c.Loss)) || c.Origin != CodingHidden {
			t.Errorf("%s: %+v", name, c)
		}
	}
}

// TestLossOfWhiteNoise: what coding took off white noise lies within the tables: recorded / true
// sigma in flat fields, 640 x 360, FFmpeg 5.1.9 (testdata/noise.md).
func TestLossOfWhiteNoise(t *testing.T) {
	for codec, kept := range map[string]map[float64]float64{
		"prores": {2: 0.87, 5: 0.94, 8: 0.95},
		"dnxhd":  {2: 1.11, 5: 1.08, 8: 1.08},
		"hevc":   {2: 0.96, 5: 0.98, 8: 0.98},
		"h264":   {2: 0.94, 5: 1.00, 8: 1.00},
	} {
		table := losses[codec]
		for sigma, share := range kept {
			loss, k := -20*math.Log10(share), table.at(sigma*share)
			if loss < k.low || loss > k.high {
				t.Errorf("%s at %g codes: %.2f dB, table %+v", codec, sigma, loss, k)
			}
		}
	}
}
