package decode

/*
#cgo pkg-config: libavformat libavcodec libavutil
#cgo linux LDFLAGS: -Wl,--as-needed
#include <math.h>
#include <stdlib.h>
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/display.h>
#include <libavutil/frame.h>
#include <libavutil/mem.h>
#include <libavutil/pixdesc.h>
#if defined(__GLIBC__)
#include <malloc.h>
// Without this, glibc takes the planes of large frames from its heaps once the first have
// been freed, and keeps a hole of each size in the heap of each of FFmpeg's threads. Packets, which are
// smaller, stay in the heap: a page that goes back to the system is cleared before it is used again.
static void give_back_frames(void) {
	mallopt(M_MMAP_THRESHOLD, 2000000); // just under the chroma planes of 1920x1080
	mallopt(M_TRIM_THRESHOLD, 8 << 20);
}
#else
static void give_back_frames(void) {}
#endif

// Bit fields are out of Go's reach.
static int entry_flags(const AVIndexEntry *e) { return e->flags; }
static int entry_size(const AVIndexEntry *e) { return e->size; }

// FFmpeg asks this during every read whether to give up.
static int given_up(void *flag) { return __atomic_load_n((int32_t *)flag, __ATOMIC_RELAXED); }
static void ask(AVFormatContext *f, void *flag) { f->interrupt_callback = (AVIOInterruptCB){given_up, flag}; }

// FFmpeg 6.1 moved what belongs to a whole stream to its parameters, and a frame's fields to its
// flags; FFmpeg 8 has only those.
static double display_turn(const AVStream *s) {
	const uint8_t *matrix = NULL;
	size_t size = 0;
#if LIBAVCODEC_VERSION_INT >= AV_VERSION_INT(60, 30, 100)
	const AVPacketSideData *d = av_packet_side_data_get(s->codecpar->coded_side_data,
		s->codecpar->nb_coded_side_data, AV_PKT_DATA_DISPLAYMATRIX);
	if (d) { matrix = d->data; size = d->size; }
#else
	matrix = av_stream_get_side_data(s, AV_PKT_DATA_DISPLAYMATRIX, &size);
#endif
	return matrix && size >= 9 * sizeof(int32_t) ? -av_display_rotation_get((const int32_t *)matrix) : NAN;
}
static int interlaced(const AVFrame *f) {
#ifdef AV_FRAME_FLAG_INTERLACED
	return f->flags & AV_FRAME_FLAG_INTERLACED;
#else
	return f->interlaced_frame;
#endif
}
*/
import "C"

import (
	"encoding/binary"
	"fmt"
	"runtime"
	"sync/atomic"
	"unsafe"

	"github.com/asticode/go-astiav"
)

// This file holds what go-astiav keeps to itself (a frame's planes without a copy, pixel format
// descriptors, a few fields of a stream) and what its versions name differently, so that the rest
// builds with FFmpeg 5.1, 7.1 and later.

// largestSide and largestPixels bound a picture: 8192x8192 is more than any camera's frame
// today, and a header that claims more is refused before memory is asked for.
const (
	largestSide   = 16384
	largestPixels = 8192 * 8192
)

// largestBlock bounds any single piece of memory FFmpeg asks for, so that a forged header
// cannot take the machine down: one plane of the largest picture, eight bytes a pixel.
const largestBlock = largestPixels * 8

// init also makes the memory of frames go back to the system when they are released: a third less
// at the peak for 3840x2160 (cmd/bench).
func init() {
	C.av_max_alloc(largestBlock)
	C.give_back_frames()
}

// newSamples returns memory for samples outside Go's heap, nil where there is none. It goes back to the
// system the moment it is freed, so that no frame waits for a collection: those of pictures take
// hundreds of megabytes.
func newSamples(n int) []uint16 {
	p := (*uint16)(C.av_malloc(C.size_t(2 * n)))
	if p == nil {
		return nil
	}
	return unsafe.Slice(p, n)
}

func freeSamples(s []uint16) { C.av_free(unsafe.Pointer(unsafe.SliceData(s))) }

// rawPicture is what a decoded frame says of itself.
type rawPicture struct {
	data     [4]unsafe.Pointer
	linesize [4]int // bytes from one row to the next, may be negative
	width    int
	height   int
	format   astiav.PixelFormat
	pts      int64 // best effort, noTime where unknown
	corrupt  bool  // the decoder hid errors in it
	fields   bool  // interlaced
	colour   colourTags
}

