package cells_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/stat"

	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/testdata/footage"
)

// A mosaicTile is one flat field of the EMVA 1288 reference set 002 (8-bit CMOS), as the truth
// beside the clip has it.
type mosaicTile struct {
	Tile      [4]int  `json:"tile"` // x, y, width, height
	Mean      float64 `json:"mean_dn"`
	Variance  float64 `json:"temporal_var_dn2"`
	Saturated float64 `json:"saturated_share"`
}

func readMosaic(t *testing.T) []mosaicTile {
	t.Helper()
	raw, err := os.ReadFile(footage.Path(t, "emva002/mosaic48.truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	var tiles []mosaicTile
	if err := json.Unmarshal(raw, &tiles); err != nil {
		t.Fatal(err)
	}
	if len(tiles) != 48 {
		t.Fatalf("%d tiles", len(tiles))
	}
	return tiles
}

// TestRealSensor measures flat fields of a real sensor: EMVA 1288 reference set 002. Temporal
// variance of the unclipped tiles above half a DN is to agree within 3 % with that of the pair.
func TestRealSensor(t *testing.T) {
	tiles := readMosaic(t)
	variance, freedom := tileVariances(t, tiles)
	seen := 0
	for i, tile := range tiles {
		if tile.Saturated > 0 || tile.Variance < 0.25 {
			continue
		}
		if d := variance[i]/tile.Variance - 1; math.Abs(d) > 0.03 {
			t.Errorf("tile %d: variance %.4f DN^2, want %.4f (%+.1f %%)", i, variance[i], tile.Variance, 100*d)
		}
		seen++
	}
	if seen < 20 {
		t.Errorf("only %d tiles compared", seen)
	}
	checkConversionGain(t, tiles, variance, freedom)
}

// checkConversionGain fits variance on mean over the bright tiles 1 .. 24 (up to 70 % of the
// variance peak) with weight N / (2 v^2) and a free dark variance: an independent working of the
// same recipe on the same tiles gave K = 0.01795 DN per electron and 0.2157 DN^2.
func checkConversionGain(t *testing.T, tiles []mosaicTile, variance, freedom []float64) {
	t.Helper()
	var mean, v, weight []float64
	for i := 1; i <= 24; i++ {
		mean = append(mean, tiles[i].Mean)
		v = append(v, variance[i])
		weight = append(weight, freedom[i]/(2*variance[i]*variance[i]))
	}
	dark, gain := stat.LinearRegression(mean, v, weight, false)
	if math.Abs(gain/0.01795-1) > 0.02 {
		t.Errorf("K %.5f DN per electron, want 0.01795; dark variance %.4f DN^2", gain, dark)
	}
}

// tileVariances returns the variance of the cells that lie wholly within each tile, and its
// degrees of freedom.
func tileVariances(t *testing.T, tiles []mosaicTile) (variance, freedom []float64) {
	t.Helper()
	clip, err := decode.Open(footage.Path(t, "emva002/mosaic48_linear8.mkv"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(clip.Close)
	linear, err := curve.Find("Linear")
	if err != nil {
		t.Fatal(err)
	}
	variance, freedom = make([]float64, len(tiles)), make([]float64, len(tiles))
	how := cells.Walk{Reading: curve.Reading{Curve: linear, Range: curve.Full, Bits: 8}, Matrix: curve.BT709, Workers: 2}
	w := cells.NewWalker(how, func(f *cells.Frame) {
		if f.Before == nil {
			return
		}
		for i, tile := range tiles {
			variance[i], freedom[i] = within(f, tile.Tile)
		}
	})
	defer w.Drop()
	err = clip.Read(t.Context(), decode.ReadOptions{}, func(f *decode.Frame) error {
		w.Add(f)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	w.Finish()
	return variance, freedom
}

func within(f *cells.Frame, tile [4]int) (variance, freedom float64) {
	const size = cells.Size
	n := 0.0
	for row := (tile[1] + size - 1) / size; (row+1)*size <= tile[1]+tile[3]; row++ {
		for col := (tile[0] + size - 1) / size; (col+1)*size <= tile[0]+tile[2]; col++ {
			variance += cells.Variance(f.Cells[row*f.Grid.Cols+col].Deviation)
			n++
		}
	}
	return variance / n, n * cells.Freedom
}
