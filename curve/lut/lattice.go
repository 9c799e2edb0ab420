package lut

// A lattice is a three-dimensional table, of R, G and B at the corners of cubes.
type lattice struct {
	evenInputs
	values    []float32 // three of each point, of which red changes fastest
	trilinear bool      // between the points; or else tetrahedral
}

// place returns where the point of indices r, g, b has its values.
func (l *lattice) place(r, g, b int) int {
	edge := l.last + 1
	return 3 * (r + edge*(g+edge*b))
}

func (l *lattice) apply(rgb *[3]float64) {
	var i [3]int
	var on [3]float64
	for c, x := range rgb {
		i[c], on[c] = l.at(c, x)
	}
	corner := l.place(i[0], i[1], i[2])
	steps := [3]int{l.place(1, 0, 0), l.place(0, 1, 0), l.place(0, 0, 1)}
	if l.trilinear {
		*rgb = l.inCube(corner, steps, on)
	} else {
		*rgb = l.inTetrahedron(corner, steps, on)
	}
}

// inTetrahedron mixes the corners of the tetrahedron that a point lies in: from the lowest corner of
// the cube to its highest, along the channels in falling order of how far on the point lies.
func (l *lattice) inTetrahedron(corner int, steps [3]int, on [3]float64) (rgb [3]float64) {
	first, second, third := 0, 1, 2
	if on[first] < on[second] {
		first, second = second, first
	}
	if on[second] < on[third] {
		second, third = third, second
	}
	if on[first] < on[second] {
		first, second = second, first
	}
	one := corner + steps[first]
	two := one + steps[second]
	far := two + steps[third]
	for c := range 3 {
		rgb[c] = (1-on[first])*float64(l.values[corner+c]) + (on[first]-on[second])*float64(l.values[one+c]) +
			(on[second]-on[third])*float64(l.values[two+c]) + on[third]*float64(l.values[far+c])
	}
	return rgb
}

// inCube mixes the eight corners of the cube that a point lies in.
func (l *lattice) inCube(corner int, steps [3]int, on [3]float64) (rgb [3]float64) {
	for c := range 3 {
		along := func(place, channel int, of func(place int) float64) float64 {
			return (1-on[channel])*of(place) + on[channel]*of(place+steps[channel])
		}
		value := func(place int) float64 { return float64(l.values[place+c]) }
		red := func(place int) float64 { return along(place, 0, value) }
		green := func(place int) float64 { return along(place, 1, red) }
		rgb[c] = along(corner, 2, green)
	}
	return rgb
}
