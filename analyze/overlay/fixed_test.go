package overlay

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/curve"
)

// A picture is the surveys of two pairs of frames by hand: noise at a middle level, over which
// cells are set.
type picture struct {
	grid    cells.Grid
	surveys []*cells.Survey
	reading curve.Reading
}

func newPicture(t *testing.T, cols, rows, bits int) picture {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	p := picture{grid: cells.NewGrid(cols*cells.Size, rows*cells.Size), reading: curve.Reading{Curve: c, Bits: bits}}
	for range 2 {
		s := &cells.Survey{Grid: p.grid}
		for i := range s.Channels {
			for range cols * rows {
				per := p.reading.PerCode()
				s.Channels[i] = append(s.Channels[i], cells.Moments{Mean: 500 * per, Spatial: 9 * per * per,
					Temporal: 4 * per * per})
			}
		}
		p.surveys = append(p.surveys, s)
	}
	return p
}

// set stands a cell on one 10-bit code.
func (p picture) set(col, row int, code float64) {
	for _, s := range p.surveys {
		for i := range s.Channels {
			s.Channels[i][row*p.grid.Cols+col] = cells.Moments{Mean: code * p.reading.PerCode()}
		}
	}
}

// TestMattesOfAnyDepth: bars of random depth at any sides are found as deep as they are, and their
// cells and one line more are marked, no others; in eight bits as in ten and twelve.
func TestMattesOfAnyDepth(t *testing.T) {
	for seed := range uint64(80) {
		random := rand.New(rand.NewPCG(seed, 51))
		cols, rows := 12+random.IntN(10), 10+random.IntN(10)
		p := newPicture(t, cols, rows, []int{8, 10, 12}[seed%3])
		var deep [4]int // top, bottom, left, right
		for side := range deep {
			deep[side] = random.IntN(4) * random.IntN(2)
		}
		// A bar at a side is seen only where it reaches from one end of the picture to the other.
		if deep[0]+deep[1] > 0 {
			deep[2], deep[3] = 0, 0
		}
		code := []float64{4, 16, 64}[random.IntN(3)]
		in := func(col, row, more int) bool {
			d := deep
			for i := range d {
				if d[i] > 0 {
					d[i] += more
				}
			}
			return row < d[0] || row >= rows-d[1] || col < d[2] || col >= cols-d[3]
		}
		for i := range cols * rows {
			if in(i%cols, i/cols, 0) {
				p.set(i%cols, i/cols, code)
			}
		}
		found := Find(p.surveys, nil, p.reading)
		want := 0
		for _, d := range deep {
			if d > 0 {
				want++
			}
		}
		if len(found.Areas) != want {
			t.Fatalf("seed %d: %+v, want bars of %v", seed, found.Areas, deep)
		}
		for i := range cols * rows {
			if found.Mask.Has(i) != in(i%cols, i/cols, 1) {
				t.Fatalf("seed %d, bars of %v: cell %d, %d is marked: %v", seed, deep, i%cols, i/cols, found.Mask.Has(i))
			}
		}
	}
}

// TestWhatIsNoMatte: light at the border, a bar that is broken, or moves, or has colour, or two
// codes, or fills the picture, is none. Black of S-Log3 is code 95, and two codes over it are room.
func TestWhatIsNoMatte(t *testing.T) {
	for name, tc := range map[string]struct {
		code  float64
		spoil func(m *cells.Moments, channel, pair, col int)
		rows  int
		want  int
	}{
		"a bar":           {code: 64, rows: 2, want: 1},
		"at black":        {code: 95, rows: 2, want: 1},
		"over black":      {code: 98, rows: 2},
		"broken":          {64, func(m *cells.Moments, _, _, col int) { m.Mean += 300 * float64(col/11) }, 2, 0},
		"two codes":       {64, func(m *cells.Moments, _, _, col int) { m.Mean += float64(col / 6) }, 2, 0},
		"grain":           {64, func(m *cells.Moments, _, _, _ int) { m.Temporal = 0.02 }, 2, 0},
		"texture":         {64, func(m *cells.Moments, _, _, _ int) { m.Spatial = 0.06 }, 2, 0},
		"coloured":        {64, func(m *cells.Moments, channel, _, _ int) { m.Mean += float64(channel) }, 2, 0},
		"fades":           {64, func(m *cells.Moments, _, pair, _ int) { m.Mean += float64(pair) }, 2, 0},
		"all the picture": {code: 64, rows: 10},
		"no number":       {64, func(m *cells.Moments, _, _, _ int) { m.Mean = math.NaN() }, 2, 0},
	} {
		p := newPicture(t, 12, 10, 10)
		for i := range 12 * tc.rows {
			p.set(i%12, i/12, tc.code)
			for pair, s := range p.surveys {
				for channel := range s.Channels {
					if tc.spoil != nil {
						tc.spoil(&s.Channels[channel][i], channel, pair, i%12)
					}
				}
			}
		}
		if found := Find(p.surveys, nil, p.reading); len(found.Areas) != tc.want || (found.Mask == nil) != (tc.want == 0) {
			t.Errorf("%s: %+v", name, found.Areas)
		}
	}
}

