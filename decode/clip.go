// Package decode opens clips and reads their frames. It and the synthetic camera's encoders are
// the only rooms that see FFmpeg; it knows nothing of curves.
package decode

// Info is what a clip's container and codec say of themselves, before a frame is measured.
// A string is empty and a number 0 where the file does not say.
type Info struct {
	Path        string            // as given; of an image sequence, the first name and the last number
	Parts       []string          // paths of a clip recorded in several files, in order; nil for one in one
	Bytes       int64             // of the file, or of all files of a sequence
	Container   string            // FFmpeg's first name for it: mov, mxf, matroska ...; image, image sequence
	Codec       string            // prores, hevc, h264, dnxhd, ffv1, vp9, av1, v210, dpx, tiff ...
	Profile     string            // 422 HQ, Main 10, High 4:2:2 Intra ...
	PixelFormat string            // FFmpeg's name, yuv422p10le
	Bits        int               // of one component, as its samples are scaled
	RawBits     int               // of those, how many carry picture, from the top; Bits where not said
	Chroma      string            // 4:2:0, 4:2:2, 4:4:4, RGB, gray
	Layout      Layout            // what the planes of a frame hold
	Width       int               // pixels, as coded, before rotation
	Height      int               // pixels
	RotationDeg int               // clockwise degrees to turn for display: 0, 90, 180, 270
	RateNum     int               // frames a second = RateNum / RateDen
	RateDen     int               // 0 where unknown
	Frames      int               // displayed, as counted by the container, or else estimated from duration and rate
	DurationS   float64           // seconds
	Timecode    string            // of the first frame, HH:MM:SS:FF or HH:MM:SS;FF
	Range       string            // as tagged: narrow, full or ""
	Matrix      string            // as tagged: bt601, bt709, bt2020, rgb or ""
	Transfer    string            // as tagged, H.273 name in lower case (bt709, arib-std-b67, smpte2084) or ""
	Primaries   string            // as tagged, or ""
	Interlaced  bool              // frames are two fields, as tagged
	LongGOP     bool              // frames are predicted from others
	Truncated   bool              // the file ends before its container says it does
	Tags        map[string]string // container metadata as FFmpeg gives it, keys in lower case
}

// FrameRate returns frames a second, 0 where unknown.
func (i Info) FrameRate() float64 {
	if i.RateDen == 0 {
		return 0
	}
	return float64(i.RateNum) / float64(i.RateDen)
}

// A Span is a run of consecutive frames in display order.
type Span struct {
	First int // number of the first frame, from 0
	Count int // frames
}

// Groups is the sampling plan: runs of consecutive frames, evenly spaced over a clip of that
// many frames, each in the middle of its share of the clip. At most groups runs of perGroup
// frames are returned, in order; no two overlap and none is empty.
//
// A clip with fewer frames than asked for is read whole: in fewer runs, each of perGroup frames
// or up to twice that, so that no frame is left alone where runs matter. A clip of no frames,
// or a plan of none, gives nil.
func Groups(frames, groups, perGroup int) []Span {
	if frames <= 0 || groups <= 0 || perGroup <= 0 {
		return nil
	}
	if frames/groups < perGroup {
		return whole(frames, max(frames/perGroup, 1))
	}
	spans := make([]Span, groups)
	for i := range spans {
		from, to := share(frames, i, groups), share(frames, i+1, groups)
		spans[i] = Span{First: from + (to-from-perGroup)/2, Count: perGroup}
	}
	return spans
}

// whole cuts all frames into n runs without gaps.
func whole(frames, n int) []Span {
	spans := make([]Span, n)
	for i := range spans {
		from, to := share(frames, i, n), share(frames, i+1, n)
		spans[i] = Span{First: from, Count: to - from}
	}
	return spans
}

// share returns where part i of n begins. It is written so that frames*n cannot overflow.
func share(frames, i, n int) int {
	return frames/n*i + frames%n*i/n
}
