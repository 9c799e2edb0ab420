package synth

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/synth/random"
)

// Noise is the temporal noise of one sensor channel before white balance, in scene-linear units
// of the recording: variance = Read^2 + Shot x L. Shot is at the same time the light of one
// electron, so L/Shot is the number of electrons.
//
// The model is EMVA 1288's for a linear camera (variance = dark variance + K x mean).
type Noise struct {
	Read curve.Light // standard deviation with no light
	Shot curve.Light // of one electron
}

// Sigma returns the standard deviation at a light.
func (n Noise) Sigma(l curve.Light) curve.Light {
	return curve.Light(math.Sqrt(float64(n.Read*n.Read + n.Shot*max(l, 0))))
}

// Floor returns the light at which the signal equals its noise (SNR = 1, 0 dB).
func (n Noise) Floor() curve.Light {
	return (n.Shot + curve.Light(math.Sqrt(float64(n.Shot*n.Shot+4*n.Read*n.Read)))) / 2
}

// A Photosite gives the noise in electrons, as data sheets do.
type Photosite struct {
	FullWell float64 // electrons at the ceiling, at the base ISO
	ReadE    float64 // electrons, standard deviation
	BaseISO  float64 // at which the well fills at BaseCeiling
	ISO      float64 // 0 means BaseISO
	// BaseCeiling is the recorded scene-linear light of a full well at the base ISO.
	BaseCeiling curve.Light
}

// Noise returns the model in recorded light. Twice the ISO means half the exposure for the
// same recorded light: each electron counts for twice the light and the well fills a stop
// later on the recorded scale.
func (p Photosite) Noise() Noise {
	perElectron := float64(p.BaseCeiling) / p.FullWell * p.gain()
	return Noise{Read: curve.Light(p.ReadE * perElectron), Shot: curve.Light(perElectron)}
}

// Ceiling returns the recorded light of a full well at the ISO set.
func (p Photosite) Ceiling() curve.Light { return p.BaseCeiling * curve.Light(p.gain()) }

func (p Photosite) gain() float64 {
	if p.ISO == 0 {
		return 1
	}
	return p.ISO / p.BaseISO
}

// A Pattern is fixed in place: the same in all frames.
type Pattern struct {
	Seed    uint64      // which camera of its make
	PRNU    float64     // standard deviation of each pixel's gain, relative
	DSNU    curve.Light // standard deviation of each pixel's offset
	Rows    curve.Light // standard deviation of each row's offset
	Columns curve.Light // standard deviation of each column's offset
}

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
			rng := random.Row(p.Seed, c, y, random.Pattern)
			for i := y * width; i < (y+1)*width; i++ {
				f.gains[c][i] = float32(1 + p.PRNU*rng.NormFloat64())
				f.adds[c][i] = float32(float64(p.DSNU) * rng.NormFloat64())
			}
		}
	}
	f.rows = bands(p.Seed, random.RowBands, height, float64(p.Rows))
	f.column = bands(p.Seed, random.ColumnBands, width, float64(p.Columns))
	return f
}

func bands(seed uint64, purpose random.Purpose, n int, sd float64) []float32 {
	rng := random.Row(seed, 0, 0, purpose)
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