// TestLogosBySize: still cells at video white, code 940, are a logo up to a fiftieth of the frame,
// more are light that clips; the cells around them are marked too.
func TestLogosBySize(t *testing.T) {
	for n := range 12 {
		p := newPicture(t, 20, 20, 10)
		for i := range n {
			p.set(5+i%4, 6+i/4, 940)
		}
		found := Find(p.surveys, nil, p.reading)
		if logo := n > 0 && n <= 8; (len(found.Areas) == 1) != logo {
			t.Errorf("%d of 400 cells: %+v", n, found.Areas)
			continue
		}
		if n == 0 || n > 8 {
			continue
		}
		across, down := min(n, 4), (n+3)/4
		if a := found.Areas[0]; a.Kind != Logo || a.X != 80 || a.Y != 96 || a.W != 16*across || a.H != 16*down ||
			found.Mask.Count() != (across+2)*(down+2) {
			t.Errorf("%d cells: %+v, %d marked", n, a, found.Mask.Count())
		}
	}
	for _, code := range []float64{939, 941, 1019} {
		p := newPicture(t, 20, 20, 10)
		p.set(9, 9, code)
		if found := Find(p.surveys, nil, p.reading); slices.Contains(found.Mask, true) {
			t.Errorf("code %g is a logo: %+v", code, found.Areas)
		}
	}
}

// TestMarksInPartsOfCells: text that fills no cell is one overlay where its samples at video white are there in
// every pair of frames, with the cells it cuts; two lines apart are two. What comes and goes is light, and
// what is large, or stands where the curve itself ends.
func TestMarksInPartsOfCells(t *testing.T) {
	for name, tc := range map[string]struct {
		set    func(whites [][]uint32)
		curve  string
		areas  int
		marked int // cells
	}{
		"text":        {func(w [][]uint32) { put(w, 45, 9, 7); put(w, 46, 3, 30); put(w, 47, 2, 1) }, "S-Log3", 1, 3},
		"two":         {func(w [][]uint32) { put(w, 45, 9, 9); put(w, 90, 9, 9) }, "S-Log3", 2, 2},
		"a glint":     {func(w [][]uint32) { put(w, 45, 9, 0) }, "S-Log3", 0, 0},
		"few samples": {func(w [][]uint32) { put(w, 45, 2, 2) }, "S-Log3", 0, 0},
		"a sky": {func(w [][]uint32) {
			for i := range 20 {
				put(w, i, 99, 99)
			}
		}, "S-Log3", 0, 0},
		"the curve's end": {func(w [][]uint32) { put(w, 45, 9, 9) }, "BT.709", 0, 0},
	} {
		p := newPicture(t, 20, 12, 10)
		c, err := curve.Find(tc.curve)
		if err != nil {
			t.Fatal(err)
		}
		p.reading.Curve = c
		whites := [][]uint32{make([]uint32, 240), make([]uint32, 240)}
		tc.set(whites)
		found := Find(p.surveys, whites, p.reading)
		if len(found.Areas) != tc.areas || found.Mask.Count() != tc.marked {
			t.Errorf("%s: %+v, %d cells marked, want %d and %d", name, found.Areas, found.Mask.Count(), tc.areas, tc.marked)
		}
	}
}

// put counts samples of a cell at video white in two pairs of frames.
func put(whites [][]uint32, cell int, first, second uint32) {
	whites[0][cell], whites[1][cell] = first, second
}
