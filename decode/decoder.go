package decode

import (
	"fmt"
	"slices"
	"strconv"

	"github.com/asticode/go-astiav"
)

// framesAtOnce are the decoders that use several processors best by decoding several frames at
// once, each in memory of its own. All others share out the slices of one frame; so do these for
// pictures of more than largeFrame pixels, whose memory counts. H.264 is not among them: decoding
// several frames at once, it gives some out before their errors are known.
var framesAtOnce = []string{"hevc", "vp8", "vp9", "mjpeg", "huffyuv", "ffvhuff", "utvideo"}

const largeFrame = 2560 * 1440

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
	if slices.Contains(framesAtOnce, codec.Name()) && p.Width()*p.Height() <= largeFrame {
		cc.SetThreadType(astiav.ThreadTypeFrame)
	}
	if err := cc.Open(codec, options); err != nil {
		cc.Free()
		return nil, err
	}
	return cc, nil
}
