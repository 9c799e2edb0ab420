package synth

import (
	"errors"
	"fmt"
	"strings"

	"github.com/asticode/go-astiav"

	"stopledger/curve"
)

// An encoder turns planes into packets of one codec.
type encoder struct {
	context *astiav.CodecContext
	frame   *astiav.Frame
	packet  *astiav.Packet
	packed  bool
}

func newEncoder(cam Camera, shot Shot, e Encoding, globalHeader bool) (_ *encoder, err error) {
	r := recipes[e.Codec]
	codec := astiav.FindEncoderByName(r.encoder)
	if codec == nil {
		return nil, fmt.Errorf("this FFmpeg has no encoder %s", r.encoder)
	}
	enc := &encoder{packed: r.packed && (cam.Bits == 8 || cam.Bits == 16)}
	format, err := findFormat(codec, cam.pixelFormat(enc.packed))
	if err != nil {
		return nil, err
	}
	defer func() {
		if err != nil {
			enc.free()
		}
	}()
	enc.context = astiav.AllocCodecContext(codec)
	enc.frame, enc.packet = astiav.AllocFrame(), astiav.AllocPacket()
	num, den := shot.rate()
	enc.context.SetWidth(cam.Width)
	enc.context.SetHeight(cam.Height)
	enc.context.SetPixelFormat(format)
	enc.context.SetTimeBase(astiav.NewRational(den, num))
	enc.context.SetFramerate(astiav.NewRational(num, den))
	enc.context.SetSampleAspectRatio(astiav.NewRational(1, 1))
	if globalHeader {
		enc.context.SetFlags(enc.context.Flags().Add(astiav.CodecContextFlagGlobalHeader))
	}
	options := r.options(e)
	options["threads"] = "2"
	for k, v := range tags(cam, e) {
		options[k] = v
	}
	return enc, enc.open(codec, options)
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
	for _, f := range codec.PixelFormats() {
		if f.Name() == name {
			return f, nil
		}
		known = append(known, f.Name())
	}
	return 0, fmt.Errorf("%s cannot hold %s; it takes %s", codec.Name(), name, strings.Join(known, " "))
}

// tags are the codec options that say how the codes are to be read.
func tags(cam Camera, e Encoding) map[string]string {
	o := map[string]string{}
	if !e.Untagged {
		o["color_range"] = "tv"
		if cam.Range == curve.Full {
			o["color_range"] = "pc"
		}
		o["colorspace"] = map[string]string{"bt601": "smpte170m", "bt709": "bt709", "bt2020": "bt2020nc"}[cam.Matrix.Name]
		if cam.Sampling == RGB {
			o["colorspace"] = "rgb"
		}
		if cam.Sampling == S420 || cam.Sampling == S422 {
			o["chroma_sample_location"] = "left"
		}
	}
	if e.Primaries != "" {
		o["color_primaries"] = e.Primaries
	}
	if e.Transfer != "" {
		o["color_trc"] = e.Transfer
	}
	return o
}

// encode sends one frame and hands each packet that is ready to sink.
func (enc *encoder) encode(p Planes, sink func(*astiav.Packet) error) error {
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
