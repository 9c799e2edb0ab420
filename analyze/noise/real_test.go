package noise

import (
	"math"
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
func readReal(t *testing.T, name string) (frames []*decode.Frame) {
	t.Helper()
	clip, err := decode.Open(footage.Path(t, name))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(clip.Close)
	err = clip.Read(t.Context(), decode.ReadOptions{Threads: 2}, func(f *decode.Frame) error {
		f.Keep()
		t.Cleanup(f.Release)
		frames = append(frames, f)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return frames
}

// cut returns the luma of a tile as a frame of its own.
func cut(m footage.Tile, f *decode.Frame) *decode.Frame {
	p := f.Planes[0]
	from := m.Tile[1]*p.Stride + m.Tile[0]
	p.Samples, p.Width, p.Height = p.Samples[from:], m.Tile[2], m.Tile[3]
	return &decode.Frame{Planes: [3]decode.Plane{p}, Layout: decode.Gray, Bits: f.Bits, Picture: f.Picture}
}

// TestRealSensor measures flat fields of a real sensor, one tile at a time: EMVA 1288 reference
// set 002. Temporal variance of the unclipped tiles above half a DN is to agree within 3 %, the
// mean over whole cells too.
func TestRealSensor(t *testing.T) {
	frames := readReal(t, "emva002/mosaic48_linear8.mkv")
	tiles := footage.Mosaic(t)
	variances := make([]float64, len(tiles))
	seen := 0
	for i, tile := range tiles {
		mean, variance := overCells([]*decode.Frame{cut(tile, frames[0]), cut(tile, frames[1])}, linear8(t))
		variances[i] = variance
		if !tile.Compared() {
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
func checkConversionGain(t *testing.T, variances []float64, tiles []footage.Tile) {
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
