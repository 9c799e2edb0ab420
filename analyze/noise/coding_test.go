package noise

import (
	"math"
	"testing"

	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
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

// TestLossOfRealSensor: what coding took off the noise of a real sensor, which nothing resampled, lies within the
// tables: recorded sigma in 10-bit codes and loss in dB of EMVA 1288 reference set 002, its bright stack scaled
// to 10 bits (testdata/noise.md).
func TestLossOfRealSensor(t *testing.T) {
	for codec, lost := range map[string]map[float64]float64{
		"prores": {0.66: 1.80, 1.34: 1.25, 2.96: 0.70},
		"dnxhd":  {0.91: -1.02, 1.76: -1.13, 3.50: -0.75},
		"hevc":   {0.46: 4.94, 1.55: 0.00, 3.23: -0.04},
	} {
		table := losses[codec]
		for sigma, loss := range lost {
			if k := table.at(sigma); loss < k.low || loss > k.high {
				t.Errorf("%s at %g codes: %.2f dB, table %+v", codec, sigma, loss, k)
			}
		}
	}
}

// TestLossFarUnder: beside a tone of ten times its noise the loss of a tone may be larger by 10 log10(10/3) dB,
// and is taken for half of that.
func TestLossFarUnder(t *testing.T) {
	reading := testframes.Reading(t, 10)
	r := Recording{LossyCodec: true, Codec: "dnxhd", Profile: "DNXHR HQX", Table: reading.Table()}
	quiet := tone{light: 0.18, sigma: 0.8, sigmaLight: 1e-3}
	alone, _ := r.lossesOf([]tone{quiet})
	beside, _ := r.lossesOf([]tone{{light: 0.01, sigma: 8, sigmaLight: 1e-3}, quiet})
	near(t, "high", beside[1].high-alone[0].high, 10*math.Log10(10/3.0), 1e-9)
	near(t, "loss", beside[1].loss-alone[0].loss, 5*math.Log10(10/3.0), 1e-9)
	near(t, "low", beside[1].low, alone[0].low, 1e-9)
}

// TestTiltedLoss: four tones over two stops of a camera of shot noise alone, through ProRes: the line that is
// carried on to ten stops less light is off by what coding may have taken of dark and bright tones unlike, and
// the camera's SNR there is not told; where the tones lie it is, and holds the truth.
func TestTiltedLoss(t *testing.T) {
	reading := testframes.Reading(t, 10)
	r := Recording{LossyCodec: true, Codec: "prores", Profile: "HQ", Table: reading.Table()}
	truth := Model{Shot: 5e-5}
	tones := tonesOn(truth, 0.01, 0, 0.5, 1.5, 2)
	camera, reason := r.transferOf(tones, 100)
	if camera.likely == nil || len(camera.tilted) != 2 {
		t.Fatalf("%+v: %s", camera, reason)
	}
	got := Result{Model: camera.likely, Least: camera.least, Most: camera.most, Tilted: camera.tilted}
	if e := got.CameraSNR(-8); curve.Finite(e.Value) {
		t.Errorf("%+v at -8 stops", e)
	}
	for _, stops := range []curve.Stops{0, 1, 2} {
		made := truth.SNR(stops.Light())
		recorded := made - curve.Decibels(losses["prores"].at(tones[0].sigma/reading.PerCode()).loss)
		if e := got.CameraSNR(stops); !(e.Low < recorded && recorded < e.High) {
			t.Errorf("%+v at %v stops, want %.2f", e, stops, recorded)
		}
	}
}
