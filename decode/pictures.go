package decode

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/asticode/go-astiav"

	"stopledger/decode/gop"
)

// A pictureReader decodes a source's packets into frames, in display order.
type pictureReader struct {
	source  source
	stream  gop.Stream
	decoder *astiav.CodecContext
	ahead   *gop.Queue[*astiav.Packet] // read, and not yet decoded
	av      *astiav.Frame
	count   counter
	pool    *bufferPool
	head    head
	clipped bool  // no sample has more bits than the format says
	sound   int   // frames delivered
	have    []int // frames that need not be decoded, in order; of coding whose frames are independent
	spared  int   // of them, those that were not
	fed     int   // frames whose packets came

	ordinal  bool  // frames are numbered as they are delivered
	cut      bool  // the file is known to end early
	erratic  bool  // frames have come at other times than a constant rate has
	drained  bool  // nothing more goes into the decoder
	ended    bool  // the source has no more packets
	emptied  bool  // the decoder was stopped before the end of the source: it cannot go on from there
	failures int   // of reading, in a row
	trouble  error // the first error that lost data
}

// mostFailures is how often in a row a source may fail before the rest counts as lost.
const mostFailures = 16

// newPictureReader decodes an input, which stays the caller's to close, of a clip that begins with such a picture.
func newPictureReader(in *input, h head, threads int, pool *bufferPool) (*pictureReader, error) {
	decoder, err := in.takeDecoder(threads)
	if err != nil {
		return nil, err
	}
	s := in.source
	r := &pictureReader{source: s, decoder: decoder, head: h, pool: pool, av: astiav.AllocFrame(),
		ahead:   gop.NewPlainQueue[*astiav.Packet](),
		clipped: !h.format.inPlace || slices.Contains(clipping, s.parameters().CodecID().Name())}
	r.count.inOrder = !s.ordered()
	return r, nil
}

// choose makes the reader decode only what the frames that are asked for need, from the start of the source
// or from where a seek came down.
func (r *pictureReader) choose(l *landing) {
	if r.count.inOrder || r.ordinal {
		return
	}
	p := r.source.parameters()
	r.stream = gop.StreamOf(p.CodecID().Name(), p.ExtraData())
	base, from := 0, int64(math.MinInt64)
	if l != nil {
		base = l.number
		if l.byTime {
			from = l.key
		}
	}
	r.ahead = gop.NewQueue[*astiav.Packet](base, from)
}

// restart goes on where the source was moved to, as a new reader does.
func (r *pictureReader) restart() {
	flush(r.decoder)
	r.forget()
	*r = pictureReader{source: r.source, decoder: r.decoder, head: r.head, clipped: r.clipped, pool: r.pool, av: r.av,
		ahead: gop.NewPlainQueue[*astiav.Packet]()}
	r.count.inOrder = !r.source.ordered()
}

// close gives back the decoder, as good as new.
func (r *pictureReader) close() *astiav.CodecContext {
	r.forget()
	r.av.Free()
	flush(r.decoder)
	return r.decoder
}

// forget drops what was read ahead.
func (r *pictureReader) forget() {
	for r.ahead.Len() > 0 {
		r.ahead.Take().Free()
	}
}

// next decodes the next sound frame; io.EOF at the end, or after frame last at the latest where the reader
// chooses what it decodes. Frames that the decoder could not make whole are passed over, and so may be
// those numbered below from. Its Group is not set, and those below from have no planes.
func (r *pictureReader) next(from, last int) (*Frame, error) {
	for {
		err := r.decoder.ReceiveFrame(r.av)
		switch {
		case err == nil:
			if f, err := r.frame(from); f != nil || err != nil {
				return f, err
			}
			continue
		case errors.Is(err, astiav.ErrEof):
			return nil, io.EOF
		case !errors.Is(err, astiav.ErrEagain):
			r.note(err)
		}
		switch {
		case errors.Is(r.trouble, errNoMemory):
			return nil, r.trouble // what it did not come to is no damage
		case r.drained:
			return nil, io.EOF
		}
		r.feed(from, last)
	}
}

// feed sends one packet, or the end, to the decoder.
func (r *pictureReader) feed(first, last int) {
	for {
		switch r.ahead.Next(first, last) {
		case gop.Read:
			r.read()
		case gop.Send:
			r.send(r.ahead.Take())
			return
		case gop.Pass:
			r.pass(r.ahead.Take())
		case gop.Stop:
			r.stop()
			return
		}
	}
}

// stop sends the end. Frames of packets that were read may be shown before others that come yet.
func (r *pictureReader) stop() {
	r.drained, r.emptied = true, !r.ended || r.ahead.Len() > 0
	for r.ahead.Len() > 0 {
		r.pass(r.ahead.Take())
	}
	r.note(r.decoder.SendPacket(nil))
}

// pass passes over a packet.
func (r *pictureReader) pass(packet *astiav.Packet) {
	if !packet.Flags().Has(astiav.PacketFlagDiscard) {
		r.count.passed(packet.Pts())
	}
	packet.Free()
}

