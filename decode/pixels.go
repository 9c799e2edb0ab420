package decode

import (
	"fmt"
	"strings"

	"github.com/asticode/go-astiav"
)

// A pixelFormat is a description that this package can read as 16-bit planes, sample for
// sample, without any arithmetic but shifts.
type pixelFormat struct {
	description
	layout  Layout
	bits    int
	inPlace bool // rows are 16-bit samples of the wanted plane already
}

// readable checks that a pixel format holds whole integer samples of one depth, 8 to 16 bits.
// The error is of kind ErrUnsupported and starts with the format's name, or of kind ErrDamaged
// where there is no format.
func readable(pf astiav.PixelFormat) (pixelFormat, error) {
	d, ok := describe(pf)
	if !ok {
		// The decoder has seen no picture to tell by: what the container lists is not there.
		return pixelFormat{}, fmt.Errorf("%w: no picture tells its pixel format", ErrDamaged)
	}
	p := pixelFormat{description: d, layout: YCbCr}
	if p.alpha {
		p.components = p.components[:len(p.components)-1]
	}
	switch {
	case p.rgb:
		p.layout = RGB
	case len(p.components) == 1:
		p.layout = Gray
	}
	if why := p.refusal(); why != "" {
		return pixelFormat{}, fmt.Errorf("%w: pixel format %s %s", ErrUnsupported, d.name, why)
	}
	p.bits = p.components[0].depth
	p.inPlace = !p.bigEndian
	for _, c := range p.components {
		p.inPlace = p.inPlace && c.step == 2 && c.offset == 0 && c.shift == 0 && c.depth > 8
	}
	return p, nil
}

// refusal says why a format is not read, "" if it is.
func (p pixelFormat) refusal() string {
	switch n := len(p.components); {
	case p.unreadable:
		return "has no whole integer samples"
	case n != 1 && n != 3:
		return fmt.Sprintf("has %d components", n)
	case strings.HasPrefix(p.name, "xyz"):
		return "is X'Y'Z'"
	case p.chromaLogX > 1 || p.chromaLogY > p.chromaLogX:
		return "has chroma coarser than 4:2:0, or finer across than down"
	}
	for _, c := range p.components {
		if c.depth < 8 || c.depth > 16 || c.depth != p.components[0].depth {
			return "has samples outside 8 to 16 bits, or of mixed depths"
		}
	}
	return ""
}

// size returns the samples of one component of a picture.
func (p pixelFormat) size(component, width, height int) (w, h int) {
	if component == 0 || p.layout != YCbCr {
		return width, height
	}
	x, y := p.chromaLogX, p.chromaLogY
	return (width + 1<<x - 1) >> x, (height + 1<<y - 1) >> y
}

// chroma returns the trade's name of the sampling.
func (p pixelFormat) chroma() string {
	switch {
	case p.layout == RGB:
		return "RGB"
	case p.layout == Gray:
		return "gray"
	case p.chromaLogY == 1:
		return "4:2:0"
	case p.chromaLogX == 1:
		return "4:2:2"
	}
	return "4:4:4"
}

// bounded refuses pictures that are empty or larger than largestSide and largestPixels allow.
func bounded(width, height int) error {
	if width <= 0 || height <= 0 || width > largestSide || height > largestSide || width*height > largestPixels {
		return fmt.Errorf("%w: a picture of %dx%d (at most %d a side and %d pixels are read)",
			ErrUnsupported, width, height, largestSide, largestPixels)
	}
	return nil
}

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
