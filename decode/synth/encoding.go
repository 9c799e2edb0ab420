package synth

import (
	"fmt"
	"path/filepath"
	"strings"

	"stopledger/curve"
	"stopledger/decode/synth/encode"
)

// container returns the muxer for a path, "" for a numbered sequence.
func (e Encoding) container(path string) (string, error) {
	r, ok := recipes[e.Codec]
	if !ok {
		return "", fmt.Errorf("no codec is called %q", e.Codec)
	}
	ext := strings.ToLower(strings.TrimPrefix(filepath.Ext(path), "."))
	for _, c := range r.containers {
		if c == ext {
			return muxers[ext], nil
		}
	}
	return "", fmt.Errorf("%s does not go into .%s: use .%s", e.Codec, ext, strings.Join(r.containers, " or ."))
}

// settings are what FFmpeg needs to know.
func (e Encoding) settings(cam Camera, shot Shot) encode.Settings {
	r := recipes[e.Codec]
	num, den := shot.rate()
	s := encode.Settings{
		Encoder: r.encoder, Options: r.options(e), Packed: r.packed && (cam.Bits == 8 || cam.Bits == 16),
		Width: cam.Width, Height: cam.Height, RateNum: num, RateDen: den, Timecode: e.Timecode, Metadata: e.Metadata,
	}
	s.PixelFormat = cam.pixelFormat(s.Packed)
	s.Options["threads"] = "2"
	for k, v := range tags(cam, e) {
		s.Options[k] = v
	}
	return s
}

// pixelFormat returns FFmpeg's name for what the camera records.
func (c Camera) pixelFormat(packed bool) string {
	if c.Sampling == RGB {
		switch {
		case packed && c.Bits == 8:
			return "rgb24"
		case packed && c.Bits == 16:
			return "rgb48le"
		}
	}
	name := map[Sampling]string{S420: "yuv420p", S422: "yuv422p", S444: "yuv444p", RGB: "gbrp"}[c.Sampling]
	if c.Bits == 8 {
		return name
	}
	return fmt.Sprintf("%s%dle", name, c.Bits)
}

// spaces are FFmpeg's names of matrices.
var spaces = map[string]string{"bt601": "smpte170m", "bt709": "bt709", "bt2020": "bt2020nc"}

// tags are the codec options that say how the codes are to be read.
func tags(cam Camera, e Encoding) map[string]string {
	o := map[string]string{}
	if !e.Untagged {
		o["color_range"] = "tv"
		if cam.Range == curve.Full {
			o["color_range"] = "pc"
		}
		o["colorspace"] = spaces[cam.Matrix.Name]
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
