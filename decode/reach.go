package decode

import "context"

// ReadOptions choose the frames to read.
type ReadOptions struct {
	Spans   []Span // in order, not overlapping; nil: every frame, in groups of Chunk
	Chunk   int    // frames in a group where Spans is nil; 0: one group
	Have    []int  // where Spans is nil, frames in order that are not needed; see Clip.Independent
	Threads int    // for decoding; 0: one for each processor, at most mostThreads
}

// A job is one Read, from the decoding side.
type job struct {
	clip    *Clip
	opt     ReadOptions
	head    head
	ordinal bool // the clip was counted anew, and frames' numbers were other ones before
	*input
	unwatch func() bool
	frames  chan *Frame
	visited chan struct{} // told when the visitor is done with a frame
	reader  *pictureReader
	sought  bool // the reader has just come from a seek
	linear  bool // seeking has failed: decode from the start and pass over what is not wanted
	trouble error
	missing int
	spared  int // frames that were not needed, and not decoded
}

// nearby is how many frames are decoded and passed over rather than sought past.
const nearby = 8

// approach gets the reader to a place from which it will come by the frame.
func (j *job) approach(ctx context.Context, frame int) error {
	if j.reader != nil && !j.reader.emptied && j.near(frame, j.reader.upcoming()) {
		return nil
	}
	if j.reader == nil && (frame == 0 || j.linear) {
		return j.begin(nil)
	}
	if !j.linear {
		if l, err := j.source.seek(frame); err == nil {
			return j.begin(&l)
		}
		j.linear = true
	}
	if err := j.reopen(ctx); err != nil {
		return err
	}
	return j.begin(nil)
}

// near tells whether a frame is to be reached from another by decoding on.
func (j *job) near(frame, from int) bool {
	ahead := frame - from
	return ahead >= 0 && (ahead <= j.stride() || j.linear || j.source.onward(frame, from))
}

// stride is how far ahead decoding on is cheaper than seeking.
func (j *job) stride() int {
	if j.clip.info.LongGOP {
		return nearby
	}
	return 0
}

// begin starts decoding where the source is; nil is the clip's start. A decoder that there is goes on from a
// landing with the memory that it has.
func (j *job) begin(l *landing) error {
	if j.reader != nil && l != nil {
		j.remember()
		j.reader.restart()
	} else {
		j.retire()
		r, err := newPictureReader(j.input, j.head, j.opt.Threads, &j.clip.pool)
		if err != nil {
			return err
		}
		j.reader = r
	}
	j.reader.cut, j.reader.ordinal, j.sought = j.clip.info.Truncated, j.ordinal, l != nil
	if l != nil {
		j.reader.count.from(*l)
	}
	switch {
	case j.clip.info.LongGOP && !j.clip.info.Truncated:
		j.reader.choose(l)
	case l == nil && j.clip.Independent() && !j.ordinal && j.source.ordered():
		j.reader.have = j.opt.Have
	}
	return nil
}

// reopen exchanges the source for one at the clip's start.
func (j *job) reopen(ctx context.Context) error {
	fresh, err := j.clip.newInput()
	if err != nil {
		return err
	}
	j.retire()
	j.leave(false)
	j.input = fresh
	j.watch(ctx)
	return nil
}

// watch makes the end of ctx interrupt the source's waiting for the disk.
func (j *job) watch(ctx context.Context) { j.unwatch = context.AfterFunc(ctx, j.source.interrupt) }

// leave leaves the input to the next Read where nothing was wrong with it, or closes it.
func (j *job) leave(sound bool) {
	if j.unwatch() && sound && j.trouble == nil && j.missing == 0 {
		j.clip.leave(j.input)
	} else {
		j.input.close()
	}
}

// retire ends the reader and remembers what it lost. Of large pictures the decoder ends, too.
func (j *job) retire() {
	if j.reader == nil {
		return
	}
	j.remember()
	j.decoder = j.reader.close()
	j.reader = nil
	if j.clip.info.Large() {
		j.dropDecoder()
		j.clip.pool.drain()
	}
}

// remember takes over what the reader lost.
func (j *job) remember() {
	j.missing += j.reader.count.missing
	j.spared += j.reader.spared
	if j.trouble == nil {
		j.trouble = j.reader.trouble
	}
}
