package synth

import (
	"fmt"
	"strconv"
)

// A Codec is how a clip is compressed.
type Codec string

// Codecs. DPX and TIFF make numbered sequences: give Record a path with a %06d in its name.
const (
	FFV1       Codec = "FFV1"          // lossless, any sampling and depth; mkv
	ProRes422  Codec = "ProRes 422 HQ" // 4:2:2, 10 bits; mov
	ProRes4444 Codec = "ProRes 4444"   // 4:4:4, 10 bits (FFmpeg reads it as 12); mov
	DNxHR      Codec = "DNxHR HQX"     // 4:2:2, 10 bits, at least 256 x 120; mov, mxf
	HEVC       Codec = "HEVC"          // 8, 10 or 12 bits; mp4, mov, mkv
	H264       Codec = "H.264"         // 8 or 10 bits; mp4, mov, mkv
	VP9        Codec = "VP9"           // mkv, webm
	AV1        Codec = "AV1"           // 8, 10 or 12 bits; mp4, mkv
	V210       Codec = "v210"          // uncompressed 4:2:2, 10 bits; mov
	DPX        Codec = "DPX"           // R'G'B', 10, 12 or 16 bits
	TIFF       Codec = "TIFF"          // R'G'B', 8 or 16 bits
)

// An Encoding is how a shot becomes a file.
type Encoding struct {
	Codec Codec // with the path's extension it settles the container
	// LongGOP predicts frames from others (HEVC, H.264, VP9, AV1); otherwise each stands alone.
	LongGOP bool
	// Quality is the constant rate factor of HEVC, H.264, VP9 and AV1, and the quantiser of all slices
	// of ProRes: lower is better and larger. 0 takes a camera-like default, of ProRes the rate of its
	// profile, which takes four times as long to search for.
	Quality int
	Preset  string // speed of the HEVC and H.264 encoders, "" for veryfast

	// Untagged leaves range and matrix unsaid. A mov keeps the matrix only where Primaries and
	// Transfer are given as well, or the codec has a place of its own for it.
	Untagged  bool
	Primaries string // FFmpeg's names, "" unsaid: bt709, bt2020
	Transfer  string // bt709, arib-std-b67, smpte2084 ...

	Timecode string            // of the first frame, HH:MM:SS:FF
	Metadata map[string]string // container metadata; in mov and mp4 stored under these keys
}

// recipe is what FFmpeg needs to know for a codec.
type recipe struct {
	encoder    string
	containers []string // file name extensions, the usual one first
	sequence   bool
	packed     bool // R, G, B interleaved where the depth is 8 or 16
	options    func(Encoding) map[string]string
}

var recipes = map[Codec]recipe{
	FFV1: {encoder: "ffv1", containers: []string{"mkv", "mov"},
		options: fixed("level", "3", "g", "1", "slices", "4")},
	ProRes422: {encoder: "prores_ks", containers: []string{"mov", "mxf"},
		options: proRes("hq")},
	ProRes4444: {encoder: "prores_ks", containers: []string{"mov", "mxf"},
		options: proRes("4444")},
	DNxHR: {encoder: "dnxhd", containers: []string{"mov", "mxf"}, options: fixed("profile", "dnxhr_hqx")},
	HEVC:  {encoder: "libx265", containers: []string{"mp4", "mov", "mkv"}, options: hevcOptions},
	H264:  {encoder: "libx264", containers: []string{"mp4", "mov", "mkv"}, options: h264Options},
	VP9:   {encoder: "libvpx-vp9", containers: []string{"mkv", "webm"}, options: vp9Options},
	AV1:   {encoder: "libaom-av1", containers: []string{"mp4", "mkv"}, options: av1Options},
	V210:  {encoder: "v210", containers: []string{"mov"}, options: fixed()},
	DPX:   {encoder: "dpx", containers: []string{"dpx"}, sequence: true, packed: true, options: fixed()},
	TIFF: {encoder: "tiff", containers: []string{"tif", "tiff"}, sequence: true, packed: true,
		options: fixed("compression_algo", "lzw")},
}

// muxers are FFmpeg's names by file name extension.
var muxers = map[string]string{"mkv": "matroska", "webm": "webm", "mov": "mov", "mp4": "mp4", "mxf": "mxf"}

func fixed(pairs ...string) func(Encoding) map[string]string {
	return func(Encoding) map[string]string {
		o := map[string]string{}
		for i := 0; i < len(pairs); i += 2 {
			o[pairs[i]] = pairs[i+1]
		}
		return o
	}
}

func proRes(profile string) func(Encoding) map[string]string {
	return func(e Encoding) map[string]string {
		o := map[string]string{"profile": profile, "vendor": "apl0"}
		if e.Quality > 0 {
			const lambda = 118 // FFmpeg's FF_QP2LAMBDA
			o["flags"], o["global_quality"] = "+qscale", strconv.Itoa(lambda*e.Quality)
		}
		return o
	}
}

// longGOP is the distance of key frames: half a second at the usual rates.
const longGOP = 12

func (e Encoding) quality(otherwise int) string {
	if e.Quality > 0 {
		otherwise = e.Quality
	}
	return strconv.Itoa(otherwise)
}

func (e Encoding) preset(otherwise string) string {
	if e.Preset != "" {
		return e.Preset
	}
	return otherwise
}

func hevcOptions(e Encoding) map[string]string {
	params := "log-level=none:keyint=1"
	if e.LongGOP {
		params = fmt.Sprintf("log-level=none:keyint=%d:min-keyint=%d:bframes=2:open-gop=0", longGOP, longGOP)
	}
	return map[string]string{"crf": e.quality(10), "preset": e.preset("veryfast"), "x265-params": params}
}

func h264Options(e Encoding) map[string]string {
	o := map[string]string{"crf": e.quality(12), "preset": e.preset("veryfast"), "g": "1"}
	if e.LongGOP {
		o["g"], o["bf"] = strconv.Itoa(longGOP), "2"
	}
	return o
}

func vp9Options(e Encoding) map[string]string {
	o := map[string]string{"crf": e.quality(12), "b": "0", "deadline": "realtime", "cpu-used": "6", "g": "1",
		"row-mt": "1"}
	if e.LongGOP {
		o["g"] = strconv.Itoa(longGOP)
	}
	return o
}

func av1Options(e Encoding) map[string]string {
	o := map[string]string{"crf": e.quality(12), "b": "0", "usage": "realtime", "cpu-used": "8", "g": "1", "row-mt": "1"}
	if e.LongGOP {
		o["g"] = strconv.Itoa(longGOP)
	}
	return o
}
