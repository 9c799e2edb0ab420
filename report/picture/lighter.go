package picture

import (
	"bytes"
	"image"
	"image/draw"
	"io"
	"os"
	"path"
	"sort"
	"strings"

	xdraw "golang.org/x/image/draw"

	"stopledger/analyze/still"
	"stopledger/report"
)

// A lightness is how much is left of a clip's pictures.
type lightness struct {
	width, quality int  // of the frame: pixels across at most, and as JPEG
	frames         int  // of an enlarged piece, at most
	pieceQuality   int  // of an enlarged piece as JPEG; 0 keeps it without loss
	halved         bool // levels in blocks twice as large
	waveforms      int  // 2 for luma's and those of the channels, 1 for luma's, 0 for none
}

// lightnesses are tried in order. Enlarged pieces keep every bit of their noise as long as that can be.
var lightnesses = []lightness{
	{still.Width, frameQuality, stripFrames, 0, false, 2},
	{720, 80, 2, 0, true, 2},
	{720, 75, 2, 85, true, 2},
	{640, 70, 2, 75, true, 2},
	{640, 70, 1, 75, true, 2},
	{480, 60, 1, 70, true, 2},
	{400, 55, 1, 60, true, 2},
	{400, 50, 1, 50, true, 1},
	{320, 50, 1, 50, true, 0},
}

// Of a picture at most largestFile bytes are read; a drawn one of smallFile or less stays as it is.
const (
	largestFile = 16 << 20
	smallFile   = 20 << 10
)

// Lighten returns a clip's pictures from a report's folder, made smaller until they weigh no more than most
// bytes together, or as small as they are made. What is measured on a page is of larger blocks then, and as
// true. A picture that cannot be read is left out, and the folder's own stay untouched.
func Lighten(folder *os.Root, c *report.Clip, most int) *Rendered {
	l := lighter{folder, map[string]*source{}}
	if out := l.pictures(c, lightnesses[0]); out.weight() <= most {
		return out
	}
	rest, tried := lightnesses[1:], map[int]*Rendered{}
	fits := func(i int) bool {
		tried[i] = l.pictures(c, rest[i])
		tried[i].Names.Reduced = true
		return tried[i].weight() <= most
	}
	i := sort.Search(len(rest)-1, fits)
	if tried[i] == nil {
		fits(i)
	}
	return tried[i]
}

// weight is how many bytes the files have together.
func (r *Rendered) weight() (bytes int) {
	for _, f := range r.Files {
		bytes += len(f.Data)
	}
	return bytes
}

// A lighter makes the pictures of one clip smaller.
type lighter struct {
	folder *os.Root
	read   map[string]*source // by name
}

// A source is a picture as it lies in the folder.
type source struct {
	data []byte
	img  image.Image // nil until it is needed
	half []byte      // of levels, the same in blocks twice as large; nil until it is needed

	small map[int]image.Image // by pixels across
}

func (l lighter) pictures(c *report.Clip, as lightness) *Rendered {
	p := *c.Pictures
	out := &Rendered{Names: p}
	n := &out.Names
	if c.Advice.Correction() == 0 {
		n.After = "" // it is the frame as recorded
	}
	l.add(out, &n.Thumb, func(s *source) []byte { return s.data })
	l.add(out, &n.Levels, func(s *source) []byte {
		if !as.halved {
			return s.data
		}
		n.LevelsSide = 2 * p.LevelsSide
		return s.halved(c.Rotation)
	})
	if as.waveforms < 2 {
		n.Channels = ""
	}
	if as.waveforms < 1 {
		n.Waveform = ""
	}
	l.add(out, &n.Clipped, func(s *source) []byte { return s.data }) // clear where nothing clipped, which JPEG is not
	for _, name := range []*string{&n.StopMap, &n.Waveform, &n.Channels} {
		l.add(out, name, func(s *source) []byte { return s.lighter(as.width, as.quality) })
	}
	for _, name := range []*string{&n.Recorded, &n.After} {
		l.add(out, name, func(s *source) []byte { return s.within(as.width, as.quality) })
	}
	n.FullRecorded, n.FullAfter, n.FullScale = "", "", 0
	n.Strips = nil
	for _, s := range p.Strips {
		frames := max(1, min(s.Frames, as.frames))
		l.add(out, &s.File, func(from *source) []byte { return from.first(frames, s.Frames, as.pieceQuality) })
		if s.Frames = frames; s.File != "" {
			n.Strips = append(n.Strips, s)
		}
	}
	return out
}

