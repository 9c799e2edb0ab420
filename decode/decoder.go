package decode

import (
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"github.com/asticode/go-astiav"
)

// framesAtOnce are the decoders that use several processors best by decoding several frames at
// once, each in memory of its own. All others share out the slices of one frame; so do these for
// pictures of more than LargeFrame pixels, whose memory counts. H.264 is not among them: decoding
// several frames at once, it gives some out before their errors are known.
var framesAtOnce = []string{"hevc", "vp8", "vp9", "mjpeg", "huffyuv", "ffvhuff", "utvideo"}

// independent are the decoders that take nothing from one frame to the next: neither contexts, as FFV1's does, nor
// tables and parameter sets.
var independent = []string{"prores", "dnxhd"}

// clipping are the decoders that clip each sample to the depth of its format, whatever a stream holds (av_clip_pixel
// in libavcodec, from memory; depth_test.go damages streams). H.264 is not among them: its lossless coding adds
// without.
var clipping = []string{"prores", "dnxhd", "hevc"}

// LargeFrame is the most pixels of frames of which some more may be held to be done sooner: of larger ones memory
// counts.
const LargeFrame = 2560 * 1440

// Large tells whether a clip's frames are larger than LargeFrame.
func (i Info) Large() bool { return large(i.Width, i.Height) }

// Large tells whether a frame is larger than LargeFrame.
func (f *Frame) Large() bool { return large(f.Planes[0].Width, f.Planes[0].Height) }

func large(width, height int) bool { return width*height > LargeFrame }

// headersAlone are the decoders of pictures predicted from others that set size and format from a packet of which
// they are to decode nothing (skip_frame).
var headersAlone = []string{"hevc"}

// mostThreads bounds the decoder's own threads: with frame threads each costs a picture.
const mostThreads = 4

// defaultThreads are those of a decoder where nobody says.
func defaultThreads() int { return min(runtime.GOMAXPROCS(0), mostThreads) }

// newDecoder opens the decoder for a stream, with options of FFmpeg's.
func newDecoder(p *astiav.CodecParameters, threads int, more ...[2]string) (*astiav.CodecContext, error) {
	codec, err := allowedDecoder(p)
	if err != nil {
		return nil, err
	}
	options := astiav.NewDictionary()
	defer options.Free()
	for _, o := range append(more, [2]string{"max_pixels", strconv.Itoa(largestPixels)}) {
		if err := options.Set(o[0], o[1], 0); err != nil {
			return nil, err
		}
	}
	cc := astiav.AllocCodecContext(codec)
	if err := cc.FromCodecParameters(p); err != nil {
		cc.Free()
		return nil, err
	}
	cc.SetThreadCount(threads)
	cc.SetThreadType(astiav.ThreadTypeSlice)
	if slices.Contains(framesAtOnce, codec.Name()) && !large(p.Width(), p.Height()) {
		cc.SetThreadType(astiav.ThreadTypeFrame)
	}
	if err := cc.Open(codec, options); err != nil {
		cc.Free()
		return nil, err
	}
	return cc, nil
}

// allowedDecoder finds the decoder for a stream, or says that its codec is not read.
func allowedDecoder(p *astiav.CodecParameters) (*astiav.Codec, error) {
	codec := astiav.FindDecoder(p.CodecID())
	if codec == nil || !slices.Contains(codecs, codec.Name()) {
		return nil, unreadCodec{codecTitle(p)}
	}
	return codec, nil
}

// An unreadCodec is an error of kind ErrUnsupported: the file may be sound.
type unreadCodec struct{ title string }

func (u unreadCodec) Error() string { return ErrUnsupported.Error() + ": codec " + u.title }
func (u unreadCodec) Unwrap() error { return ErrUnsupported }

// containers are the demuxers that may open a file, by FFmpeg's short names. Whatever refers
// to other files or addresses by its nature (playlists, scripts, session descriptions) is not
// among them. Still pictures are read without a demuxer.
var containers = []string{
	"mov", "matroska", "mxf", "avi", "mpegts", "mpeg", "ivf", "yuv4mpegpipe", "gxf",
	"h264", "hevc", "av1", "obu", "dv", "dnxhd", "m4v", "mpegvideo",
}

// codecs are the video decoders that may run: those of cameras, recorders and intermediates.
var codecs = []string{
	"prores", "dnxhd", "h264", "hevc", "vp8", "vp9", "libdav1d", "av1", "ffv1", "v210", "v410", "r210",
	"r10k", "rawvideo", "mjpeg", "mpeg2video", "mpeg4", "dvvideo", "png", "tiff", "dpx",
	"jpeg2000", "cfhd", "huffyuv", "ffvhuff", "utvideo", "magicyuv", "qtrle", "targa_y216", "v308", "v408",
}

// lockedDown returns the options under which FFmpeg opens a container: it may read local files
// only, by the listed demuxers and decoders only, and a MOV's references to other files stay
// unread. The caller frees the dictionary.
func lockedDown() (*astiav.Dictionary, error) {
	d := astiav.NewDictionary()
	for _, option := range [][2]string{
		{"protocol_whitelist", "file"},
		{"format_whitelist", strings.Join(containers, ",")},
		{"codec_whitelist", strings.Join(codecs, ",")},
		{"enable_drefs", "0"},
		{"use_absolute_path", "0"},
	} {
		if err := d.Set(option[0], option[1], 0); err != nil {
			d.Free()
			return nil, err
		}
	}
	return d, nil
}

// localURL returns the address by which FFmpeg's file protocol opens path and nothing else:
// what follows "file:" is taken literally, so that names such as "http://x", "concat:a|b",
// "-i" or "a%d.mov" are just names.
func localURL(path string) (string, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	return "file:" + abs, nil
}
