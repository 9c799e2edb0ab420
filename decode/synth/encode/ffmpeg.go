package encode

// #cgo pkg-config: libavformat libavcodec libavutil
// #include <stdlib.h>
// #include <libavcodec/avcodec.h>
// #include <libavformat/avformat.h>
//
// static uint8_t *plane(void *frame, int i, int *stride) {
//	*stride = ((AVFrame *)frame)->linesize[i];
//	return ((AVFrame *)frame)->data[i];
// }
// static void set_colour(void *frame, int space, int primaries, int transfer) {
//	((AVFrame *)frame)->colorspace = space;
//	((AVFrame *)frame)->color_primaries = primaries;
//	((AVFrame *)frame)->color_trc = transfer;
// }
// static int set_metadata(void *muxer, const char *key, const char *value) {
//	return av_dict_set(&((AVFormatContext *)muxer)->metadata, key, value, 0);
// }
// static const enum AVPixelFormat *formats(const void *codec, int *n) {
//	*n = 0;
// #if LIBAVCODEC_VERSION_INT >= AV_VERSION_INT(61, 13, 100)
//	const void *list = NULL;
//	return avcodec_get_supported_config(NULL, codec, AV_CODEC_CONFIG_PIX_FORMAT, 0, &list, n) < 0 ? NULL : list;
// #else
//	const enum AVPixelFormat *list = ((const AVCodec *)codec)->pix_fmts;
//	while (list && list[*n] != AV_PIX_FMT_NONE)
//		++*n;
//	return list;
// #endif
// }
// static int open_file(void *muxer, const char *path) {
//	return avio_open(&((AVFormatContext *)muxer)->pb, path, AVIO_FLAG_WRITE);
// }
// static int close_file(void *muxer) { return avio_closep(&((AVFormatContext *)muxer)->pb); }
import "C"

import (
	"fmt"
	"reflect"
	"unsafe"

	"github.com/asticode/go-astiav"

	"stopledger/decode"
)

// setMetadata sets a metadata entry of a muxer, before its header is written. The binding can
// read a container's metadata and not set it, so the C context is taken out of it.
func setMetadata(fc *astiav.FormatContext, key, value string) error {
	k, v := C.CString(key), C.CString(value)
	defer C.free(unsafe.Pointer(k))
	defer C.free(unsafe.Pointer(v))
	if code := C.set_metadata(muxerOf(fc), k, v); code < 0 {
		return fmt.Errorf("metadata %s: %w", key, astiav.Error(code))
	}
	return nil
}

func muxerOf(fc *astiav.FormatContext) unsafe.Pointer {
	return reflect.ValueOf(fc).Elem().FieldByName("c").UnsafePointer()
}

// formatsOf lists the pixel formats that an encoder takes.
func formatsOf(codec *astiav.Codec) (formats []astiav.PixelFormat) {
	var n C.int
	list := C.formats(reflect.ValueOf(codec).Elem().FieldByName("c").UnsafePointer(), &n)
	if list == nil {
		return nil
	}
	for _, f := range unsafe.Slice(list, int(n)) {
		formats = append(formats, astiav.PixelFormat(f))
	}
	return formats
}

// openFile makes the file that a muxer writes. The binding's own call takes other arguments from
// version to version.
func openFile(fc *astiav.FormatContext, path string) error {
	p := C.CString(path)
	defer C.free(unsafe.Pointer(p))
	if code := C.open_file(muxerOf(fc), p); code < 0 {
		return astiav.Error(code)
	}
	return nil
}

// closeFile does nothing where no file is open.
func closeFile(fc *astiav.FormatContext) error {
	if code := C.close_file(muxerOf(fc)); code < 0 {
		return astiav.Error(code)
	}
	return nil
}

// setColour copies the codec's colour description to a frame: some encoders take it from there.
func setColour(f *astiav.Frame, cc *astiav.CodecContext) {
	f.SetColorRange(cc.ColorRange())
	space, primaries, transfer := cc.ColorSpace(), cc.ColorPrimaries(), cc.ColorTransferCharacteristic()
	C.set_colour(f.UnsafePointer(), C.int(space), C.int(primaries), C.int(transfer))
}

// framePlane returns the bytes of the first rows of a plane of a frame and its stride in bytes.
func framePlane(f *astiav.Frame, i, rows int) (data []byte, stride int) {
	var s C.int
	p := C.plane(f.UnsafePointer(), C.int(i), &s)
	return unsafe.Slice((*byte)(p), int(s)*rows), int(s)
}

// fillFrame copies planes into a frame: planar, or R, G, B interleaved.
func fillFrame(f *astiav.Frame, p *decode.Frame, packed bool) {
	if packed {
		fillPacked(f, p)
		return
	}
	order := [3]int{0, 1, 2}
	if p.Layout == decode.RGB { // planar RGB is stored G, B, R
		order = [3]int{1, 2, 0}
	}
	for i, source := range order {
		from := p.Planes[source]
		data, stride := framePlane(f, i, from.Height)
		for y := range from.Height {
			putSamples(data[y*stride:], from.Row(y), p.Bits, 1)
		}
	}
}

// fillPacked interleaves R, G, B.
func fillPacked(f *astiav.Frame, p *decode.Frame) {
	height := p.Planes[0].Height
	data, stride := framePlane(f, 0, height)
	size := (p.Bits + 7) / 8
	for y := range height {
		for c, from := range p.Planes {
			putSamples(data[y*stride+c*size:], from.Row(y), p.Bits, 3)
		}
	}
}

// putSamples writes samples as bytes or little-endian pairs, step samples apart.
func putSamples(dst []byte, row []uint16, bits, step int) {
	if bits == 8 {
		for i, v := range row {
			dst[i*step] = byte(v)
		}
		return
	}
	for i, v := range row {
		dst[2*i*step], dst[2*i*step+1] = byte(v), byte(v>>8)
	}
}
