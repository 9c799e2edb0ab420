package pyramid

import (
	"math"

	"stopledger/curve"
)

// A Tone is one R', G', B' in the units that colours are compared in: recorded stops.
type Tone struct{ R, G, B float64 }

// Apart returns by how many stops the two channels that differ most do; 0 is neutral.
func (t Tone) Apart() float64 { return max(t.R, t.G, t.B) - min(t.R, t.G, t.B) }

// A ToneTable tells recorded stops by code on a level's scale.
type ToneTable struct {
	Stops []float32 // of each whole code; none below Params.DeepestTone
	reach float64   // see Params.SlopeReach
}

// NewToneTable returns the table of a reading.
func NewToneTable(r curve.Reading, p *Params) ToneTable {
	t := ToneTable{make([]float32, 1<<levelBits), p.SlopeReach}
	k := SignalScale(r.Bits)
	for i := range t.Stops {
		t.Stops[i] = float32(math.Max(float64(r.Stops(curve.FileCode(float64(i)/k))), p.DeepestTone))
	}
	return t
}

// At returns the stops of a code, which may be a mean and lie between two.
func (t ToneTable) At(v float64) float64 {
	i := int(math.Max(v, 0))
	if i >= len(t.Stops)-1 {
		return float64(t.Stops[len(t.Stops)-1])
	}
	share := float32(math.Max(v, 0) - float64(i))
	return float64(t.Stops[i]*(1-share) + t.Stops[i+1]*share)
}

// Slope returns the stops to a code at a code, above zero.
func (t ToneTable) Slope(v float64) float64 {
	return math.Max(t.At(v+t.reach)-t.At(v-t.reach), 1e-6) / (2 * t.reach)
}

// Tone returns the stops of R', G' and B' of a mean of luma and differences. The matrix gives
// G' = Y' - (Kr (R'-Y') + Kb (B'-Y')) / Kg.
func (t ToneTable) Tone(y, u, v float64, m curve.Matrix) Tone {
	return Tone{t.At(y + v), t.At(y - (m.Kr*v+m.Kb*u)/m.Kg()), t.At(y + u)}
}
