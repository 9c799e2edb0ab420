package decode

import (
	"errors"
	"fmt"
	"io"

	"github.com/asticode/go-astiav"
)

// A pictureReader decodes a source's packets into frames, in display order.
type pictureReader struct {
	source  source
	decoder *astiav.CodecContext
	packet  *astiav.Packet
	av      *astiav.Frame
	count   counter
	pool    *bufferPool
	format  pixelFormat
	code    astiav.PixelFormat // of format
	width   int                // of the first frame; a change is refused
	height  int

	drained bool
	trouble error // first error that lost data
	skipped int   // consecutive failures to read
}

// mostReadFailures is how often in a row a demuxer may fail before the rest counts as lost.
const mostReadFailures = 16

func newPictureReader(s source, threads int, pool *bufferPool) (*pictureReader, error) {
	cc, err := newDecoder(s.parameters(), threads)
	if err != nil {
		return nil, err
	}
	r := &pictureReader{source: s, decoder: cc, packet: astiav.AllocPacket(), av: astiav.AllocFrame(), pool: pool}
	switch s.parameters().CodecID().Name() {
	case "vp8", "vp9", "av1":
		r.count.inOrder = true
	}
	return r, nil
}

func (r *pictureReader) close() {
	r.av.Free()
	r.packet.Free()
	r.decoder.Free()
}

// next decodes the next sound frame; io.EOF at the end. Frames that the decoder could not make
// whole are passed over. Its Group is not set.
func (r *pictureReader) next() (*Frame, error) {
	for {
		switch err := r.decoder.ReceiveFrame(r.av); {
		case err == nil:
			if f, err := r.frame(); f != nil || err != nil {
				return f, err
			}
		case errors.Is(err, astiav.ErrEof):
			return nil, io.EOF
		case errors.Is(err, astiav.ErrEagain):
			r.feed()
		default:
			r.note(err)
			if r.drained {
				return nil, io.EOF
			}
			r.feed()
		}
	}
}

// feed sends one packet, or the end, to the decoder.
func (r *pictureReader) feed() {
	err := r.source.next(r.packet)
	for err != nil && err != io.EOF && r.skipped < mostReadFailures {
		r.note(err)
		r.skipped++
		err = r.source.next(r.packet)
	}
	if err != nil {
		r.drained = true
		r.note(r.decoder.SendPacket(nil))
		return
	}
	r.skipped = 0
	flags := r.packet.Flags()
	if !flags.Has(astiav.PacketFlagDiscard) {
		r.count.sent(r.packet.Pts())
	}
	if flags.Has(astiav.PacketFlagCorrupt) {
		r.note(fmt.Errorf("%w: packet cut short", ErrDamaged))
		return
	}
	r.note(r.decoder.SendPacket(r.packet))
}

// note remembers the first error.
func (r *pictureReader) note(err error) {
	if err != nil && r.trouble == nil {
		r.trouble = err
	}
}

// frame makes a Frame of the decoded picture; nil if the picture is not sound.
func (r *pictureReader) frame() (*Frame, error) {
	p := rawPictureOf(r.av)
	index := r.count.came(p.pts)
	if p.corrupt {
		r.count.missing++
		r.note(fmt.Errorf("%w: frame %d has errors", ErrDamaged, index))
		r.av.Unref()
		return nil, nil
	}
	if err := r.expect(p, index); err != nil {
		return nil, err
	}
	f := &Frame{Layout: r.format.layout, Bits: r.format.bits, Index: index, Picture: Picture(r.av.PictureType().String()[0])}
	if p.pts != noTime {
		f.Time = r.source.seconds(p.pts)
	}
	if f.Picture != 'I' && f.Picture != 'P' && f.Picture != 'B' {
		f.Picture = '?'
	}
	var buffer []uint16
	f.Planes, buffer = planesOf(p, r.format, r.pool)
	if buffer != nil {
		f.hold = newHold(func() { r.pool.give(buffer) })
		r.av.Unref()
		return f, nil
	}
	kept := astiav.AllocFrame()
	kept.MoveRef(r.av)
	f.hold = newHold(kept.Free)
	return f, nil
}

// expect checks that a picture is of the same kind as those before.
func (r *pictureReader) expect(p rawPicture, index int) error {
	if r.width == 0 {
		format, err := readable(p.format)
		if err != nil {
			return err
		}
		if p.width > largestSide || p.height > largestSide || p.width*p.height > largestPixels {
			return fmt.Errorf("%w: %dx%d is too large", ErrUnsupported, p.width, p.height)
		}
		r.format, r.code, r.width, r.height = format, p.format, p.width, p.height
	}
	if p.width != r.width || p.height != r.height || p.format != r.code {
		return fmt.Errorf("%w: the picture's size or format changes at frame %d", ErrUnsupported, index)
	}
	return nil
}
