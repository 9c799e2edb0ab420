// Package random makes the synthetic camera's random numbers: generators by row, so that rows can
// be made in any order, and Poisson numbers out of a table.
package random

import "math/rand/v2"

// Row returns the generator of one row of one frame: rows can be made in any order.
func Row(seed uint64, frame, row int, purpose Purpose) *rand.Rand {
	a := Mix(seed ^ Mix(uint64(purpose)))
	return rand.New(rand.NewPCG(a, Mix(a^uint64(frame)<<32^uint64(row))))
}

// Mix is the finalizer of SplitMix64 (Steele, Lea, Flood: Fast Splittable Pseudorandom Number
// Generators, 2014), from memory: neighbouring inputs give unrelated outputs.
func Mix(z uint64) uint64 {
	z += 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// A Purpose is what a row's random numbers are for.
type Purpose uint64

// Purposes.
const (
	Noise       Purpose = iota + 1 // temporal
	Pattern                        // fixed, pixel by pixel
	RowBands                       // fixed, by rows
	ColumnBands                    // fixed, by columns
)
