package decode

import (
	"context"
	"errors"
	"fmt"
)

// OpenParts opens a clip that was recorded in several files, in order, as one: frames are numbered
// and timed on from part to part. Parts whose container does not count its frames are counted by
// decoding them. All must be of one size, depth, chroma and rate. The errors are *ClipError, or that
// of ctx. One path is opened as Open does. told watches opening and reading, as Watch does; it may be
// nil.
func OpenParts(ctx context.Context, told func(), paths ...string) (*Clip, error) {
	whole, err := openWatched(paths[0], told)
	if err != nil || len(paths) == 1 {
		return whole, err
	}
	c := &Clip{path: paths[0], info: whole.info, head: whole.head, counted: true, parts: []*Clip{whole}}
	for _, path := range paths[1:] {
		part, err := openWatched(path, told)
		if err != nil {
			c.Close()
			return nil, err
		}
		c.parts = append(c.parts, part)
		if a, b := formatOf(whole), formatOf(part); a != b {
			c.Close()
			return nil, fail(c.path, ErrUnsupported, nil, "its parts differ in format: "+a+"; "+part.path+" is "+b,
				"name its parts one by one to measure them apart")
		}
	}
	c.Watch(told)
	if err := c.countParts(ctx); err != nil {
		c.Close()
		return nil, err
	}
	c.sumParts(paths)
	return c, nil
}

// formatOf words what all parts have in common.
func formatOf(c *Clip) string {
	is := aspects(c.head.width, c.head.height, c.head.code)
	return fmt.Sprintf("%s, %s, %s, %s, %.6g frames a second", is[0], is[1], is[2], reading(c.info.PixelFormat),
		c.info.FrameRate())
}

// countParts counts the parts that do not say how many frames they have, so that those after them
// have the right numbers.
func (c *Clip) countParts(ctx context.Context) error {
	for _, p := range c.parts {
		if p.counted {
			continue
		}
		var damage *Damage
		if err := p.Recount(ctx); err != nil && !errors.As(err, &damage) {
			return err
		}
	}
	return nil
}

// sumParts makes the whole's facts of those of its parts.
func (c *Clip) sumParts(paths []string) {
	c.info.Parts, c.info.Bytes, c.info.Frames, c.info.DurationS = paths, 0, 0, 0
	for _, p := range c.parts {
		info := p.Info()
		c.info.Bytes += info.Bytes
		c.info.Frames += info.Frames
		c.info.DurationS += info.DurationS
		c.info.Truncated = c.info.Truncated || info.Truncated
		c.info.LongGOP = c.info.LongGOP || info.LongGOP
		c.info.Interlaced = c.info.Interlaced || info.Interlaced
	}
}

// readParts is Read for a clip in parts.
func (c *Clip) readParts(ctx context.Context, opt ReadOptions, visit func(*Frame) error) error {
	if err := inOrder(opt.Spans); err != nil {
		return err
	}
	first, start := 0, 0.0
	whole := &Damage{Path: c.path}
	for _, p := range c.parts {
		info := p.Info()
		of, groups := opt, []int(nil)
		of.Have = nil // of the whole's numbers
		if opt.Spans != nil {
			if of.Spans, groups = within(opt.Spans, first, info.Frames); of.Spans == nil {
				first, start = first+info.Frames, start+info.DurationS
				continue
			}
		}
		visited := 0
		err := p.Read(ctx, of, func(f *Frame) error {
			visited++
			f.Index, f.Time = f.Index+first, f.Time+start
			switch {
			case groups != nil:
				f.Group = groups[f.Group]
			case opt.Chunk > 0:
				f.Group = f.Index / opt.Chunk
			}
			return visit(f)
		})
		p.rest() // it is another's turn
		if err := whole.add(err, first, visited); err != nil {
			return err
		}
		first, start = first+info.Frames, start+info.DurationS
	}
	if whole.Lost == 0 {
		return nil
	}
	return whole
}

// add counts what one part lost, and returns the error that ends a Read.
func (d *Damage) add(err error, first, visited int) error {
	var damage *Damage
	var change *FormatChange
	switch d.Frames += visited; {
	case errors.As(err, &damage):
		d.Lost += damage.Lost
		if d.Err == nil {
			d.Err = damage
		}
		return nil
	case errors.As(err, &change):
		change.Path, change.Frames = d.Path, change.Frames+first
	}
	return err
}

// within returns the pieces of spans that lie in frames frames from first on, counted from there,
// and of which span each is; nil where there are none.
func within(spans []Span, first, frames int) (pieces []Span, groups []int) {
	for group, s := range spans {
		from, to := max(s.First, first), min(s.First+s.Count, first+frames)
		if from < to {
			pieces, groups = append(pieces, Span{from - first, to - from}), append(groups, group)
		}
	}
	return pieces, groups
}

// recountParts is Recount for a clip in parts.
func (c *Clip) recountParts(ctx context.Context) error {
	n := 0
	whole := &Damage{Path: c.path}
	for _, p := range c.parts {
		err := p.Recount(ctx)
		frames := p.Info().Frames
		if err := whole.add(err, n, frames); err != nil {
			return err
		}
		n += frames
	}
	c.mu.Lock()
	c.info.Frames = n
	c.mu.Unlock()
	if whole.Lost == 0 {
		return nil
	}
	return whole
}
