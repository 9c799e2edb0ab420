package decode

import (
	"context"
	"errors"
	"io"
	"math"
)

// run decodes what was asked for and leaves the source.
func (j *job) run(ctx context.Context) (err error) {
	j.watch(ctx)
	defer func() {
		j.retire()
		j.leave(err == nil)
	}()
	if j.opt.Spans == nil {
		return j.every(ctx)
	}
	for group, span := range j.opt.Spans {
		if err := j.span(ctx, group, span); err != nil {
			return err
		}
	}
	return nil
}

// every hands over all frames, in groups of opt.Chunk.
func (j *job) every(ctx context.Context) error {
	if err := j.begin(nil); err != nil {
		return err
	}
	for {
		f, err := j.next(ctx, 0, math.MaxInt)
		if err != nil {
			return endOrError(err)
		}
		if j.opt.Chunk > 0 {
			f.Group = f.Index / j.opt.Chunk
		}
		if err := j.hand(ctx, f); err != nil {
			return err
		}
	}
}

// mostTries is how often a seek that came down too late is repeated from further back, by 16,
// 80 and 336 frames, before the clip is read from its start.
const mostTries = 4

// span hands over one run of frames.
func (j *job) span(ctx context.Context, group int, span Span) error {
	for back, try := 0, 0; ; back, try = back*4+16, try+1 {
		j.linear = j.linear || try == mostTries
		if err := j.approach(ctx, max(span.First-back, 0)); err != nil {
			return err
		}
		late, err := j.deliver(ctx, group, span)
		if !late || err != nil {
			return err
		}
	}
}

// deliver hands over the frames of a span. It was late if the first frame to come after a seek
// lies beyond the span's start, though nothing is damaged.
func (j *job) deliver(ctx context.Context, group int, span Span) (late bool, err error) {
	last := j.stop(group)
	for {
		f, err := j.next(ctx, span.First, last)
		if err != nil {
			return false, endOrError(err)
		}
		index := f.Index
		late, j.sought = j.sought && index > span.First && j.reader.trouble == nil, false
		if late || index < span.First || index >= span.First+span.Count {
			f.Release()
		} else {
			f.Group = group
			err = j.hand(ctx, f)
		}
		if late || err != nil || index >= span.First+span.Count-1 {
			return late, err
		}
	}
}

// stop returns the last frame of a group after which the decoder is to be emptied; none where it goes on
// from there to the next group.
func (j *job) stop(group int) int {
	last := j.opt.Spans[group].First + j.opt.Spans[group].Count - 1
	if group+1 < len(j.opt.Spans) && j.near(j.opt.Spans[group+1].First, last+1) {
		return math.MaxInt
	}
	return last
}

// next decodes a frame unless ctx has ended; io.EOF after the last frame. Frames before from have no planes.
func (j *job) next(ctx context.Context, from, last int) (*Frame, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	f, err := j.reader.next(from, last)
	if err == nil && j.clip.watch != nil {
		j.clip.watch()
	}
	if ctx.Err() != nil {
		if f != nil {
			f.Release()
		}
		return nil, ctx.Err()
	}
	return f, err
}

// hand gives a frame to the visitor, who is done with the one before when it is taken. It waits until the
// visitor is done with a large one.
func (j *job) hand(ctx context.Context, f *Frame) error {
	select {
	case j.frames <- f:
	case <-ctx.Done():
		f.Release()
		return ctx.Err()
	}
	if !j.clip.info.Large() {
		return nil
	}
	select {
	case <-j.visited:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func endOrError(err error) error {
	if errors.Is(err, io.EOF) {
		return nil
	}
	return err
}
