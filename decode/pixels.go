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

// A head is what a clip is opened as: all its pictures have to be like it.
type head struct {
	code          astiav.PixelFormat
	format        pixelFormat
	width, height int // pixels
}

// headOf returns the head of a clip that was opened.
func headOf(i Info) (head, error) {
	code := astiav.FindPixelFormatByName(i.PixelFormat)
	format, err := readable(code)
	return head{code, format, i.Width, i.Height}, err
}

// check compares a picture with the head before anything touches its planes. The error is a
// *FormatChange that names what differs.
func (h head) check(p rawPicture) error {
	if p.width == h.width && p.height == h.height && p.format == h.code {
		return nil
	}
	from, to := aspects(h.width, h.height, h.code), aspects(p.width, p.height, p.format)
	change := &FormatChange{}
	for i := range from {
		if from[i] != to[i] {
			change.From, change.To = listed(change.From, from[i]), listed(change.To, to[i])
		}
	}
	if change.From == change.To {
		change.From, change.To = reading(h.format.name), reading(formatName(p.format))
	}
	if change.From == change.To { // the samples are arranged in another way
		change.From, change.To = h.format.name, formatName(p.format)
	}
	return change
}

// aspects names what people know a picture by: its size, depth and chroma.
func aspects(width, height int, code astiav.PixelFormat) [3]string {
	size := fmt.Sprintf("%d x %d", width, height)
	format, err := readable(code)
	if err != nil {
		return [3]string{size, formatName(code), ""}
	}
	return [3]string{size, fmt.Sprintf("%d bit", format.bits), format.chroma()}
}

// reading names the range that a format's name implies.
func reading(format string) string {
	if strings.HasPrefix(format, "yuvj") {
		return "full range"
	}
	return "narrow range"
}

func formatName(code astiav.PixelFormat) string {
	if d, ok := describe(code); ok {
		return d.name
	}
	return "no pixel format"
}

// listed adds a name to a list of names.
func listed(list, name string) string {
	if list == "" || name == "" {
		return list + name
	}
	return list + ", " + name
}
