package decode

import (
	"fmt"
	"slices"
	"strconv"

	"github.com/asticode/go-astiav"
)

// framesAtOnce are the decoders that use several processors only by decoding several frames at
// once, each in memory of its own. All others share out the slices of one frame.
var framesAtOnce = []string{"h264", "hevc", "vp8", "vp9", "mpeg4", "mjpeg", "huffyuv", "ffvhuff", "utvideo"}

// newDecoder opens the decoder for a stream.
func newDecoder(p *astiav.CodecParameters, threads int) (*astiav.CodecContext, error) {
	codec := astiav.FindDecoder(p.CodecID())
	if codec == nil || !slices.Contains(codecs, codec.Name()) {
		return nil, fmt.Errorf("%w: codec %s", ErrUnsupported, p.CodecID().Name())
	}
	options := astiav.NewDictionary()
	defer options.Free()
	if err := options.Set("max_pixels", strconv.Itoa(largestPixels), 0); err != nil {
		return nil, err
	}
	cc := astiav.AllocCodecContext(codec)
	if err := cc.FromCodecParameters(p); err != nil {
		cc.Free()
		return nil, err
	}
	cc.SetThreadCount(threads)
	cc.SetThreadType(astiav.ThreadTypeSlice)
	if slices.Contains(framesAtOnce, codec.Name()) {
		cc.SetThreadType(astiav.ThreadTypeFrame)
	}
	if err := cc.Open(codec, options); err != nil {
		cc.Free()
		return nil, err
	}
	return cc, nil
}
