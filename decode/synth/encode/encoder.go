// Package encode writes frames to files through FFmpeg's encoders and muxers.
package encode

import (
	"errors"
	"fmt"
	"strings"

	"github.com/asticode/go-astiav"

	"stopledger/decode"
)

// Settings say how frames become a file, in FFmpeg's words.
type Settings struct {
	Encoder          string            // name of the encoder
	Options          map[string]string // of the encoder
	PixelFormat      string            // name of what the frames hold
	Packed           bool              // the format holds R, G, B interleaved
	Width, Height    int               // pixels
	RateNum, RateDen int               // frames a second = RateNum / RateDen

	Timecode string            // of the first frame, HH:MM:SS:FF; empty for none
	Metadata map[string]string // of the container; in mov and mp4 stored under these keys
}

// An encoder turns planes into packets of one codec.
type encoder struct {
	context *astiav.CodecContext
	frame   *astiav.Frame
	packet  *astiav.Packet
	packed  bool
}

func newEncoder(e Settings, globalHeader bool) (_ *encoder, err error) {
	codec := astiav.FindEncoderByName(e.Encoder)
	if codec == nil {
		return nil, fmt.Errorf("this FFmpeg has no encoder %s", e.Encoder)
	}
	format, err := findFormat(codec, e.PixelFormat)
	if err != nil {
		return nil, err
	}
	enc := &encoder{packed: e.Packed, context: astiav.AllocCodecContext(codec)}
	enc.frame, enc.packet = astiav.AllocFrame(), astiav.AllocPacket()
	enc.context.SetWidth(e.Width)
	enc.context.SetHeight(e.Height)
	enc.context.SetPixelFormat(format)
	enc.context.SetTimeBase(astiav.NewRational(e.RateDen, e.RateNum))
	enc.context.SetFramerate(astiav.NewRational(e.RateNum, e.RateDen))
	enc.context.SetSampleAspectRatio(astiav.NewRational(1, 1))
	if globalHeader {
		enc.context.SetFlags(enc.context.Flags().Add(astiav.CodecContextFlagGlobalHeader))
	}
	if err := enc.open(codec, e.Options); err != nil {
		enc.free()
		return nil, err
	}
	return enc, nil
}

func (enc *encoder) open(codec *astiav.Codec, options map[string]string) error {
	d, err := dictionary(options)
	if err != nil {
		return err
	}
	defer d.Free()
	if err := enc.context.Open(codec, d); err != nil {
		return fmt.Errorf("opening encoder %s: %w", codec.Name(), err)
	}
	return nil
}

func dictionary(entries map[string]string) (*astiav.Dictionary, error) {
	d := astiav.NewDictionary()
	for k, v := range entries {
		if err := d.Set(k, v, 0); err != nil {
			d.Free()
			return nil, fmt.Errorf("option %s=%s: %w", k, v, err)
		}
	}
	return d, nil
}

func findFormat(codec *astiav.Codec, name string) (astiav.PixelFormat, error) {
	var known []string
	for _, f := range formatsOf(codec) {
		if f.Name() == name {
			return f, nil
		}
		known = append(known, f.Name())
	}
	return 0, fmt.Errorf("%s cannot hold %s; it takes %s", codec.Name(), name, strings.Join(known, " "))
}

// encode sends one frame and hands each packet that is ready to sink.
func (enc *encoder) encode(p *decode.Frame, sink func(*astiav.Packet) error) error {
	f := enc.frame
	f.Unref()
	f.SetWidth(enc.context.Width())
	f.SetHeight(enc.context.Height())
	f.SetPixelFormat(enc.context.PixelFormat())
	setColour(f, enc.context)
	f.SetPts(int64(p.Index))
	if err := f.AllocBuffer(0); err != nil {
		return fmt.Errorf("memory for frame %d: %w", p.Index, err)
	}
	fillFrame(f, p, enc.packed)
	return enc.send(f, sink)
}

// send hands a frame to the codec, nil for the end.
func (enc *encoder) send(f *astiav.Frame, sink func(*astiav.Packet) error) error {
	if err := enc.context.SendFrame(f); err != nil {
		return fmt.Errorf("encoding: %w", err)
	}
	for {
		err := enc.context.ReceivePacket(enc.packet)
		if errors.Is(err, astiav.ErrEagain) || errors.Is(err, astiav.ErrEof) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("encoding: %w", err)
		}
		err = sink(enc.packet)
		enc.packet.Unref()
		if err != nil {
			return err
		}
	}
}

func (enc *encoder) free() {
	if enc.packet != nil {
		enc.packet.Free()
	}
	if enc.frame != nil {
		enc.frame.Free()
	}
	if enc.context != nil {
		enc.context.Free()
	}
}
