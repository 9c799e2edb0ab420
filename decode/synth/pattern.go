package synth

// A fixedPattern is a camera's Pattern drawn out for every pixel; nil means none.
type fixedPattern struct {
	width        int
	gains, adds  [3][]float32
	rows, column []float32
}

func newFixedPattern(p Pattern, width, height int) *fixedPattern {
	if p.PRNU == 0 && p.DSNU == 0 && p.Rows == 0 && p.Columns == 0 {
		return nil
	}
	f := &fixedPattern{width: width}
	for c := range f.gains {
		f.gains[c] = make([]float32, width*height)
		f.adds[c] = make([]float32, width*height)
		for y := range height {
			rng := rowRand(p.Seed, c, y, forPattern)
			for i := y * width; i < (y+1)*width; i++ {
				f.gains[c][i] = float32(1 + p.PRNU*rng.NormFloat64())
				f.adds[c][i] = float32(float64(p.DSNU) * rng.NormFloat64())
			}
		}
	}
	f.rows = bands(p.Seed, forRowBands, height, float64(p.Rows))
	f.column = bands(p.Seed, forColumnBands, width, float64(p.Columns))
	return f
}

func bands(seed, purpose uint64, n int, sd float64) []float32 {
	rng := rowRand(seed, 0, 0, purpose)
	out := make([]float32, n)
	for i := range out {
		out[i] = float32(sd * rng.NormFloat64())
	}
	return out
}

func (f *fixedPattern) gain(row []float32, c, y int) {
	if f == nil {
		return
	}
	g := f.gains[c][y*f.width:]
	for i := range row {
		row[i] *= g[i]
	}
}

func (f *fixedPattern) offset(row []float32, c, y int, gain float32) {
	if f == nil {
		return
	}
	a := f.adds[c][y*f.width:]
	for i := range row {
		row[i] += gain * (a[i] + f.rows[y] + f.column[i])
	}
}
