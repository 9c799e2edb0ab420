package cells

import (
	"math"

	"stopledger/curve"
)

// fixedBits is the binary fraction of the fixed-point numbers in Thresholds.
const fixedBits = 14

// Thresholds are the codes from which a channel counts as clipped, in fixed point, with the
// matrix that makes the channels. With the zero value no channel clips.
type Thresholds struct {
	limit              [3]int64 // R, G, B; math.MaxInt64 where the channel does not clip
	mid                int64
	crR, cbG, crG, cbB int64
}

// NewThresholds takes the file codes from which R', G' and B' count as clipped, +Inf for a
// channel without a ceiling.
func NewThresholds(codes [3]curve.FileCode, c curve.Chroma) Thresholds {
	fixed := func(v float64) int64 { return int64(math.Round(v * (1 << fixedBits))) }
	t := Thresholds{mid: int64(c.Mid), crR: fixed(c.CrR), cbG: fixed(c.CbG), crG: fixed(c.CrG), cbB: fixed(c.CbB)}
	for i, code := range codes {
		t.limit[i] = math.MaxInt64
		if !math.IsInf(float64(code), 1) {
			t.limit[i] = fixed(float64(code))
		}
	}
	return t
}

// any tells whether some channel has a ceiling.
func (t *Thresholds) any() bool {
	return *t != Thresholds{} && t.limit != [3]int64{math.MaxInt64, math.MaxInt64, math.MaxInt64}
}
