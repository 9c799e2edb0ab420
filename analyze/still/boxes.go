package still

// Mean reduces a picture: each pixel is the mean, in linear light, of a square of side x side pixels, and carries
// the clip marks of all of them, so that a single clipped lamp is not lost. Pixels that do not fill a last square
// are left out.
func Mean(of Rows, side int) *Still {
	width, height, scale := of.Size()
	b := newBoxes(width, height, side)
	for y := range b.height * side {
		b.add(y, of.Row(y))
	}
	s := b.still()
	s.Scale *= scale
	return s
}

// boxes sum up the light of squares of pixels, row by row. Pixels that do not fill a last square are left out.
type boxes struct {
	side          int // pixels of a square
	width, height int // squares
	r, g, b       []float32
	clipped       []uint8 // of any pixel
}

func newBoxes(width, height, side int) *boxes {
	b := &boxes{side: side, width: width / side, height: height / side}
	n := b.width * b.height
	b.r, b.g, b.b, b.clipped = make([]float32, n), make([]float32, n), make([]float32, n), make([]uint8, n)
	return b
}

func (b *boxes) clear() {
	clear(b.r)
	clear(b.g)
	clear(b.b)
	clear(b.clipped)
}

// add adds row y of the pixels.
func (b *boxes) add(y int, row Row) {
	if y >= b.height*b.side {
		return
	}
	from := y / b.side * b.width
	for k, light := range [][]float32{row.R, row.G, row.B} {
		sums := [][]float32{b.r, b.g, b.b}[k][from : from+b.width]
		switch b.side {
		case 1:
			copy(sums, light)
		case 2: // as of most frames
			for x := range sums {
				pair := light[2*x : 2*x+2 : 2*x+2]
				sums[x] += pair[0] + pair[1]
			}
		default:
			for x := range sums {
				sums[x] += sumOf(light[x*b.side : (x+1)*b.side])
			}
		}
	}
	for x, marks := range row.Clipped[:min(len(row.Clipped), b.width*b.side)] {
		b.clipped[from+x/b.side] |= marks
	}
}

func sumOf(light []float32) float32 {
	var even, odd float32 // which do not wait for each other
	last := len(light) &^ 1
	for i := 0; i < last; i += 2 {
		even, odd = even+light[i], odd+light[i+1]
	}
	if last < len(light) {
		even += light[last]
	}
	return even + odd
}

// still returns the means of the squares, as which the sums are used up.
func (b *boxes) still() *Still {
	pixels := float32(b.side * b.side)
	for _, sums := range [][]float32{b.r, b.g, b.b} {
		for i := range sums {
			sums[i] /= pixels
		}
	}
	return &Still{Width: b.width, Height: b.height, Scale: float64(b.side), R: b.r, G: b.g, B: b.b, Clipped: b.clipped}
}
