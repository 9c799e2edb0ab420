package container

import (
	"errors"
	"fmt"
	"io"
)

const (
	maxPiece  = 16 << 20  // bytes of one piece: a table of four million samples
	maxBudget = 256 << 20 // bytes read of one clip, all in all
)

// A source is a clip's bytes, read in pieces: never past the end, never a piece over maxPiece,
// never more than a budget in all. What a hostile file can cost is bounded here.
type source struct {
	r     io.ReaderAt
	size  int64
	left  int64
	fault error // the first failure of the medium itself
}

func newSource(r io.ReaderAt, size int64) *source {
	return &source{r: r, size: size, left: maxBudget}
}

var errOutside = errors.New("metadata points outside the file")

// read returns the n bytes at offset at.
func (s *source) read(at, n int64) ([]byte, error) {
	switch {
	case at < 0 || n < 0 || at > s.size || n > s.size-at:
		return nil, errOutside
	case n > maxPiece:
		return nil, fmt.Errorf("a piece of %d bytes is more than metadata needs", n)
	case n > s.left:
		return nil, errors.New("the file's metadata is scattered over too many bytes")
	}
	s.left -= n
	p := make([]byte, n)
	if got, err := s.r.ReadAt(p, at); got < len(p) {
		if s.fault == nil {
			s.fault = err
		}
		return nil, err
	}
	return p, nil
}

// readUpTo returns the bytes from at to the limit, the file's end or n bytes, whichever is first.
func (s *source) readUpTo(at, n, limit int64) ([]byte, error) {
	return s.read(at, min(n, limit-at, s.size-at))
}