// freeChroma gives up the memory of a frame's planes but the first, where it is memory of their own.
func freeChroma(f *astiav.Frame) {
	c := (*C.AVFrame)(f.UnsafePointer())
	for i := 1; i < len(c.buf); i++ {
		C.av_buffer_unref(&c.buf[i])
		c.data[i] = nil
	}
}

// libraryMajor is libavcodec's version: 59 in FFmpeg 5.1, 61 in 7, 62 in 8, 63 in 9.
const libraryMajor = C.LIBAVCODEC_VERSION_MAJOR

const noTime = int64(-1 << 63) // AV_NOPTS_VALUE

func rawPictureOf(f *astiav.Frame) rawPicture {
	c := (*C.AVFrame)(f.UnsafePointer())
	p := rawPicture{
		width: int(c.width), height: int(c.height),
		format:  astiav.PixelFormat(c.format),
		pts:     int64(c.best_effort_timestamp),
		corrupt: c.decode_error_flags != 0 || c.flags&C.AV_FRAME_FLAG_CORRUPT != 0,
		fields:  C.interlaced(c) != 0,
		colour: colourTags{
			astiav.ColorRange(c.color_range), astiav.ColorSpace(c.colorspace),
			astiav.ColorTransferCharacteristic(c.color_trc), astiav.ColorPrimaries(c.color_primaries),
		},
	}
	for i := range p.data {
		p.data[i] = unsafe.Pointer(c.data[i])
		p.linesize[i] = int(c.linesize[i])
	}
	return p
}

// A component says where one component's samples lie in a frame's memory: in bytes from one to
// the next and from the row's start, then in bits to shift away.
type component struct{ plane, step, offset, shift, depth int }

// A description is FFmpeg's account of a pixel format.
type description struct {
	name                   string
	components             []component // Y Cb Cr, R G B or Y; then alpha
	chromaLogX, chromaLogY int         // log2 of the chroma subsampling
	rgb, alpha, bigEndian  bool
	unreadable             bool // palette, bits without bytes, Bayer, float, or not in memory
}

// describe returns FFmpeg's description of a pixel format, and false for an unknown one.
func describe(pf astiav.PixelFormat) (description, bool) {
	c := C.av_pix_fmt_desc_get(C.enum_AVPixelFormat(pf))
	if c == nil {
		return description{}, false
	}
	flag := func(bit C.uint64_t) bool { return c.flags&bit != 0 }
	d := description{
		name:       C.GoString(c.name),
		chromaLogX: int(c.log2_chroma_w),
		chromaLogY: int(c.log2_chroma_h),
		rgb:        flag(C.AV_PIX_FMT_FLAG_RGB),
		alpha:      flag(C.AV_PIX_FMT_FLAG_ALPHA),
		bigEndian:  flag(C.AV_PIX_FMT_FLAG_BE),
		unreadable: flag(C.AV_PIX_FMT_FLAG_PAL | C.AV_PIX_FMT_FLAG_BITSTREAM | C.AV_PIX_FMT_FLAG_HWACCEL |
			C.AV_PIX_FMT_FLAG_BAYER | C.AV_PIX_FMT_FLAG_FLOAT),
	}
	for i := range int(c.nb_components) {
		k := c.comp[i]
		d.components = append(d.components, component{
			plane: int(k.plane), step: int(k.step), offset: int(k.offset), shift: int(k.shift), depth: int(k.depth),
		})
	}
	return d, true
}

// codecFacts are fields of a stream's parameters that go-astiav does not hand out.
type codecFacts struct {
	profile    string
	rawBits    int  // significant bits of a sample, 0 where unknown
	interlaced bool // field order says so
	intraOnly  bool // no frame of this codec can refer to another
	delay      int  // frames of reordering
}

// codecFactsOf looks through CodecParameters, which is a struct of one pointer.
func codecFactsOf(p *astiav.CodecParameters) codecFacts {
	c := *(**C.AVCodecParameters)(unsafe.Pointer(p))
	f := codecFacts{rawBits: int(c.bits_per_raw_sample), delay: int(c.video_delay)}
	f.interlaced = c.field_order > C.AV_FIELD_PROGRESSIVE
	if name := C.avcodec_profile_name(c.codec_id, c.profile); name != nil {
		f.profile = C.GoString(name)
	}
	if d := C.avcodec_descriptor_get(c.codec_id); d != nil {
		f.intraOnly = d.props&C.AV_CODEC_PROP_INTRA_ONLY != 0
	}
	return f
}

