package decode

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/asticode/go-astiav"
)

// A stillSource gives the pictures in a list of files as the packets of a stream.
type stillSource struct {
	files  []string
	at     int // of the next file
	coding *astiav.CodecParameters
	rate   float64 // frames a second, 0 where unknown
	told   func()  // called as a file is read; nil for nobody
}

// newStillSource takes paths of one kind of picture.
func newStillSource(files []string, rate float64, told func()) *stillSource {
	s := &stillSource{files: files, coding: astiav.AllocCodecParameters(), rate: rate, told: told}
	s.coding.SetMediaType(astiav.MediaTypeVideo)
	s.coding.SetCodecID(stillCodecs[strings.ToLower(filepath.Ext(files[0]))])
	return s
}

// next reads a file. One that cannot be read makes a packet without data, marked as corrupt, so
// that the pictures after it keep their numbers.
func (s *stillSource) next(p *astiav.Packet) error {
	p.Unref()
	if s.at >= len(s.files) {
		return io.EOF
	}
	flags := astiav.NewPacketFlags(astiav.PacketFlagKey)
	if err := readInto(p, s.files[s.at], s.told); err != nil {
		p.Unref()
		flags = flags.Add(astiav.PacketFlagCorrupt)
	}
	p.SetFlags(flags)
	p.SetPts(int64(s.at))
	p.SetDts(int64(s.at))
	s.at++
	return nil
}

// readInto fills a packet with a file, without a copy between. told is called after each piece; it may
// be nil.
func readInto(p *astiav.Packet, path string, told func()) error {
	if _, err := regular(path); err != nil {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	stat, err := f.Stat()
	if err != nil {
		return err
	}
	if stat.Size() > largestBlock {
		return fmt.Errorf("%w: a picture file of %d bytes (at most %d are read)", ErrUnsupported, stat.Size(), largestBlock)
	}
	if err := p.AllocPayload(int(stat.Size())); err != nil {
		return err
	}
	const piece = 8 << 20 // bytes
	for rest := payload(p); len(rest) > 0; rest = rest[min(piece, len(rest)):] {
		if _, err := io.ReadFull(f, rest[:min(piece, len(rest))]); err != nil {
			return err
		}
		if told != nil {
			told()
		}
	}
	return nil
}

// probeStills decodes the first of a list of pictures, which say little of themselves.
func probeStills(name string, files []string, told func()) (Info, error) {
	s := newStillSource(files, 0, told)
	defer s.close()
	i := Info{Path: name, Container: "image", Frames: len(files), Tags: map[string]string{}}
	if len(files) > 1 {
		i.Container = "image sequence"
	}
	for _, f := range files {
		i.Bytes += fileBytes(f)
	}
	packet := astiav.AllocPacket()
	defer packet.Free()
	if err := readInto(packet, files[0], told); err != nil {
		return i, err
	}
	decoder, err := newDecoder(s.parameters(), 1)
	if err != nil {
		return i, err
	}
	defer decoder.Free()
	first := decodeOne(decoder, packet)
	if first == nil {
		return i, fmt.Errorf("%w: the picture cannot be decoded", ErrDamaged)
	}
	i.RateNum, i.RateDen, i.Timecode = dpxHeader(files[0])
	if i.RateNum > 0 {
		i.DurationS = float64(i.Frames) / i.FrameRate()
	}
	return i, probeStream(&i, s.parameters(), first)
}

func (s *stillSource) seek(frame int) (landing, error) {
	s.at = min(frame, len(s.files))
	return landing{number: s.at, key: int64(s.at)}, nil
}

func (s *stillSource) onward(frame, from int) bool { return frame == from }

func (s *stillSource) rewind() bool { return false } // files are opened one by one in any case

func (s *stillSource) parameters() *astiav.CodecParameters { return s.coding }

func (s *stillSource) ordered() bool { return true }

func (s *stillSource) number(pts int64) (int, bool) { return int(pts), true }

func (s *stillSource) seconds(pts int64) float64 {
	if s.rate <= 0 {
		return 0
	}
	return float64(pts) / s.rate
}

func (s *stillSource) interrupt() {}

func (s *stillSource) close() { s.coding.Free() }
