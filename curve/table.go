package curve

import "math"

// A Table tells light, its slope and stops by file code: whole codes are looked up, codes between
// two are interpolated on a straight line, codes beyond the file's follow the curve.
type Table struct {
	Reading Reading   // what the table was made from
	Light   []Light   // of each file code 0 .. 2^bits-1
	Slope   []float64 // light per file code
	Stops   []Stops   // recorded; -Inf at or below no light
}

// Table returns the reading's table.
func (r Reading) Table() *Table {
	t := &Table{r, make([]Light, r.Codes()), make([]float64, r.Codes()), make([]Stops, r.Codes())}
	for i := range t.Light {
		c := FileCode(i)
		t.Light[i], t.Slope[i] = r.Light(c), r.LightPerCode(c)
		t.Stops[i] = t.Light[i].Stops()
	}
	return t
}

// LightAt returns the light of a code that may lie between two of the file's, or beyond them.
func (t *Table) LightAt(c FileCode) Light {
	if i := int(c); c >= 0 && i < len(t.Light)-1 { // as At does, for every pixel of a picture
		light := t.Light[i] + Light(c-FileCode(i))*(t.Light[i+1]-t.Light[i])
		if Finite(light) {
			return light
		}
	}
	if c < 0 || c > FileCode(len(t.Light)-1) {
		return t.Reading.Light(c)
	}
	return At(t.Light, c)
}

// At returns a table's value at a code, on the straight line between the two whole codes around
// it, and its end value beyond the ends. The lower code's value stands where that is not finite
// (stops of no light); NaN gives NaN.
func At[T ~float64](table []T, c FileCode) T {
	if math.IsNaN(float64(c)) || len(table) == 0 {
		return Unknown[T]()
	}
	c = min(max(c, 0), FileCode(len(table)-1))
	i := int(c)
	if i+1 == len(table) || !Finite(table[i]) {
		return table[i]
	}
	return table[i] + T(c-FileCode(i))*(table[i+1]-table[i])
}