// codecTitle names a stream's codec in full, or by the four characters that the file has for it.
func codecTitle(p *astiav.CodecParameters) string {
	c := *(**C.AVCodecParameters)(unsafe.Pointer(p))
	if d := C.avcodec_descriptor_get(c.codec_id); d != nil && c.codec_id != C.AV_CODEC_ID_NONE {
		return fmt.Sprintf("%s (%s)", C.GoString(d.long_name), C.GoString(d.name))
	}
	if c.codec_tag == 0 {
		return "unidentified"
	}
	tag := make([]byte, 4)
	binary.LittleEndian.PutUint32(tag, uint32(c.codec_tag))
	return fmt.Sprintf("%q", tag)
}

// flush makes a decoder forget what was sent to it, and ready for a packet from elsewhere.
func flush(c *astiav.CodecContext) { C.avcodec_flush_buffers(*(**C.AVCodecContext)(unsafe.Pointer(c))) }

// payload is the memory of a packet made by AllocPayload, valid until it is unreferenced.
func payload(p *astiav.Packet) []byte {
	c := *(**C.AVPacket)(unsafe.Pointer(p))
	return unsafe.Slice((*byte)(unsafe.Pointer(c.data)), int(c.size))
}

// attachedPicture tells a cover picture from a film.
func attachedPicture(s *astiav.Stream) bool {
	c := *(**C.AVStream)(unsafe.Pointer(s))
	return c.disposition&(C.AV_DISPOSITION_ATTACHED_PIC|C.AV_DISPOSITION_STILL_IMAGE) != 0
}

// displayTurn is the clockwise turn of a stream's display matrix in degrees, NaN without one.
func displayTurn(s *astiav.Stream) float64 {
	return float64(C.display_turn(*(**C.AVStream)(unsafe.Pointer(s))))
}

// An interrupter makes FFmpeg give up reading a container. It may be used after the container is
// closed.
type interrupter struct {
	asked  *atomic.Int32
	pinned runtime.Pinner // FFmpeg keeps the address
}

func newInterrupter(f *astiav.FormatContext) *interrupter {
	i := &interrupter{asked: new(atomic.Int32)}
	i.pinned.Pin(i.asked)
	C.ask(*(**C.AVFormatContext)(unsafe.Pointer(f)), unsafe.Pointer(i.asked))
	return i
}

func (i *interrupter) interrupt() { i.asked.Store(1) }
func (i *interrupter) free()      { i.pinned.Unpin() }

// An indexEntry is one packet in a container's index.
type indexEntry struct {
	pos  int64 // byte in the file
	end  int64 // of the packet
	dts  int64 // in the stream's time base
	key  bool
	skip bool // hidden by an edit list
}

// mostEntries bounds an index: more than ten hours at 100 frames a second.
const mostEntries = 4 << 20

// indexOf returns the container's index of a stream, in decoding order; nil without one, and
// for one of more than mostEntries.
func indexOf(s *astiav.Stream) []indexEntry {
	c := *(**C.AVStream)(unsafe.Pointer(s))
	n := int(C.avformat_index_get_entries_count(c))
	if n <= 0 || n > mostEntries {
		return nil
	}
	entries := make([]indexEntry, n)
	for i := range entries {
		e := C.avformat_index_get_entry(c, C.int(i))
		flags := C.entry_flags(e)
		entries[i] = indexEntry{
			pos: int64(e.pos), end: int64(e.pos) + int64(C.entry_size(e)), dts: int64(e.timestamp),
			key: flags&C.AVINDEX_KEYFRAME != 0, skip: flags&C.AVINDEX_DISCARD_FRAME != 0,
		}
	}
	return entries
}

// Libraries returns the versions of FFmpeg's libraries that clips are read with: "libavcodec 59.37.100".
func Libraries() []string {
	version := func(name string, v C.unsigned) string {
		return fmt.Sprintf("%s %d.%d.%d", name, v>>16, v>>8&0xff, v&0xff)
	}
	return []string{version("libavformat", C.avformat_version()), version("libavcodec", C.avcodec_version()),
		version("libavutil", C.avutil_version())}
}