// read reads a packet ahead, or finds that there are no more.
func (r *pictureReader) read() {
	packet := astiav.AllocPacket()
	err := r.source.next(packet)
	for err != nil && err != io.EOF && r.failures < mostFailures {
		r.note(err)
		r.failures++
		r.ahead.Doubt()
		err = r.source.next(packet)
	}
	if err != nil {
		packet.Free()
		r.ended = true
		r.ahead.End()
		return
	}
	r.failures = 0
	r.ahead.Add(gop.Packet{Shown: packet.Pts(), Decoded: packet.Dts(),
		Timed:  packet.Pts() != noTime && packet.Dts() != noTime,
		Hidden: packet.Flags().Has(astiav.PacketFlagDiscard),
		Spare:  r.stream.Spare(payload(packet))}, packet)
}

// send sends a packet to the decoder, which holds what it needs of it: a large picture's file is no longer
// kept.
func (r *pictureReader) send(packet *astiav.Packet) {
	defer packet.Free()
	flags := packet.Flags()
	if !flags.Has(astiav.PacketFlagDiscard) {
		if r.spare(packet) {
			r.count.passed(packet.Pts())
			return
		}
		r.count.sent(packet.Pts())
	}
	if flags.Has(astiav.PacketFlagCorrupt) {
		r.note(fmt.Errorf("%w: data cut short", ErrDamaged))
		return
	}
	r.note(r.decoder.SendPacket(packet))
}

// spare tells whether the next frame need not be decoded. Its number is beyond doubt: as many came before it as its
// time says.
func (r *pictureReader) spare(packet *astiav.Packet) bool {
	n := r.fed
	r.fed++
	if _, wanted := slices.BinarySearch(r.have, n); !wanted || !packet.Flags().Has(astiav.PacketFlagKey) {
		return false
	}
	byTime, ok := r.source.number(packet.Pts())
	if !ok || byTime != n || packet.Flags().Has(astiav.PacketFlagCorrupt) {
		return false
	}
	r.spared++
	return true
}

// note remembers the first error.
func (r *pictureReader) note(err error) {
	if err != nil && r.trouble == nil {
		r.trouble = err
	}
}

// frame makes a Frame of the decoded picture; nil if the picture is not sound.
func (r *pictureReader) frame(from int) (*Frame, error) {
	p := rawPictureOf(r.av)
	index, known := r.number(p.pts)
	if p.corrupt && known {
		r.lose(index)
	}
	if p.corrupt || !known {
		r.av.Unref()
		return nil, nil
	}
	if err := r.head.check(p); err != nil {
		r.av.Unref()
		return nil, r.changed(err, index)
	}
	f := &Frame{Layout: r.head.format.layout, Bits: r.head.format.bits, Index: index,
		Picture: pictureOf(r.av.PictureType())}
	if p.pts != noTime {
		f.Time = r.source.seconds(p.pts)
	}
	if r.ordinal {
		f.Index = r.sound
	}
	if f.Index >= from {
		if err := r.fill(f, p); err != nil {
			r.av.Unref()
			r.note(err)
			return nil, err
		}
		if !r.clipped && !withinDepth(f.Planes, f.Bits) {
			f.Release()
			r.lose(index)
			return nil, nil
		}
	}
	r.sound++
	return f, nil
}

// changed says before which frame the picture changes.
func (r *pictureReader) changed(err error, index int) error {
	var change *FormatChange
	if errors.As(err, &change) {
		change.Frames = index
		if r.ordinal {
			change.Frames = r.sound
		}
	}
	return err
}

// upcoming is the number of the next frame, as far as is known.
func (r *pictureReader) upcoming() int {
	if r.ordinal {
		return r.sound
	}
	return r.count.next
}

// lose notes a frame that came out of the decoder and is not sound.
func (r *pictureReader) lose(index int) {
	r.count.missing++
	r.note(fmt.Errorf("%w: frame %d has errors", ErrDamaged, index))
}

// number returns a frame's number, as counter.came does. In a clip that is cut off, packets to be
// shown before the last frames may be lost unseen; those frames are numbered by their time, if
// that has been right for all before.
func (r *pictureReader) number(pts int64) (number int, known bool) {
	byTime, ok := r.source.number(pts)
	least := 0
	if r.drained && !r.emptied && (r.cut || r.trouble != nil) && !r.erratic && !r.count.inOrder {
		least = byTime
	}
	number, known = r.count.came(pts, least)
	r.erratic = r.erratic || !ok || (known && byTime != number)
	return number, known
}

// fill gives the frame its planes and moves the memory behind them into its hold.
func (r *pictureReader) fill(f *Frame, p rawPicture) error {
	planes, buffer, err := planesOf(p, r.head.format, r.pool)
	if err != nil {
		return err
	}
	f.Planes = planes
	if buffer != nil {
		pool := r.pool // the reader may start again while the frame is held
		f.hold = newHold(func() { pool.give(buffer) }, nil)
		r.av.Unref()
		return nil
	}
	kept := astiav.AllocFrame()
	kept.MoveRef(r.av)
	f.hold = newHold(kept.Free, nil)
	if f.Layout == YCbCr {
		f.hold.freeChroma = func() { freeChroma(kept) }
	}
	return nil
}

func pictureOf(t astiav.PictureType) Picture {
	switch t {
	case astiav.PictureTypeI, astiav.PictureTypeSi:
		return 'I'
	case astiav.PictureTypeP, astiav.PictureTypeSp:
		return 'P'
	case astiav.PictureTypeB:
		return 'B'
	}
	return '?'
}
