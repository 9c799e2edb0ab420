package decode

import (
	"errors"

	"github.com/asticode/go-astiav"
)

// A source gives the packets of one picture stream in decoding order. It is used by one
// goroutine at a time, except for interrupt.
type source interface {
	// next fills p with the next packet; io.EOF at the end. Another error means that data is
	// missing, and that a further call may find the next packet.
	next(p *astiav.Packet) error
	// seek goes to a packet from which the frame of that number can probably be decoded.
	// errNoSeek if there is no way to; the source is then of no more use.
	seek(frame int) (landing, error)
	// onward tells whether a frame is known to be reached from another by decoding on with fewer frames
	// than a seek would come by.
	onward(frame, from int) bool
	// rewind goes back to the start, as after opening; false where that is not sure.
	rewind() bool
	// parameters describe the stream to a decoder. They belong to the source.
	parameters() *astiav.CodecParameters
	// ordered says that packets' time stamps are those at which their frames are displayed, one
	// frame a packet.
	ordered() bool
	// number returns which frame is displayed at a time, where the rate is constant.
	number(pts int64) (int, bool)
	// seconds turns a frame's time stamp into seconds from the clip's first frame.
	seconds(pts int64) float64
	// interrupt makes a call to next that waits for the disk give up, now and in future.
	interrupt()
	close()
}

// A landing is where a seek came down: at a packet that needs none before it.
type landing struct {
	number int   // of the first frame, in display order, of those that follow
	key    int64 // time stamp of the packet
	byTime bool  // number is that of the packet itself, not of frames shown before it
}

// An input is what a Read takes frames from, and leaves to the next: the memory of a decoder's pictures is
// large, and slow to come by.
type input struct {
	source  source
	decoder *astiav.CodecContext // of the source's packets, as good as new; nil where there is none yet
	threads int                  // of the decoder
}

// takeDecoder hands out the decoder that there is, or opens one.
func (in *input) takeDecoder(threads int) (*astiav.CodecContext, error) {
	if decoder := in.decoder; decoder != nil && in.threads == threads {
		in.decoder = nil
		return decoder, nil
	}
	in.dropDecoder()
	in.threads = threads
	return newDecoder(in.source.parameters(), threads)
}

func (in *input) dropDecoder() {
	if in.decoder != nil {
		in.decoder.Free()
		in.decoder = nil
	}
}

func (in *input) close() {
	in.dropDecoder()
	in.source.close()
}

var errNoSeek = errors.New("no way to seek")
