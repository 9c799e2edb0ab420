package analyze

import (
	"context"
	"math/rand/v2"

	"stopledger/decode"
)

// A kind is a layout of planes.
type kind struct {
	name   string
	layout decode.Layout
	x, y   int // luma samples to one chroma sample
}

var kinds = []kind{
	{"4:2:0", decode.YCbCr, 2, 2}, {"4:2:2", decode.YCbCr, 2, 1}, {"4:4:4", decode.YCbCr, 1, 1},
	{"RGB", decode.RGB, 1, 1}, {"gray", decode.Gray, 1, 1},
}

// A content gives the sample at (x, y) of a plane of a frame.
type content func(frame, plane, x, y int) uint16

// padding is how many samples lie between the rows of made frames.
const padding = 5

// makeFrames makes frames whose padding is poisoned with the top code, so that a read outside a
// plane shows.
func makeFrames(k kind, width, height, bits, frames int, value content) []*decode.Frame {
	var out []*decode.Frame
	for i := range frames {
		f := &decode.Frame{Layout: k.layout, Bits: bits, Index: i, Time: float64(i) / 25, Picture: 'I'}
		for p := range f.Planes {
			w, h := width, height
			if p > 0 {
				w, h = (width+k.x-1)/k.x, (height+k.y-1)/k.y
			}
			if p > 0 && k.layout == decode.Gray {
				break
			}
			f.Planes[p] = makePlane(w, h, uint16(1<<bits-1), func(x, y int) uint16 { return value(i, p, x, y) })
		}
		out = append(out, f)
	}
	return out
}

func makePlane(width, height int, poison uint16, value func(x, y int) uint16) decode.Plane {
	p := decode.Plane{Width: width, Height: height, Stride: width + padding}
	for y := range height {
		for x := range width {
			p.Samples = append(p.Samples, value(x, y))
		}
		for range padding {
			p.Samples = append(p.Samples, poison)
		}
	}
	return p
}

// contents are extreme and random samples of a depth. "random" reaches every code; "grainy" is
// noise on flat surfaces and near the ceiling, as a camera makes it.
func contents(bits int, seed uint64) map[string]content {
	top := 1<<bits - 1
	at := func(frame, plane, x, y int) *rand.Rand {
		return rand.New(rand.NewPCG(seed, uint64(frame)<<48|uint64(plane)<<40|uint64(y)<<20|uint64(x)))
	}
	return map[string]content{
		"low":  func(_, _, _, _ int) uint16 { return 0 },
		"high": func(_, _, _, _ int) uint16 { return uint16(top) },
		// Every difference is the largest there is, in one direction or the other.
		"board": func(frame, _, x, y int) uint16 { return uint16((frame + x + y) % 2 * top) },
		"flash": func(frame, _, _, _ int) uint16 { return uint16(frame % 2 * top) },
		"random": func(frame, plane, x, y int) uint16 {
			return uint16(at(frame, plane, x, y).IntN(top + 1))
		},
		"grainy": func(frame, plane, x, y int) uint16 {
			if plane > 0 {
				return uint16(top/2 + at(frame, plane, x, y).IntN(top/32+1))
			}
			level := float64(top) * (0.2 + 0.75*float64(x/16%3)/2)
			v := level + float64(top)/100*at(frame, plane, x, y).NormFloat64()
			return uint16(min(max(v, 0), float64(top)))
		},
	}
}

// A reel is frames in memory.
type reel struct {
	info   decode.Info
	frames []*decode.Frame
}

// newReel makes a clip of frames at 25 a second.
func newReel(k kind, frames []*decode.Frame) *reel {
	p := frames[0].Planes[0]
	return &reel{frames: frames, info: decode.Info{Path: "reel", Codec: "rawvideo", Bits: frames[0].Bits, Chroma: k.name, Layout: k.layout,
		Width: p.Width, Height: p.Height, RateNum: 25, RateDen: 1, Frames: len(frames)}}
}

func (r *reel) Info() decode.Info { return r.info }

func (r *reel) Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	for group, span := range spansOf(opt, len(r.frames)) {
		for i := span.First; i < span.First+span.Count && i < len(r.frames); i++ {
			f := *r.frames[i]
			f.Group = group
			if err := visit(&f); err != nil {
				return err
			}
		}
	}
	return ctx.Err()
}

// spansOf returns the spans that reading options ask for.
func spansOf(opt decode.ReadOptions, frames int) []decode.Span {
	if opt.Spans != nil {
		return opt.Spans
	}
	var spans []decode.Span
	chunk := max(opt.Chunk, 1)
	for at := 0; at < frames; at += chunk {
		spans = append(spans, decode.Span{First: at, Count: min(chunk, frames-at)})
	}
	return spans
}
