package decode

import (
	"fmt"

	"github.com/asticode/go-astiav"
)

// A firstPicture is what all pictures of a clip have to be like.
type firstPicture struct {
	code          astiav.PixelFormat
	format        pixelFormat
	width, height int
}

// same remembers the first picture and checks all others against it.
func (s *firstPicture) same(p rawPicture) error {
	if s.width == 0 {
		format, err := readable(p.format)
		if err != nil {
			return err
		}
		if err := bounded(p.width, p.height); err != nil {
			return err
		}
		*s = firstPicture{p.format, format, p.width, p.height}
	}
	if p.width != s.width || p.height != s.height || p.format != s.code {
		return fmt.Errorf("%w: the picture's size or format changes within the clip", ErrUnsupported)
	}
	return nil
}
