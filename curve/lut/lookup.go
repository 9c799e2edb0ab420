package lut

import "errors"

// A step of a transform changes R, G and B.
type step interface{ apply(rgb *[3]float64) }

// evenInputs are inputs of a table, evenly spaced in each channel; beyond its ends a table holds.
type evenInputs struct {
	low     [3]float64 // input of the first entry
	perStep [3]float64 // entries per unit of input
	last    int        // index of the last entry
}

// inputs returns evenInputs of n entries. low and high have a number for each channel.
func inputs(low, high [3]float64, n int) (evenInputs, error) {
	in := evenInputs{low: low, last: n - 1}
	for c := range 3 {
		in.perStep[c] = float64(in.last) / (high[c] - low[c])
		if !(in.perStep[c] > 0) || in.perStep[c] > 1e12 {
			return in, errors.New("its input must rise from its lowest to its highest")
		}
	}
	return in, nil
}

// at returns the entry at or below an input of a channel, and how far on the way to the next it lies,
// 0..1. What is not a number is taken for the lowest.
func (in *evenInputs) at(c int, x float64) (i int, on float64) {
	at := (x - in.low[c]) * in.perStep[c]
	switch {
	case !(at > 0):
		return 0, 0
	case at >= float64(in.last):
		return in.last - 1, 1
	}
	i = int(at)
	return i, at - float64(i)
}

// A lookup is a one-dimensional table for each channel, straight between its entries.
type lookup struct {
	evenInputs
	entries [3][]float64
}

func (l *lookup) apply(rgb *[3]float64) {
	for c, x := range rgb {
		i, on := l.at(c, x)
		e := l.entries[c]
		rgb[c] = e[i] + on*(e[i+1]-e[i])
	}
}
