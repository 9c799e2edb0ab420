package analyze

import "stopledger/analyze/cells"

// An accumulator is what an instrument's package offers: it gathers frame by frame, takes over what
// another of its kind gathered in other groups of frames, in any order, and has a Result of its own.
type accumulator[A any] interface {
	Collect(*cells.Frame)
	Merge(A)
}

// An instrument is an accumulator with its place in the Result.
type instrument interface {
	collect(*cells.Frame)
	merge(instrument) // of the same kind
	sumUp(*Result)
}

// put returns an instrument whose result is put into place by a function. It may read what the
// instruments before it in the list have put there.
func put[A accumulator[A]](a A, into func(A, *Result)) instrument { return &placed[A]{a, into} }

type placed[A accumulator[A]] struct {
	accumulator A
	into        func(A, *Result)
}

func (p *placed[A]) collect(f *cells.Frame) { p.accumulator.Collect(f) }
func (p *placed[A]) merge(o instrument)     { p.accumulator.Merge(o.(*placed[A]).accumulator) }
func (p *placed[A]) sumUp(r *Result)        { p.into(p.accumulator, r) }
