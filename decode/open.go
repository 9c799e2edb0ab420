package decode

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"sync"

	"github.com/asticode/go-astiav"
)

// A Clip is an opened clip.
type Clip struct {
	path    string // as given
	info    Info
	counted bool // info.Frames is exact

	mu     sync.Mutex
	source source // opened by Open, used by the first Read
}

// Open opens a local clip and reads what it says of itself. Errors are *ClipError.
func Open(path string) (*Clip, error) {
	c := &Clip{path: path}
	if err := regular(path); err != nil {
		return nil, err
	}
	s, err := openContainer(path)
	if err != nil {
		return nil, c.explain(err)
	}
	if len(s.peek(peekedPackets)) == 0 {
		s.close()
		return nil, c.explain(ErrEmpty)
	}
	c.source = s
	if err := c.probe(s); err != nil {
		s.close()
		return nil, c.explain(err)
	}
	return c, nil
}

// peekedPackets are looked at to see whether frames are predicted from others.
const peekedPackets = 3

// Info returns what the clip says of itself.
func (c *Clip) Info() Info { return c.info }

// Close frees what Open holds. Reads under way and kept frames are not affected.
func (c *Clip) Close() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.source != nil {
		c.source.close()
		c.source = nil
	}
}

// takeSource hands out the source Open made, or opens another.
func (c *Clip) takeSource() (source, error) {
	c.mu.Lock()
	s := c.source
	c.source = nil
	c.mu.Unlock()
	if s != nil {
		return s, nil
	}
	return c.newSource()
}

// newSource opens the clip at its start.
func (c *Clip) newSource() (source, error) {
	s, err := openContainer(c.path)
	if err != nil {
		return nil, c.explain(err)
	}
	return s, nil
}

// regular checks that path is a file with something in it that may be read.
func regular(path string) error {
	stat, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fail(path, ErrUnreadable, err, "there is no such file", "check the path")
	case err != nil:
		return fail(path, ErrUnreadable, err, "the file cannot be looked at", "check the path and its permissions")
	case stat.IsDir():
		return fail(path, ErrUnreadable, nil, "this is a folder", "name a clip in it")
	case !stat.Mode().IsRegular():
		return fail(path, ErrUnreadable, nil, "this is not a file but a pipe, socket or device", "copy the clip to a file first")
	case stat.Size() == 0:
		return fail(path, ErrEmpty, nil, "the file is empty", "copy it again from the card")
	}
	f, err := os.Open(path)
	if err != nil {
		return fail(path, ErrUnreadable, err, "the file cannot be opened", "check its permissions")
	}
	return f.Close()
}

// explain turns an error from below into one for the user.
func (c *Clip) explain(err error) error {
	var done *ClipError
	switch {
	case errors.As(err, &done):
		return err
	case errors.Is(err, ErrNoVideo):
		return fail(c.path, ErrNoVideo, nil, "there is no video in the file", "name a clip with a picture")
	case errors.Is(err, ErrEmpty):
		return fail(c.path, ErrEmpty, nil, "there is not one frame in the file", "copy it again from the card")
	case errors.Is(err, ErrUnsupported):
		return fail(c.path, ErrUnsupported, err, err.Error(), "convert the clip to ProRes, DNxHR or FFV1 first")
	case errors.Is(err, astiav.ErrInvaliddata), errors.Is(err, astiav.ErrEof), errors.Is(err, ErrDamaged):
		return fail(c.path, ErrDamaged, err, "the file is cut off, damaged or not a clip", "copy it again from the card, and check that it plays")
	}
	return fail(c.path, ErrUnsupported, err, fmt.Sprintf("the file cannot be read (%v)", err), "convert the clip to ProRes, DNxHR or FFV1 first")
}
