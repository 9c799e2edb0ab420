package decode

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
)

// Read decodes the frames chosen and calls visit for each, in order, from the goroutine that
// called Read. The next frame is decoded meanwhile, so that at most two frames are in memory
// beside those the codec itself refers to; of frames of more than LargeFrame pixels only one is. A frame is
// valid until visit returns, longer with Frame.Keep.
//
// Frames are found by seeking, exactly, if the container has an index of all frames or the frame
// rate is constant, and else by decoding from the start. In a Matroska or transport stream with
// holes in time, frames reached by seeking are numbered as if there were none; Time is right.
//
// Frames of ReadOptions.Have count as visited.
//
// All frames that visit gets are of the size, depth and chroma that Info says.
//
// Read ends with visit's error; with ctx.Err() soon after ctx ends; with a *FormatChange at a frame
// of another size, depth or chroma; with a *Damage, after all sound frames were visited, if some
// could not be decoded; else with a *ClipError. A clip may be read again, and by several
// goroutines: each Read opens the file for itself.
func (c *Clip) Read(ctx context.Context, opt ReadOptions, visit func(*Frame) error) error {
	if c.parts != nil {
		return c.readParts(ctx, opt, visit)
	}
	if opt.Threads <= 0 {
		opt.Threads = defaultThreads()
	}
	if err := inOrder(opt.Spans); err != nil {
		return err
	}
	in, err := c.takeInput()
	if err != nil {
		return err
	}
	inner, cancel := context.WithCancel(ctx)
	defer cancel()
	j := &job{clip: c, opt: opt, head: c.head, input: in, frames: make(chan *Frame),
		visited: make(chan struct{}, 1)}
	c.mu.Lock()
	j.ordinal, j.linear = c.ordinal, c.ordinal
	c.mu.Unlock()
	decoding := make(chan error, 1)
	go func() {
		decoding <- j.run(inner)
		close(j.frames)
	}()
	visited := 0
	var stop error
	for f := range j.frames {
		if stop == nil && ctx.Err() == nil {
			visited++
			if stop = visit(f); stop != nil {
				cancel()
			}
		}
		f.Release()
		select {
		case j.visited <- struct{}{}:
		default: // it is not waited for
		}
	}
	err = <-decoding
	switch {
	case stop != nil:
		return stop
	case ctx.Err() != nil && err != nil:
		return ctx.Err()
	case err != nil:
		return explain(c.path, err)
	}
	return c.damage(j, visited+j.spared)
}

// Independent tells whether every frame of the clip is decoded by itself, so that Read leaves out those of
// ReadOptions.Have.
func (c *Clip) Independent() bool {
	return c.parts == nil && !c.info.Truncated && slices.Contains(independent, c.info.Codec)
}

// Recount decodes the clip from its start and counts its sound frames up to where the picture
// changes, for a clip that does not hold what its container says, or not at the times it says. From
// then on Info().Frames is their number, and spans refer to them in the order in which they come.
// Its error is that of a Read of every frame, which a *Damage or a *FormatChange does not spoil.
func (c *Clip) Recount(ctx context.Context) error {
	if c.parts != nil {
		return c.recountParts(ctx)
	}
	n, irregular, rate := 0, false, c.info.FrameRate()
	err := c.Read(ctx, ReadOptions{}, func(f *Frame) error {
		irregular = irregular || f.Index != n || math.Abs(f.Time*rate-float64(n)) >= 0.5
		n++
		return nil
	})
	var damage *Damage
	var change *FormatChange
	if errors.As(err, &change) {
		change.Frames = n
	}
	if err == nil || errors.As(err, &damage) || change != nil {
		c.mu.Lock()
		c.info.Frames, c.ordinal = n, c.ordinal || irregular
		c.mu.Unlock()
	}
	return err
}

// damage reports what a finished job lost of what was asked for; nil if nothing.
func (c *Clip) damage(j *job, visited int) error {
	wanted, lost := c.Info().Frames, j.missing
	if j.opt.Spans != nil {
		wanted, lost = 0, 0
		for _, s := range j.opt.Spans {
			wanted += s.Count
		}
	}
	if c.counted || j.trouble != nil || c.info.Truncated {
		lost = max(lost, wanted-visited)
	}
	if j.opt.Spans == nil && (j.trouble != nil || c.info.Truncated) {
		lost = max(lost, 1)
	}
	if lost == 0 {
		return nil
	}
	return &Damage{Path: c.path, Frames: visited, Lost: lost, Err: j.trouble}
}

// inOrder checks a plan.
func inOrder(spans []Span) error {
	end := 0
	for _, s := range spans {
		if s.First < end || s.Count <= 0 {
			return fmt.Errorf("decode: span of %d frames from %d is empty or overlaps the one before", s.Count, s.First)
		}
		end = s.First + s.Count
	}
	return nil
}
