package noise

import (
	"slices"

	"stopledger/analyze/cells"
	"stopledger/decode"
)

const (
	// batchFrames is how many frames' samples are held before they are sorted into tones.
	batchFrames = 8
	// cleanShare is the share of a cell's samples at the ceiling from which its noise is not used.
	cleanShare = 0.002
	// mostForQuarter is how many cells tell a pair's quieter quarter well enough.
	mostForQuarter = 2048
)

// A group holds what was collected of one group of frames.
type group struct {
	number  int
	t       float64 // seconds, of its first frame
	frames  int
	pairs   int // of frames that do not repeat each other
	repeats int // pairs in which the whole frame is as the one before
	looked  int // cells looked at for noise, once a pair
	table   toneTable
	into    []pairLevel
	growths []growth // one a batch
	moving  int      // batches that move
	detail  *detail  // nil unless it had a closer look

	batch batch // of the frames now collected; given up at the group's end
}

// A pairLevel is how much a frame differs from the one before, in its quieter cells.
type pairLevel struct {
	picture  decode.Picture
	variance float64 // file code^2, lower quartile over whole cells
}

func newGroup(f *cells.Frame) *group {
	return &group{number: f.Group, t: f.Time, table: toneTable{},
		batch: batch{scratch: scratches.Get().(*scratch),
			deviations: make([]uint64, len(f.Cells)), opening: make([]uint64, len(f.Cells))}}
}

// collect takes the group's next frame.
func (g *group) collect(f *cells.Frame, s *toneScale) {
	g.frames++
	if f.Before != nil {
		if repeats(f) {
			g.repeats++
		} else {
			g.addPair(f, s)
			g.addLevel(f)
		}
	}
	if g.frames%batchFrames == 0 || f.End {
		g.close(f, s)
	}
	if f.End {
		scratches.Put(g.batch.scratch)
		g.batch = batch{}
	}
}

// close judges a batch, whose last frame is f, and adds its cells to the tones.
func (g *group) close(f *cells.Frame, s *toneScale) {
	b := &g.batch
	moving := false
	if b.pairs > 1 {
		grown := b.growth(f, s)
		g.growths = append(g.growths, grown)
		if moving = grown.moves(s.coded); moving {
			g.moving++
		}
	}
	if moving {
		b.withoutOffset()
	}
	g.table.add(b.samples, s, moving, b.scratch)
	b.pairs, b.samples = 0, b.samples[:0]
	clear(b.deviations)
}

// mostChanged is the share of whole cells that may differ from the frame before in a frame that
// repeats it: a counter or a clock may be laid over it.
const mostChanged = 0.05

// repeats tells whether a frame is as the one before it, as where 24 frames a second are recorded
// as 30.
func repeats(f *cells.Frame) bool {
	whole, changed := 0, 0
	for i := range f.Cells {
		if c := &f.Cells[i]; c.Whole() {
			whole++
			if !c.Repeated {
				changed++
			}
		}
	}
	return whole > 0 && float64(changed) <= mostChanged*float64(whole)
}

// addPair takes the noise of each whole, unclipped cell that is of one tone.
func (g *group) addPair(f *cells.Frame, s *toneScale) {
	b := &g.batch
	if b.pairs == 0 {
		b.textures = textures(f.Grid, f.Luma, f.LumaBefore)
		b.samples = slices.Grow(b.samples, batchFrames*len(f.Cells))
	}
	g.pairs++
	b.pairs++
	mostClipped := float64(f.Grid.PerCell) * cleanShare
	for i := range f.Cells {
		c := &f.Cells[i]
		if !c.Whole() || f.Mask.Has(i) {
			continue
		}
		g.looked++
		b.deviations[i] += c.Deviation
		if g.pairs == 1 {
			b.opening[i] = c.Deviation
		}
		if float64(c.Any) > mostClipped {
			continue
		}
		if n := sampleOf(c); n.oneTone(spatialOf(c), s) {
			n.texture = b.textures[i]
			b.samples = append(b.samples, n)
		}
	}
}

// addLevel records how much the frame's quieter cells changed.
func (g *group) addLevel(f *cells.Frame) {
	quiet := make([]float64, 0, mostForQuarter+1)
	for i := 0; i < len(f.Cells); i += 1 + len(f.Cells)/mostForQuarter {
		if c := &f.Cells[i]; c.Whole() && !f.Mask.Has(i) {
			quiet = append(quiet, varianceOf(c))
		}
	}
	if len(quiet) > 0 {
		slices.Sort(quiet)
		g.into = append(g.into, pairLevel{f.Picture, quiet[len(quiet)/4]})
	}
}
