package decode

import (
	"encoding/binary"
	"errors"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/asticode/go-astiav"
)

// A containerSource is the best video stream of a container file.
type containerSource struct {
	format      *astiav.FormatContext
	stream      *astiav.Stream
	kind        string           // the demuxer's first name: mov, matroska, mxf
	index       []indexEntry     // complete; nil where the container has no such index
	ahead       []*astiav.Packet // read, but not yet used
	guessed     bool             // what only frames say of the stream is not known before one is decoded
	interrupter *interrupter
}

// openContainer opens a local file. The errors are FFmpeg's own or of this package's kinds. With guess, FFmpeg does
// not decode a frame to find out what a later one will tell.
func openContainer(path string, guess bool) (*containerSource, error) {
	url, err := localURL(path)
	if err != nil {
		return nil, err
	}
	options, err := lockedDown()
	if err != nil {
		return nil, err
	}
	defer options.Free()
	s := &containerSource{format: astiav.AllocFormatContext()}
	s.interrupter = newInterrupter(s.format)
	if err := explained(func() error { return s.format.OpenInput(url, nil, options) }); err != nil {
		s.format.Free() // OpenInput has closed it; CloseInput would not know
		s.interrupter.free()
		return nil, err
	}
	if err := s.choose(guess); err != nil {
		s.close()
		return nil, err
	}
	return s, nil
}

// choose finds the stream to read.
func (s *containerSource) choose(guess bool) error {
	if guess {
		s.guess()
	}
	err := explained(func() error { return s.format.FindStreamInfo(nil) })
	if s.stream = bestVideo(s.format.Streams()); s.stream != nil {
		if _, unread := allowedDecoder(s.parameters()); unread != nil {
			return unread // which may be why nothing was found out about the stream
		}
	}
	switch {
	case err != nil:
		return err
	case s.stream == nil:
		return ErrNoVideo
	}
	s.kind, _, _ = strings.Cut(s.format.InputFormat().Name(), ",")
	if s.kind == "mov" {
		s.index = indexOf(s.stream)
	}
	return nil
}

// guess fills in pixel formats: those that are unknown FFmpeg finds out by decoding a frame.
func (s *containerSource) guess() {
	for _, stream := range s.format.Streams() {
		p := stream.CodecParameters()
		if p.PixelFormat() == astiav.PixelFormatNone && slices.Contains(independent, p.CodecID().Name()) {
			p.SetPixelFormat(astiav.PixelFormatYuv422P10Le)
			s.guessed = true
		}
	}
}

// bestVideo picks the stream with most pixels, the first of equals.
func bestVideo(streams []*astiav.Stream) *astiav.Stream {
	var best *astiav.Stream
	area := 0
	for _, s := range streams {
		p := s.CodecParameters()
		if p.MediaType() != astiav.MediaTypeVideo || attachedPicture(s) {
			continue
		}
		if a := p.Width() * p.Height(); best == nil || a > area {
			best, area = s, a
		}
	}
	return best
}

func (s *containerSource) next(p *astiav.Packet) error {
	if len(s.ahead) == 0 {
		return s.demux(p)
	}
	p.Unref()
	p.MoveRef(s.ahead[0])
	s.ahead[0].Free()
	s.ahead = s.ahead[1:]
	return nil
}

// demux reads on until a packet of the stream.
func (s *containerSource) demux(p *astiav.Packet) error {
	for {
		p.Unref()
		if err := s.format.ReadFrame(p); errors.Is(err, astiav.ErrEof) {
			return io.EOF
		} else if err != nil {
			return err
		}
		if p.StreamIndex() == s.stream.Index() {
			return nil
		}
	}
}

// peek returns the next packets, up to n, without using them up.
func (s *containerSource) peek(n int) []*astiav.Packet {
	for len(s.ahead) < n {
		p := astiav.AllocPacket()
		if s.demux(p) != nil {
			p.Free()
			break
		}
		s.ahead = append(s.ahead, p)
	}
	return s.ahead
}

// forget drops what was peeked at.
func (s *containerSource) forget() {
	for _, p := range s.ahead {
		p.Free()
	}
	s.ahead = nil
}

// shown counts the frames that the container displays, 0 where it does not say.
func (s *containerSource) shown() int {
	switch {
	case s.index != nil:
		n := 0
		for _, e := range s.index {
			if !e.skip {
				n++
			}
		}
		return n
	case s.kind == "mxf" && s.stream.Duration() > 0:
		return int(s.stream.Duration()) // in edit units, which are frames
	}
	return int(s.stream.NbFrames())
}

func (s *containerSource) parameters() *astiav.CodecParameters { return s.stream.CodecParameters() }

// ordered is false for codecs some of whose packets hold no picture to be shown.
func (s *containerSource) ordered() bool {
	switch s.parameters().CodecID().Name() {
	case "vp8", "vp9", "av1":
		return false
	}
	return s.displayTimes()
}

// displayTimes looks at the next packet's time stamp: in a codec that displays frames in another
// order than it decodes them, a key frame cannot be displayed the moment it is decoded, or the
// time stamps are only those of decoding.
func (s *containerSource) displayTimes() bool {
	packets := s.peek(1)
	return len(packets) > 0 && packets[0].Pts() != noTime &&
		(packets[0].Pts() != packets[0].Dts() || codecFactsOf(s.parameters()).delay == 0)
}

// start is the time stamp of the first frame displayed.
func (s *containerSource) start() int64 {
	if t := s.stream.StartTime(); t != noTime {
		return t
	}
	return 0
}

func (s *containerSource) seconds(pts int64) float64 {
	return float64(pts-s.start()) * s.stream.TimeBase().Float64()
}

func (s *containerSource) interrupt() { s.interrupter.interrupt() }

func (s *containerSource) close() {
	s.forget()
	s.format.CloseInput()
	s.interrupter.free()
}

// end returns the byte at which the file must end at the earliest if it is whole, 0 where the
// container does not say.
func (s *containerSource) end(path string) int64 {
	if s.kind == "matroska" {
		return segmentEnd(path)
	}
	var end int64
	for _, e := range s.index {
		end = max(end, e.end)
	}
	return end
}

// segmentEnd returns where the first segment of a Matroska file ends, 0 if it does not say
// (RFC 8794, EBML: section 4, variable-size integers; section 11.2.1, the EBML header's ID;
// RFC 9559, Matroska: section 5.1, the segment's ID; from memory).
func segmentEnd(path string) int64 {
	f, err := os.Open(path)
	if err != nil {
		return 0
	}
	defer f.Close()
	const headerID, segmentID = 0x1a45dfa3, 0x18538067
	var at int64
	for range 16 { // elements before the segment are few
		var head [12]byte
		n, _ := f.ReadAt(head[:], at)
		if n < 5 {
			return 0
		}
		id := binary.BigEndian.Uint32(head[:4])
		size, width := ebmlSize(head[4:n])
		if width == 0 || (at == 0 && id != headerID) {
			return 0
		}
		at += int64(4+width) + size
		if id == segmentID {
			return at
		}
	}
	return 0
}

// ebmlSize reads a size and its own width in bytes; width 0 if it is unknown or makes no sense.
func ebmlSize(b []byte) (size int64, width int) {
	for width = 1; width <= 8 && b[0]>>(8-width) == 0; width++ {
	}
	if width > 8 || width > len(b) {
		return 0, 0
	}
	for _, c := range b[:width] {
		size = size<<8 | int64(c)
	}
	all := int64(1)<<(7*width) - 1 // the bits after the width's mark
	if size &= all; size == all || size > 1<<50 {
		return 0, 0
	}
	return size, width
}
