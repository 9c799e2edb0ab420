package decode

import (
	"context"
	"fmt"
	"runtime"
)

// mostThreads bounds the decoder's own threads: with frame threads each costs a picture.
const mostThreads = 4

// Read decodes the frames chosen and calls visit for each, in order, from the goroutine that
// called Read. The next frame is decoded meanwhile, so that at most two frames are in memory
// beside those the codec itself refers to. A frame is valid until visit returns, longer with
// Frame.Keep.
//
// Frames are found by seeking, exactly, if the container has an index of all frames or the frame
// rate is constant, and else by decoding from the start. In a Matroska or transport stream with
// holes in time, frames reached by seeking are numbered as if there were none; Time is right.
//
// Read ends with visit's error; with ctx.Err() soon after ctx ends; with a *Damage, after all
// sound frames were visited, if some could not be decoded; else with a *ClipError. A clip may
// be read again, and by several goroutines: each Read opens the file for itself.
func (c *Clip) Read(ctx context.Context, opt ReadOptions, visit func(*Frame) error) error {
	if opt.Threads <= 0 {
		opt.Threads = min(runtime.GOMAXPROCS(0), mostThreads)
	}
	if err := inOrder(opt.Spans); err != nil {
		return err
	}
	source, err := c.takeSource()
	if err != nil {
		return err
	}
	inner, cancel := context.WithCancel(ctx)
	defer cancel()
	j := &job{clip: c, opt: opt, source: source, frames: make(chan *Frame), pool: &bufferPool{}}
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
	return c.damage(j, visited)
}

// damage reports what a finished job lost of what was asked for; nil if nothing.
func (c *Clip) damage(j *job, visited int) error {
	wanted, lost := c.info.Frames, j.missing
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
