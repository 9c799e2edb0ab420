package analyze

import (
	"math"
	"slices"
	"sync"

	"stopledger/curve"
	"stopledger/decode"
)

// A walker goes over the frames of one group, in order, and fills its sums. The rows of a frame
// are shared out among workers; each has its own histogram and cells of its own.
type walker struct {
	grid     grid
	ceilings thresholds
	scale    *toneScale
	chroma   curve.Chroma
	patches  []Patch
	closer   bool    // give the current group a closer look
	stops    []int64 // recorded stops by file code x stopsOne, for the frame's level
	bands    []band
	sums     *groupSums
	pairVar  []float32 // per cell, of the current pair
	first    *decode.Frame
	before   *decode.Frame
	luma     lumaPlanes

	mostClipped float64 // chroma samples of a cell at the ceiling up to which its noise is used
}

// A band is one worker's share of a frame: cell rows from..to.
type band struct {
	from, to int
	hist     []uint32
	row      []rowSums // one per cell of a row of cells

	samples []cellNoise // of the current batch
	looked  int

	stops  int64 // of the current frame: sum over cells of pixels x stops of the mean code
	pixels int64
}

// rowSums gather one row of cells in one frame.
type rowSums struct {
	sum, sumSq               uint64
	left, right, top, bottom int64 // sums of differences by half
	diffSq                   uint64
	pixels                   int
	clippedBefore            uint32 // of the cell, in the group's frames before this one
}

func newWalker(g grid, perCell float64, set Settings, c thresholds) *walker {
	r := set.Reading
	w := &walker{grid: g, ceilings: c, scale: newToneScale(r), chroma: r.Chroma(set.Matrix), patches: set.Patches, mostClipped: perCell * cleanShare,
		pairVar: make([]float32, g.cols*g.rows), luma: lumaPlanes{matrix: set.Matrix}}
	for _, stops := range w.scale.stops {
		w.stops = append(w.stops, int64(math.Round(stopsOne*stops)))
	}
	workers := min(max(set.Threads, 1), g.rows)
	for i := range workers {
		w.bands = append(w.bands, band{
			from: g.rows * i / workers, to: g.rows * (i + 1) / workers,
			hist: make([]uint32, 1<<r.Bits), row: make([]rowSums, g.cols),
		})
	}
	return w
}

// darkest bounds the logarithm of light at or below zero when frames are averaged in stops.
const darkest = -12

// stopsOne is one stop in the walk's sums: integers, so that any number of workers gives the same.
// A frame of 2^27 samples fits up to 2^12 stops.
const stopsOne = 1 << 24

// begin starts a group.
func (w *walker) begin(group int, t float64, closer bool) {
	w.closer = closer
	w.sums = &groupSums{group: group, t: t, cells: make([]cellSums, w.grid.cols*w.grid.rows),
		hist: make([]uint64, len(w.stops)), patch: make([]patchSums, len(w.patches))}
}

// add walks one frame. The walker keeps a reference to it until the next one, or the group's end.
func (w *walker) add(f *decode.Frame) {
	f.Keep()
	cur, prev := w.luma.of(f), decode.Plane{}
	if w.before != nil {
		prev = w.luma.of(w.before)
	}
	w.each(func(b *band) { b.walk(w, f, cur, prev) })
	for i, p := range w.patches {
		addPatch(&w.sums.patch[i], p.Area, cur, prev, len(w.stops))
	}
	if w.closer && w.sums.frames == 1 {
		w.sums.detail = look(f, w.before, cur, prev, w.chroma)
	}
	w.sums.frames++
	if w.sums.frames%noiseBatch == 0 {
		w.gather()
	}
	w.level(f, w.before != nil)
	if w.first == nil {
		w.first = f
		f.Keep()
	}
	w.replaceBefore(f)
}

func (w *walker) replaceBefore(f *decode.Frame) {
	if w.before != nil {
		w.luma.forget(w.before, w.first)
		w.before.Release()
	}
	w.before = f
}

// each runs work on every band at once and waits.
func (w *walker) each(work func(*band)) {
	var wait sync.WaitGroup
	for i := range w.bands {
		wait.Go(func() { work(&w.bands[i]) })
	}
	wait.Wait()
}

// end closes the group and returns its sums.
func (w *walker) end() *groupSums {
	s := w.sums
	w.gather()
	for i := range s.patch {
		s.patch[i].settle(s.frames)
	}
	if s.frames > 2 {
		s.lag = w.measureLag()
	}
	for _, f := range []*decode.Frame{w.first, w.before} {
		if f != nil {
			w.luma.forget(f, nil)
			f.Release()
		}
	}
	w.first, w.before, w.sums = nil, nil, nil
	return s
}

// noiseBatch is how many frames' cells are held before they are sorted into tones. Within so
// many frames of 2^27 samples the workers' histograms cannot overflow 32 bits.
const noiseBatch = 8

// gather turns the noise samples of a batch into tones and adds them and the histograms to the
// group's.
func (w *walker) gather() {
	var samples []cellNoise
	for i := range w.bands {
		b := &w.bands[i]
		samples = append(samples, b.samples...)
		w.sums.looked += b.looked
		b.samples, b.looked = b.samples[:0], 0
		for code, n := range b.hist {
			w.sums.hist[code] += uint64(n)
		}
		clear(b.hist)
	}
	w.sums.noise.add(samples, w.scale)
}

// mostForLevel is how many cells tell a pair's quieter quarter well enough.
const mostForLevel = 2048

// level records the frame's log-average and, for a pair, how much its quieter cells changed.
func (w *walker) level(f *decode.Frame, pair bool) {
	var stops, pixels int64
	for _, b := range w.bands {
		stops += b.stops
		pixels += b.pixels
	}
	w.sums.levels = append(w.sums.levels, frameLevel{f.Time, float64(stops) / stopsOne / float64(pixels)})
	if !pair {
		return
	}
	w.sums.pairs++
	quiet := make([]float32, 0, mostForLevel+1)
	for i := 0; i < len(w.pairVar); i += 1 + len(w.pairVar)/mostForLevel {
		if w.grid.whole(i%w.grid.cols, i/w.grid.cols) {
			quiet = append(quiet, w.pairVar[i])
		}
	}
	if len(quiet) > 0 {
		slices.Sort(quiet)
		w.sums.into = append(w.sums.into, pairLevel{f.Picture, float64(quiet[len(quiet)/4])})
	}
}

// drop releases what a walk that was broken off still holds.
func (w *walker) drop() {
	if w.sums != nil {
		w.end()
	}
}
