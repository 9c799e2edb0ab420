package picture

import (
	"stopledger/analyze/still"
	"stopledger/curve"
)

// lightOf returns the weighted light of every pixel of a still: R, G and B count as much as in
// luma of the matrix. For neutral tones all matrices give the same.
func lightOf(s *still.Still, m curve.Matrix) []float32 {
	kr, kg, kb := float32(m.Kr), float32(m.Kg()), float32(m.Kb)
	out := make([]float32, len(s.R))
	for i := range out {
		out[i] = kr*s.R[i] + kg*s.G[i] + kb*s.B[i]
	}
	return out
}

// stopsOf returns the recorded stops of every pixel of a still: of its weighted light, -Inf where
// there is none.
func stopsOf(s *still.Still, m curve.Matrix) []curve.Stops {
	out := make([]curve.Stops, len(s.R))
	for i, light := range lightOf(s, m) {
		out[i] = curve.Light(light).Stops()
	}
	return out
}
