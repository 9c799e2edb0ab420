package decode

import (
	"math"
	"os"
	"strings"

	"github.com/asticode/go-astiav"
)

// probe fills in the clip's Info from an opened container.
func (c *Clip) probe(s *containerSource) error {
	p := s.parameters()
	facts := codecFactsOf(p)
	format, err := readable(p.PixelFormat())
	if err != nil {
		return err
	}
	i := &c.info
	*i = Info{
		Path: c.path, Container: containerName(s.format.InputFormat().Name()), Codec: p.CodecID().Name(),
		Profile: facts.profile, PixelFormat: format.name, Bits: format.bits, Chroma: format.chroma(), Layout: format.layout,
		Width: p.Width(), Height: p.Height(), Interlaced: facts.interlaced,
		Tags: tagsOf(s.format.Metadata(), s.stream.Metadata()),
	}
	if stat, err := os.Stat(c.path); err == nil {
		i.Bytes = stat.Size()
	}
	i.RotationDeg = rotation(s.stream)
	i.Timecode = i.Tags["timecode"]
	c.probeColour(p)
	c.probeLength(s)
	if !facts.intraOnly {
		for _, packet := range s.peek(peekedPackets) {
			i.LongGOP = i.LongGOP || !packet.Flags().Has(astiav.PacketFlagKey)
		}
	}
	return nil
}

// probeLength fills in rate, count and duration.
func (c *Clip) probeLength(s *containerSource) {
	rate := s.stream.AvgFrameRate()
	if rate.Num() <= 0 {
		rate = s.stream.RFrameRate()
	}
	if rate.Num() > 0 && rate.Den() > 0 {
		c.info.RateNum, c.info.RateDen = rate.Num(), rate.Den()
	}
	if d := s.stream.Duration(); d > 0 {
		c.info.DurationS = float64(d) * s.stream.TimeBase().Float64()
	} else if d := s.format.Duration(); d > 0 {
		c.info.DurationS = float64(d) / 1e6
	}
	c.info.Frames = s.shown()
	c.counted = c.info.Frames > 0
	if c.info.Frames == 0 {
		c.info.Frames = int(math.Round(c.info.DurationS * c.info.FrameRate()))
	}
}

// probeColour fills in what the stream is tagged as.
func (c *Clip) probeColour(p *astiav.CodecParameters) {
	c.info.Range = ranges[p.ColorRange()]
	if strings.HasPrefix(c.info.PixelFormat, "yuvj") {
		c.info.Range = "full"
	}
	c.info.Matrix = matrices[p.ColorSpace()]
	c.info.Transfer = transfers[p.ColorTransferCharacteristic()]
	c.info.Primaries = primaries[p.ColorPrimaries()]
}

var ranges = map[astiav.ColorRange]string{
	astiav.ColorRangeMpeg: "narrow",
	astiav.ColorRangeJpeg: "full",
}

var matrices = map[astiav.ColorSpace]string{
	astiav.ColorSpaceRgb:       "rgb",
	astiav.ColorSpaceBt709:     "bt709",
	astiav.ColorSpaceBt470Bg:   "bt601",
	astiav.ColorSpaceSmpte170M: "bt601",
	astiav.ColorSpaceBt2020Ncl: "bt2020",
}

// transfers and primaries carry the names of ITU-T H.273's tables as FFmpeg writes them.
var transfers = map[astiav.ColorTransferCharacteristic]string{
	astiav.ColorTransferCharacteristicBt709:      "bt709",
	astiav.ColorTransferCharacteristicGamma22:    "bt470m",
	astiav.ColorTransferCharacteristicGamma28:    "bt470bg",
	astiav.ColorTransferCharacteristicSmpte170M:  "smpte170m",
	astiav.ColorTransferCharacteristicSmpte240M:  "smpte240m",
	astiav.ColorTransferCharacteristicLinear:     "linear",
	astiav.ColorTransferCharacteristicLog:        "log100",
	astiav.ColorTransferCharacteristicLogSqrt:    "log316",
	astiav.ColorTransferCharacteristicIec6196624: "iec61966-2-4",
	astiav.ColorTransferCharacteristicBt1361Ecg:  "bt1361e",
	astiav.ColorTransferCharacteristicIec6196621: "iec61966-2-1",
	astiav.ColorTransferCharacteristicBt202010:   "bt2020-10",
	astiav.ColorTransferCharacteristicBt202012:   "bt2020-12",
	astiav.ColorTransferCharacteristicSmpte2084:  "smpte2084",
	astiav.ColorTransferCharacteristicSmpte428:   "smpte428",
	astiav.ColorTransferCharacteristicAribStdB67: "arib-std-b67",
}

var primaries = map[astiav.ColorPrimaries]string{
	astiav.ColorPrimariesBt709:     "bt709",
	astiav.ColorPrimariesBt470M:    "bt470m",
	astiav.ColorPrimariesBt470Bg:   "bt470bg",
	astiav.ColorPrimariesSmpte170M: "smpte170m",
	astiav.ColorPrimariesSmpte240M: "smpte240m",
	astiav.ColorPrimariesFilm:      "film",
	astiav.ColorPrimariesBt2020:    "bt2020",
	astiav.ColorPrimariesSmpte428:  "smpte428",
	astiav.ColorPrimariesSmpte431:  "smpte431",
	astiav.ColorPrimariesSmpte432:  "smpte432",
}

// containerName shortens FFmpeg's list of names for one demuxer.
func containerName(names string) string {
	switch first, _, _ := strings.Cut(names, ","); first {
	case "yuv4mpegpipe":
		return "yuv4mpeg"
	default:
		return first
	}
}

// rotation returns the clockwise turn of the display matrix, in steps of 90 degrees.
func rotation(s *astiav.Stream) int {
	m, err := astiav.NewDisplayMatrixFromBytes(s.SideData(astiav.PacketSideDataTypeDisplaymatrix))
	if err != nil || math.IsNaN(m.Rotation()) {
		return 0
	}
	return (int(math.Round(m.Rotation()/90))%4 + 4) % 4 * 90
}

// tagsOf merges dictionaries, the first having precedence.
func tagsOf(all ...*astiav.Dictionary) map[string]string {
	tags := map[string]string{}
	for _, d := range all {
		if d == nil {
			continue
		}
		every := astiav.NewDictionaryFlags(astiav.DictionaryFlagIgnoreSuffix)
		for e := d.Get("", nil, every); e != nil; e = d.Get("", e, every) {
			key := strings.ToLower(e.Key())
			if _, there := tags[key]; !there {
				tags[key] = e.Value()
			}
		}
	}
	return tags
}
