package decode

import (
	"errors"
	"os"
	"sync"
)

// A Clip is an opened clip.
type Clip struct {
	path    string // as given
	info    Info
	head    head        // of info
	files   []string    // of still pictures; nil for a container
	counted bool        // info.Frames is exact
	state   os.FileInfo // of the container when it was opened
	parts   []*Clip     // that are read in turn; nil for a clip in one
	watch   func()      // told of each frame that is decoded; nil for nobody

	pool bufferPool // for frames whose samples are spread

	mu      sync.Mutex // for the fields below, and info.Frames
	input   *input     // opened by Open or left by a Read, for the next; nil where another is to be opened
	left    bool       // by a Read
	closed  bool
	ordinal bool // Recount found other frames than the container numbers
}

// Open opens a local clip and reads what it says of itself. A clip is a container file, or a
// numbered sequence of pictures, named by its first or by a pattern such as shot.%06d.dpx, or a
// single picture. The errors are *ClipError.
func Open(path string) (*Clip, error) { return openWatched(path, nil) }

// openWatched opens a clip; told watches that, and reading after it, as Watch does.
func openWatched(path string, told func()) (*Clip, error) {
	c := &Clip{path: path, watch: told}
	open := c.openContainer
	if files, name, still := stillFiles(path); still {
		c.files, c.info.Path = files, name
		open = c.openStills
	}
	err := open()
	if err == nil {
		c.head, err = headOf(c.info)
	}
	if err != nil {
		c.Close()
		return nil, explain(c.path, err)
	}
	return c, nil
}

func (c *Clip) openContainer() error {
	var err error
	if c.state, err = regular(c.path); err != nil {
		return err
	}
	err = c.openAndProbe(true)
	if errors.Is(err, errGuessed) {
		c.input.close()
		c.input = nil
		err = c.openAndProbe(false)
	}
	return err
}

func (c *Clip) openAndProbe(guess bool) error {
	s, err := openContainer(c.path, guess)
	if err != nil {
		return err
	}
	c.input, c.counted = &input{source: s}, s.shown() > 0
	if len(s.peek(1)) == 0 {
		return ErrEmpty
	}
	c.info, err = probeContainer(c.path, s, c.input)
	return err
}

func (c *Clip) openStills() error {
	if _, err := regular(c.files[0]); err != nil {
		return err
	}
	info, err := probeStills(c.info.Path, c.files, c.watch)
	c.info, c.counted = info, true
	return err
}

// Info returns what the clip says of itself; Frames is what Recount counted, if that was called.
func (c *Clip) Info() Info {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.info
}

// Watch has told called after each frame that a Read decodes, visited or passed over, and each piece of
// a picture's file, by the goroutine that decodes: a sign that reading gets on. It is set before reading.
func (c *Clip) Watch(told func()) {
	c.watch = told
	for _, part := range c.parts {
		part.Watch(told)
	}
}

// KeyFrame returns the number of the last key frame at or before a frame: decoding can start there, though
// frames that follow it in the file may be shown before it. ok is false where the container has no
// index that tells, and in pictures. A clip that was counted anew has none.
func (c *Clip) KeyFrame(frame int) (number int, ok bool) {
	first := 0
	for _, p := range c.parts {
		frames := p.Info().Frames
		if frame < first+frames {
			number, ok = p.KeyFrame(frame - first)
			return first + number, ok
		}
		first += frames
	}
	if c.parts != nil || c.files != nil || c.renumbered() {
		return 0, false
	}
	in, err := c.takeInput()
	if err != nil {
		return 0, false
	}
	defer c.leave(in)
	if container, is := in.source.(*containerSource); is {
		return container.keyFrame(frame)
	}
	return 0, false
}

// renumbered tells whether frames have other numbers than those of the container.
func (c *Clip) renumbered() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.ordinal
}

// Path returns the path that the clip was opened by.
func (c *Clip) Path() string { return c.path }

// Close frees what Open holds. Reads under way and kept frames are not affected.
func (c *Clip) Close() {
	for _, p := range c.parts {
		p.Close()
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.closed = true
	if c.input != nil {
		c.input.close()
		c.input = nil
	}
	c.pool.close()
}

// takeInput hands out the input that Open made or a Read left, or opens another.
func (c *Clip) takeInput() (*input, error) {
	c.mu.Lock()
	in, left := c.input, c.left
	c.input, c.left = nil, false
	c.mu.Unlock()
	switch {
	case in == nil:
		return c.newInput()
	case !left:
		return in, nil
	}
	if err := c.unchanged(); err != nil {
		in.close()
		return nil, err
	}
	return in, nil
}

// leave takes an input back that was read without trouble, or closes it: to open a container again
// takes as long as to decode some frames.
func (c *Clip) leave(in *input) {
	rewound := !c.info.Truncated && in.source.rewind()
	c.mu.Lock()
	defer c.mu.Unlock()
	if !rewound || c.closed || c.input != nil {
		in.close()
		return
	}
	c.input, c.left = in, true
}

// rest frees the memory for frames that a Read left to the next.
func (c *Clip) rest() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.input != nil {
		c.input.dropDecoder()
	}
	c.pool.drain()
}

// newInput opens the clip at its start.
func (c *Clip) newInput() (*input, error) {
	if c.files != nil {
		return &input{source: newStillSource(c.files, c.info.FrameRate(), c.watch)}, nil
	}
	if err := c.unchanged(); err != nil {
		return nil, err
	}
	s, err := openContainer(c.path, true)
	if err != nil {
		return nil, explain(c.path, err)
	}
	return &input{source: s}, nil
}

// unchanged checks that the file is the one that was opened.
func (c *Clip) unchanged() error {
	now, err := regular(c.path)
	if err != nil {
		return explain(c.path, err)
	}
	if !os.SameFile(now, c.state) || now.Size() != c.state.Size() || !now.ModTime().Equal(c.state.ModTime()) {
		return fail(c.path, ErrUnreadable, nil, "the file was changed or replaced while it was read",
			"measure it again when nothing writes to it any more")
	}
	return nil
}
