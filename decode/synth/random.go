package synth

import "math/rand/v2"

// rowRand returns the generator of one row of one frame: rows can be made in any order.
func rowRand(seed uint64, frame, row int, purpose uint64) *rand.Rand {
	a := mix(seed ^ mix(purpose))
	return rand.New(rand.NewPCG(a, mix(a^uint64(frame)<<32^uint64(row))))
}

// mix is the finalizer of SplitMix64 (Steele, Lea, Flood: Fast Splittable Pseudorandom Number
// Generators, 2014), from memory: neighbouring inputs give unrelated outputs.
func mix(z uint64) uint64 {
	z += 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// What a row's random numbers are for.
const (
	forNoise uint64 = iota + 1
	forPattern
	forRowBands
	forColumnBands
)
