package decode

import (
	"errors"
	"fmt"
	"io"
	"runtime"

	"github.com/asticode/go-astiav"
)

// A source gives the packets of one picture stream in decoding order. It is used by one
// goroutine at a time.
type source interface {
	// next fills p with the next packet; io.EOF at the end. Another error means that data is
	// missing, and that a further call may find the next packet.
	next(p *astiav.Packet) error
	// seek goes to a packet from which the frame of that number can be decoded, and returns the
	// number of the first frame in display order of those that follow; errNoSeek if it cannot.
	seek(frame int) (first int, err error)
	// parameters describe the stream to a decoder.
	parameters() *astiav.CodecParameters
	// seconds turns a frame's time stamp into seconds from the clip's first frame.
	seconds(pts int64) float64
	close()
}

var errNoSeek = errors.New("no way to seek")

// A containerSource is the best video stream of a container file.
type containerSource struct {
	format    *astiav.FormatContext
	stream    *astiav.Stream
	interrupt astiav.IOInterrupter
	pinned    runtime.Pinner // FFmpeg keeps the interrupter's address
	ahead     []*astiav.Packet
}

// openContainer opens a local file. The errors are FFmpeg's own or of this package's kinds.
func openContainer(path string) (*containerSource, error) {
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
	s.interrupt = s.format.SetInterruptCallback()
	s.pinned.Pin(s.interrupt)
	if err := s.format.OpenInput(url, nil, options); err != nil {
		s.format.Free()
		s.pinned.Unpin()
		return nil, err
	}
	if err := s.format.FindStreamInfo(nil); err != nil {
		s.close()
		return nil, err
	}
	if s.stream = bestVideo(s.format.Streams()); s.stream == nil {
		s.close()
		return nil, ErrNoVideo
	}
	return s, nil
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
	if len(s.ahead) > 0 {
		p.Unref()
		p.MoveRef(s.ahead[0])
		s.ahead[0].Free()
		s.ahead = s.ahead[1:]
		return nil
	}
	return s.demux(p)
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

// peek reads up to n packets without using them up.
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

// shown counts the frames that the container displays, 0 where it does not say.
func (s *containerSource) shown() int {
	if containerName(s.format.InputFormat().Name()) != "mov" {
		return int(s.stream.NbFrames())
	}
	n := 0
	for _, e := range indexOf(s.stream) {
		if !e.skip {
			n++
		}
	}
	return max(n, 0)
}

func (s *containerSource) forget() {
	for _, p := range s.ahead {
		p.Free()
	}
	s.ahead = nil
}

func (s *containerSource) parameters() *astiav.CodecParameters { return s.stream.CodecParameters() }

func (s *containerSource) seconds(pts int64) float64 {
	if start := s.stream.StartTime(); start != noTime {
		pts -= start
	}
	return float64(pts) * s.stream.TimeBase().Float64()
}

func (s *containerSource) close() {
	s.forget()
	s.format.CloseInput()
	s.pinned.Unpin()
}

func (s *containerSource) seek(int) (int, error) { return 0, errNoSeek }

// newDecoder opens a decoder for a source.
func newDecoder(p *astiav.CodecParameters, threads int) (*astiav.CodecContext, error) {
	codec := astiav.FindDecoder(p.CodecID())
	if codec == nil || !allowedCodec(codec.Name()) {
		return nil, fmt.Errorf("%w: codec %s", ErrUnsupported, p.CodecID().Name())
	}
	cc := astiav.AllocCodecContext(codec)
	if err := cc.FromCodecParameters(p); err != nil {
		cc.Free()
		return nil, err
	}
	cc.SetThreadCount(threads)
	options := astiav.NewDictionary()
	defer options.Free()
	if err := options.Set("max_pixels", fmt.Sprint(largestPixels), 0); err != nil {
		cc.Free()
		return nil, err
	}
	if err := cc.Open(codec, options); err != nil {
		cc.Free()
		return nil, err
	}
	return cc, nil
}
