package decode

import (
	"context"
	"errors"
	"io"
	"runtime"
	"slices"
)

// ReadOptions choose the frames to read.
type ReadOptions struct {
	Spans   []Span // in order, not overlapping; nil: every frame, in groups of Chunk
	Chunk   int    // frames in a group where Spans is nil; 0: one group
	Threads int    // for decoding; 0: one for each processor, at most mostThreads
}

// mostThreads bounds the decoder's own threads: with frame threads each costs a picture.
const mostThreads = 4

// Read decodes the frames chosen and calls visit for each, in order, from the goroutine that
// called Read. The next frame is decoded meanwhile, so that at most two frames are in memory
// beside those the codec itself refers to. A frame is valid until visit returns, longer with
// Frame.Keep.
//
// Read ends with visit's error; with ctx.Err() soon after ctx ends; with a *Damage, after all
// sound frames were visited, if some could not be decoded; else with a *ClipError. A clip may
// be read again, and by several goroutines: each Read opens the file for itself.
func (c *Clip) Read(ctx context.Context, opt ReadOptions, visit func(*Frame) error) error {
	if opt.Threads <= 0 {
		opt.Threads = min(runtime.GOMAXPROCS(0), mostThreads)
	}
	source, err := c.takeSource()
	if err != nil {
		return err
	}
	inner, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	j := &job{clip: c, opt: opt, source: source, frames: make(chan *Frame), pool: &bufferPool{}}
	done := make(chan error, 1)
	go func() {
		done <- j.run(inner)
		close(j.frames)
	}()
	visited := 0
	var stop error
	for f := range j.frames {
		if stop == nil && ctx.Err() == nil {
			if stop = visit(f); stop != nil {
				cancel(errStop)
			}
			visited++
		}
		f.Release()
	}
	err = <-done
	switch {
	case stop != nil:
		return stop
	case ctx.Err() != nil && err != nil:
		return ctx.Err()
	case err != nil:
		return c.explain(err)
	}
	return j.damage(visited)
}

// A job is one Read.
type job struct {
	clip    *Clip
	opt     ReadOptions
	source  source
	frames  chan *Frame
	pool    *bufferPool
	wanted  int // frames asked for, as far as known
	trouble error
	missing int
}

// run decodes in its own goroutine and closes the source.
func (j *job) run(ctx context.Context) error {
	defer j.source.close()
	r, err := newPictureReader(j.source, j.opt.Threads, j.pool)
	if err != nil {
		return err
	}
	defer r.close()
	err = j.linear(ctx, r)
	j.trouble = r.trouble
	return err
}

// linear decodes from where the reader is to the end of what was asked for.
func (j *job) linear(ctx context.Context, r *pictureReader) error {
	spans := j.opt.Spans
	last := -1
	if spans != nil {
		if len(spans) == 0 {
			return nil
		}
		last = spans[len(spans)-1].First + spans[len(spans)-1].Count - 1
	}
	defer func() { j.missing = r.count.missing }()
	for {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		f, err := r.next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if group, wanted := j.group(f.Index); wanted {
			f.Group = group
			if err := j.hand(ctx, f); err != nil {
				return err
			}
		} else {
			f.Release()
		}
		if last >= 0 && f.Index >= last {
			return nil
		}
	}
}

// group returns the group a frame belongs to, and whether it is asked for.
func (j *job) group(index int) (int, bool) {
	if j.opt.Spans == nil {
		if j.opt.Chunk > 0 {
			return index / j.opt.Chunk, true
		}
		return 0, true
	}
	i, found := slices.BinarySearchFunc(j.opt.Spans, index, func(s Span, index int) int {
		switch {
		case index < s.First:
			return 1
		case index >= s.First+s.Count:
			return -1
		}
		return 0
	})
	return i, found
}

func (j *job) hand(ctx context.Context, f *Frame) error {
	select {
	case j.frames <- f:
		return nil
	case <-ctx.Done():
		f.Release()
		return ctx.Err()
	}
}

// damage reports what was lost, nil if nothing was.
func (j *job) damage(visited int) error {
	wanted := j.clip.info.Frames
	if j.opt.Spans != nil {
		wanted = 0
		for _, s := range j.opt.Spans {
			wanted += s.Count
		}
	}
	if j.trouble == nil && (visited >= wanted || !j.clip.counted) {
		return nil
	}
	return &Damage{Path: j.clip.path, Frames: visited, Lost: max(wanted-visited, j.missing, 1), Err: j.trouble}
}