// add adds what is made of a picture, under the name that it then has; "" where it cannot be made.
func (l lighter) add(out *Rendered, name *string, made func(*source) []byte) {
	s := l.source(*name)
	if s == nil {
		*name = ""
		return
	}
	data := made(s)
	if data == nil {
		*name = ""
		return
	}
	if isJPEG := bytes.HasPrefix(data, []byte("\xff\xd8")); isJPEG {
		*name = strings.TrimSuffix(*name, path.Ext(*name)) + ".jpg"
	}
	out.Files = append(out.Files, File{*name, data})
}

// source reads a picture; nil where it is not there.
func (l lighter) source(name string) *source {
	// Names come from a document that anybody may have changed.
	if s, known := l.read[name]; known || path.Dir(name) != report.PictureFolder || path.Clean(name) != name {
		return s
	}
	l.read[name] = nil
	f, err := l.folder.Open(name)
	if err != nil {
		return nil
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, largestFile+1))
	if err != nil || len(data) > largestFile {
		return nil
	}
	l.read[name] = &source{data: data}
	return l.read[name]
}

// decoded returns the picture; nil where it is none.
func (s *source) decoded() image.Image {
	if s.img == nil {
		s.img, _, _ = image.Decode(bytes.NewReader(s.data))
	}
	return s.img
}

// lighter returns a picture that was drawn, as it is or as JPEG, whichever weighs less.
func (s *source) lighter(width, quality int) []byte {
	if len(s.data) <= smallFile || quality >= frameQuality {
		return s.data
	}
	if made := s.within(width, quality); made != nil && len(made) < len(s.data) {
		return made
	}
	return s.data
}

// halved returns levels in blocks twice as large; nil where the picture holds none.
func (s *source) halved(rotation int) []byte {
	if s.half != nil {
		return s.half
	}
	l, err := ReadLevels(bytes.NewReader(s.data))
	if err != nil || l.Width < 2 || l.Height < 2 {
		return nil
	}
	s.half = encoded(l.halved(rotation).picture(), 0)
	return s.half
}

// within returns the picture at most width pixels across, as JPEG of some quality or without loss where that
// is 0; as it is where it is that small already.
func (s *source) within(width, quality int) []byte {
	size, _, err := image.DecodeConfig(bytes.NewReader(s.data))
	if err != nil {
		return nil
	}
	if size.Width <= width && (quality == 0 || quality >= frameQuality) {
		return s.data
	}
	small := s.scaled(min(width, size.Width))
	if small == nil {
		return nil
	}
	return encoded(small, quality)
}

// scaled returns the picture so many pixels across; nil where it is none.
func (s *source) scaled(width int) image.Image {
	if small, known := s.small[width]; known {
		return small
	}
	img := s.decoded()
	if img == nil {
		return nil
	}
	size := img.Bounds().Size()
	small := image.NewRGBA(image.Rect(0, 0, width, max(1, size.Y*width/size.X)))
	xdraw.BiLinear.Scale(small, small.Bounds(), img, img.Bounds(), draw.Src, nil)
	if s.small == nil {
		s.small = map[int]image.Image{}
	}
	s.small[width] = small
	return small
}

// first returns the first frames of those that lie side by side.
func (s *source) first(frames, of, quality int) []byte {
	if frames >= of && quality == 0 {
		return s.data
	}
	img := s.decoded()
	if img == nil || of < 1 {
		return nil
	}
	b := img.Bounds()
	part := image.NewRGBA(image.Rect(0, 0, b.Dx()/of*frames, b.Dy()))
	draw.Draw(part, part.Bounds(), img, b.Min, draw.Src)
	return encoded(part, quality)
}

// encoded is a picture as JPEG of some quality, or without loss where that is 0.
func encoded(img image.Image, quality int) []byte {
	encode := asPNG
	if quality > 0 {
		encode = func(img image.Image) ([]byte, error) { return asJPEG(img, quality) }
	}
	data, err := encode(img)
	if err != nil {
		return nil // one without pixels
	}
	return data
}
