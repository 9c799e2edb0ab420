package noise

import (
	"math"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/internal/testframes"
	"stopledger/curve"
)

// TestDetailIsExact compares one cell's closer look with double precision: noise, pattern, bands
// and covariances of a cell less its plane, found here by projection on three vectors.
func TestDetailIsExact(t *testing.T) {
	film := testframes.Make(testframes.Kinds[2], 16, 16, 10, 2, testframes.Contents(10, 21)["random"])
	now, was := film[1].Planes[0], film[0].Planes[0]
	f := &cells.Frame{Frame: film[1], Luma: now, Before: film[0], LumaBefore: was}
	d := look(f, testframes.Reading(t, 10).Chroma(curve.BT709))
	if len(d.luma) != 1 {
		t.Fatalf("%d cells", len(d.luma))
	}
	var change, mean [256]float64
	for i := range change {
		a, b := float64(now.Row(i / 16)[i%16]), float64(was.Row(i / 16)[i%16])
		change[i], mean[i] = a-b, (a+b)/2
	}
	slowPlane(&change)
	slowPlane(&mean)
	checkDetail(t, d.luma[0].cell(), &change, &mean)
}

// checkDetail compares a cell with its differences and means, planes taken out.
func checkDetail(t *testing.T, c detailCell, change, mean *[256]float64) {
	t.Helper()
	var square, fourth, fixed, across, down, row, column float64
	var rows, columns [16]float64
	for i, v := range change {
		square += v * v
		fourth += v * v * v * v
		fixed += mean[i] * mean[i]
		rows[i/16] += mean[i] / 16
		columns[i%16] += mean[i] / 16
		if i%16 < 14 {
			across += v * change[i+2] / (2 * 16 * 14)
		}
		if i < 16*13 {
			down += v * change[i+48] / (2 * 16 * 13)
		}
	}
	for i := range rows {
		row += rows[i] * rows[i] / 14
		column += columns[i] * columns[i] / 14
	}
	near(t, "variance", c.variance, square/2/253, 1e-4)
	near(t, "fourth moment", c.fourth, fourth/256/math.Pow(square/253, 2), 1e-4)
	near(t, "pattern", c.fixed, fixed/253, 1e-4)
	near(t, "rows", c.row, row, 1e-4)
	near(t, "columns", c.column, column, 1e-4)
	// Covariances are differences of large numbers.
	if math.Abs(c.across[1]-across) > 1e-4*c.variance || math.Abs(c.down[2]-down) > 1e-4*c.variance {
		t.Errorf("covariances %v %v, want %v %v", c.across[1], c.down[2], across, down)
	}
}

// slowPlane takes mean and both slopes out of a cell.
func slowPlane(v *[256]float64) {
	for _, vector := range []func(i int) float64{
		func(int) float64 { return 1 },
		func(i int) float64 { return float64(i%16) - 7.5 },
		func(i int) float64 { return float64(i/16) - 7.5 },
	} {
		var along, length float64
		for i := range v {
			along += v[i] * vector(i)
			length += vector(i) * vector(i)
		}
		for i := range v {
			v[i] -= along / length * vector(i)
		}
	}
}
