package decode

import (
	"math"

	"github.com/asticode/go-astiav"
)

// offGrid is how far, in frames, a time stamp may lie from its place at a constant rate before
// the rate is taken to vary. Time stamps in whole milliseconds are 0.12 off at 240 frames a second.
const offGrid = 0.2

// seek goes to the key frame before, by the container's index where that is complete, else by
// time at a constant frame rate.
func (s *containerSource) seek(frame int) (landing, error) {
	if s.index != nil {
		return s.seekByIndex(frame)
	}
	return s.seekByTime(frame)
}

// onward tells whether a seek would come down no further than at the frame from.
func (s *containerSource) onward(frame, from int) bool {
	at, before := s.keyBefore(frame)
	return at >= 0 && before <= from
}

// rewind goes back to the first packet of a container that has an index of all.
func (s *containerSource) rewind() bool {
	if len(s.index) == 0 || !s.index[0].key || s.index[0].skip {
		return false
	}
	if _, err := s.seekByIndex(0); err != nil {
		return false
	}
	packets := s.peek(1)
	return len(packets) == 1 && packets[0].Pos() == s.index[0].pos
}

// seekByIndex counts frames in the index: those before a key packet in decoding order are all
// displayed before those that follow it.
func (s *containerSource) seekByIndex(frame int) (landing, error) {
	at, _ := s.keyBefore(frame)
	if at < 0 {
		return landing{}, errNoSeek
	}
	s.forget()
	if err := s.format.SeekFrame(s.stream.Index(), s.within(at),
		astiav.NewSeekFlags(astiav.SeekFlagBackward)); err != nil {
		return landing{}, errNoSeek
	}
	packet, ok := s.keyPacket()
	if !ok {
		return landing{number: frame}, nil // cut off before: nothing will come
	}
	number, ok := s.numberOf(packet)
	if !ok {
		return landing{}, errNoSeek
	}
	return landing{number: number, key: packet.Pts()}, nil
}

// keyBefore returns the place in the index of the key packet that a frame is decoded from, -1 without one,
// and how many frames are displayed before it.
func (s *containerSource) keyBefore(frame int) (at, before int) {
	at = -1
	shown := 0
	for i, e := range s.index {
		if shown > frame {
			break
		}
		if e.key {
			at, before = i, shown
		}
		if !e.skip {
			shown++
		}
	}
	return at, before
}

// mostLeading is how many packets are looked through for frames shown before their key frame: H.264 and HEVC
// move pictures by 16 at most.
const mostLeading = 20

// keyFrame returns the number of the last key frame shown at or before a frame; false where the index does not
// lead to it. It moves the source.
func (s *containerSource) keyFrame(frame int) (number int, ok bool) {
	for range 2 { // the frame itself may be one that is shown before its key frame
		if s.index == nil || frame < 0 {
			break
		}
		l, err := s.seekByIndex(frame)
		leading, ok := s.leading()
		if err != nil || !ok || l.number > frame {
			break
		}
		if number := l.number + leading; number <= frame {
			return number, true
		}
		frame = l.number - 1
	}
	return 0, false
}

// leading counts the frames that follow the next packet, of a key frame, and are shown before it.
func (s *containerSource) leading() (n int, ok bool) {
	packets := s.peek(1)
	if len(packets) == 0 || packets[0].Flags().Has(astiav.PacketFlagDiscard) {
		return 0, false
	}
	key := packets[0].Pts()
	for i := 1; i < mostLeading; i++ {
		if packets = s.peek(i + 1); len(packets) == i {
			return n, true
		}
		switch p := packets[i]; {
		case p.Pts() == noTime || p.Dts() == noTime:
			return 0, false
		case p.Dts() >= key:
			return n, true
		case p.Pts() < key && !p.Flags().Has(astiav.PacketFlagDiscard):
			n++
		}
	}
	return 0, false
}

// within returns a time between a key packet and the next. The demuxer takes it for one of display, which
// reordering and edit lists move against those of decoding in the index: at a key packet's own time it
// would come down at the one before.
func (s *containerSource) within(key int) int64 {
	from, to := s.index[key].dts, s.index[key].dts
	for _, e := range s.index[key+1:] {
		if to = e.dts; e.key {
			break
		}
	}
	return from + (to-from)/2
}

// numberOf finds a packet in the index and counts the frames before it.
func (s *containerSource) numberOf(p *astiav.Packet) (int, bool) {
	shown := 0
	for _, e := range s.index {
		if e.pos == p.Pos() && e.dts == p.Dts() {
			return shown, true
		}
		if !e.skip {
			shown++
		}
	}
	return 0, false
}

// seekByTime reckons with a constant frame rate, and checks where it lands: some containers
// find the packet shown at a time, after which the next key packet is too late.
func (s *containerSource) seekByTime(frame int) (landing, error) {
	perFrame := s.ticksPerFrame()
	if perFrame <= 0 || !s.displayTimes() {
		return landing{}, errNoSeek
	}
	for back := 0; ; back = back*4 + 16 {
		l, found := s.land(max(frame-back, 0), perFrame)
		if found && l.number <= frame {
			return l, nil
		}
		if back >= frame {
			return landing{}, errNoSeek
		}
	}
}

// land seeks to a frame's time and reads on to a key packet. It is not found where there is
// none, or where its time stamp shows that the rate is not constant.
func (s *containerSource) land(frame int, perFrame float64) (landing, bool) {
	s.forget()
	target := s.start() + int64(math.Floor((float64(frame)+offGrid)*perFrame))
	if err := s.format.SeekFrame(s.stream.Index(), target, astiav.NewSeekFlags(astiav.SeekFlagBackward)); err != nil {
		return landing{}, false
	}
	packet, ok := s.keyPacket()
	if !ok || packet.Pts() == noTime {
		return landing{}, false
	}
	number, onGrid := s.number(packet.Pts())
	return landing{number: number, key: packet.Pts(), byTime: true}, onGrid
}

func (s *containerSource) number(pts int64) (int, bool) {
	perFrame := s.ticksPerFrame()
	if perFrame <= 0 {
		return 0, false
	}
	place := float64(pts-s.start()) / perFrame
	number := math.Round(place)
	return int(number), math.Abs(place-number) <= offGrid && math.Abs(number) < math.MaxInt32
}

// ticksPerFrame is the time between frames in the stream's time base, 0 where it is unknown or
// known to vary.
func (s *containerSource) ticksPerFrame() float64 {
	mean, nominal := s.stream.AvgFrameRate().Float64(), s.stream.RFrameRate().Float64()
	base := s.stream.TimeBase().Float64()
	if mean <= 0 || base <= 0 || math.Abs(mean/nominal-1) > 1e-3 {
		return 0
	}
	return 1 / (mean * base)
}

// keyPacket reads on to the next packet that can be decoded by itself, and leaves it to be
// read next.
func (s *containerSource) keyPacket() (*astiav.Packet, bool) {
	for {
		packets := s.peek(1)
		if len(packets) == 0 {
			return nil, false
		}
		if packets[0].Flags().Has(astiav.PacketFlagKey) {
			return packets[0], true
		}
		s.forget()
	}
}
