package noise

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/testdata/footage"
)

// linear8 is of 8-bit recordings whose codes are light.
func linear8(t testing.TB) Recording {
	t.Helper()
	c, err := curve.Find("Linear")
	if err != nil {
		t.Fatal(err)
	}
	return recordingOf(curve.Reading{Curve: c, Range: curve.Full, Bits: 8})
}

// readReal reads the frames of a camera-made file and keeps them until the test ends.
func readReal(t *testing.T, name string, spans []decode.Span) (frames []*decode.Frame, info decode.Info) {
	t.Helper()
	clip, err := decode.Open(footage.Path(t, name))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(clip.Close)
	err = clip.Read(t.Context(), decode.ReadOptions{Spans: spans, Threads: 2}, func(f *decode.Frame) error {
		f.Keep()
		t.Cleanup(f.Release)
		frames = append(frames, f)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return frames, clip.Info()
}

// A mosaicTile is one flat field of the EMVA 1288 reference set 002 (8-bit CMOS), as the truth
// beside the clip has it.
type mosaicTile struct {
	Tile      [4]int  `json:"tile"` // x, y, width, height
	Mean      float64 `json:"mean_dn"`
	Variance  float64 `json:"temporal_var_dn2"`
	Saturated float64 `json:"saturated_share"`
}

// cut returns the luma of a tile as a frame of its own.
func (m mosaicTile) cut(f *decode.Frame) *decode.Frame {
	p := f.Planes[0]
	from := m.Tile[1]*p.Stride + m.Tile[0]
	p.Samples, p.Width, p.Height = p.Samples[from:], m.Tile[2], m.Tile[3]
	return &decode.Frame{Planes: [3]decode.Plane{p}, Layout: decode.Gray, Bits: f.Bits, Picture: f.Picture}
}

// TestRealSensor measures flat fields of a real sensor, one tile at a time: EMVA 1288 reference
// set 002. Temporal variance of the unclipped tiles above half a DN is to agree within 3 %, the
// mean over whole cells too.
func TestRealSensor(t *testing.T) {
	frames, _ := readReal(t, "emva002/mosaic48_linear8.mkv", nil)
	tiles := readMosaic(t, footage.Path(t, "emva002/mosaic48.truth.json"))
	variances := make([]float64, len(tiles))
	seen := 0
	for i, tile := range tiles {
		mean, variance := overCells([]*decode.Frame{tile.cut(frames[0]), tile.cut(frames[1])}, linear8(t))
		variances[i] = variance
		if tile.Saturated > 0 || tile.Variance < 0.25 {
			continue
		}
		// The sensor's shading: cells leave out a strip of eight rows.
		if math.Abs(mean-tile.Mean) > 0.01*tile.Mean {
			t.Errorf("tile %d: mean %.3f DN, want %.3f", i, mean, tile.Mean)
		}
		if d := variance/tile.Variance - 1; math.Abs(d) > 0.03 {
			t.Errorf("tile %d: variance %.4f DN^2, want %.4f (%+.1f %%)", i, variance, tile.Variance, 100*d)
		}
		seen++
	}
	if seen < 20 {
		t.Errorf("only %d tiles compared", seen)
	}
	checkConversionGain(t, variances, tiles)
}

// overCells returns the mean code and the mean temporal variance over a pair's whole cells.
func overCells(pair []*decode.Frame, r Recording) (mean, variance float64) {
	walkGroup(pair, 0, r, 1, func(f *cells.Frame) {
		if f.Before == nil {
			return
		}
		n := 0.0
		for _, c := range f.Cells {
			if c.Whole() {
				mean += float64(c.Sum) / cells.Area
				variance += cells.Variance(c.Deviation)
				n++
			}
		}
		mean, variance = mean/n, variance/n
	})
	return mean, variance
}

// checkConversionGain fits variance on mean over the bright tiles 1 .. 24 (up to 70 % of the
// variance peak) with weight N / (2 v^2) and a free dark variance: an independent working of the
// same recipe on the same tiles gave K = 0.01795 DN per electron and 0.2157 DN^2.
func checkConversionGain(t *testing.T, variances []float64, tiles []mosaicTile) {
	t.Helper()
	var p modelPoints
	for i := 1; i <= 24; i++ {
		v := variances[i]
		p.add(tiles[i].Mean, v, 160*120/(2*v*v))
	}
	m := p.fit()
	if m == nil || math.Abs(float64(m.Shot)/0.01795-1) > 0.02 {
		t.Errorf("fit %+v, want K 0.01795", m)
	}
}

func readMosaic(t *testing.T, path string) []mosaicTile {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var tiles []mosaicTile
	if err := json.Unmarshal(raw, &tiles); err != nil {
		t.Fatal(err)
	}
	if len(tiles) != 48 {
		t.Fatalf("%d tiles in %s", len(tiles), path)
	}
	return tiles
}

// TestRealStack measures the bright stack of the same camera: temporal variance 2.498 DN^2 within
// 3 % (published with the data: 16 frames, mean over pixels).
func TestRealStack(t *testing.T) {
	frames, _ := readReal(t, "emva002/bright_static16.mkv", nil)
	r := linear8(t)
	sigma := fileSigma(r.Table.Reading, mainTone(measure(frames, r).Tones))
	if got := sigma*sigma + quantised; math.Abs(got/2.498-1) > 0.03 {
		t.Errorf("temporal variance %.4f DN^2, want 2.498", got)
	}
}

// TestRealDarkStackIsBelow: the dark stack's noise, 0.34 DN, is below what whole codes show.
func TestRealDarkStackIsBelow(t *testing.T) {
	frames, _ := readReal(t, "emva002/dark_static16.mkv", nil)
	for _, tone := range measure(frames, linear8(t)).Tones {
		if curve.Finite(tone.SigmaCode) && tone.Cells > 50 {
			t.Errorf("%+.1f stops: sigma %.3f is given, although whole codes cannot show it",
				float64(tone.Recorded), float64(tone.SigmaCode))
		}
	}
}

// TestRealPhones opens phone and web clips: their noise is suppressed, and must be called so.
func TestRealPhones(t *testing.T) {
	for name, curveName := range map[string]string{
		"video/phone-rooftops-hlg-cut.mov": "HLG",
		"video/rooftops-pq-cut.mp4":        "PQ",
		"video/roadtrip-vp9-10bit.webm":    "HLG",
	} {
		t.Run(name, func(t *testing.T) {
			c, err := curve.Find(curveName)
			if err != nil {
				t.Fatal(err)
			}
			frames, info := readReal(t, name, []decode.Span{{First: 0, Count: framesPerGroup}})
			r := recordingOf(curve.Reading{Curve: c, Bits: info.Bits})
			r.LossyCodec, r.LongGOP = true, info.LongGOP
			if got := measure(frames, r); !got.Suppressed {
				t.Errorf("noise is not called suppressed: %+v", got.Codec)
			}
		})
	}
}
