package decode

import (
	"math"
	"os"
	"strings"

	"github.com/asticode/go-astiav"
)

// probeContainer reads what a container says of itself. The first packet is decoded for what only
// frames say; of codecs that predict frames from others, that is the picture's size and format.
func probeContainer(path string, s *containerSource) (Info, error) {
	facts := codecFactsOf(s.parameters())
	i := Info{Path: path, Container: s.kind, Bytes: fileBytes(path), RotationDeg: rotation(s.stream), Tags: s.tags()}
	i.Timecode = i.Tags["timecode"]
	i.Truncated = s.end(path) > i.Bytes
	s.probeLength(&i)
	packets := s.peek(peekedPackets)
	first := decodeOne(s.parameters(), packets[0])
	for _, packet := range packets {
		i.LongGOP = i.LongGOP || !facts.intraOnly && !packet.Flags().Has(astiav.PacketFlagKey)
	}
	if s.parameters().CodecID() == astiav.CodecIDFfv1 {
		i.LongGOP = false // its frames share probabilities, not pictures
	}
	return i, probeStream(&i, s.parameters(), first)
}

// peekedPackets are looked at to see whether frames are predicted from others.
const peekedPackets = 3

// probeStream fills in what the stream's parameters and its first picture, if there is one, say.
func probeStream(i *Info, p *astiav.CodecParameters, first *rawPicture) error {
	facts := codecFactsOf(p)
	i.Codec, i.Profile = p.CodecID().Name(), facts.profile
	i.Width, i.Height = p.Width(), p.Height()
	i.Interlaced = facts.interlaced
	code := p.PixelFormat()
	if first != nil { // FFmpeg's parameters may be those of a later picture
		code, i.Width, i.Height = first.format, first.width, first.height
	}
	if first != nil && facts.intraOnly {
		i.Interlaced = i.Interlaced || first.fields
	}
	format, err := readable(code)
	if err != nil {
		return err
	}
	if err := bounded(i.Width, i.Height); err != nil {
		return err
	}
	i.PixelFormat, i.Bits, i.Chroma, i.Layout = format.name, format.bits, format.chroma(), format.layout
	i.RawBits = i.Bits
	if facts.rawBits > 0 && facts.rawBits < i.Bits && code == p.PixelFormat() {
		i.RawBits = facts.rawBits
	}
	if i.Layout == RGB {
		i.Matrix = "rgb" // as FFmpeg 7.1 and later say of every RGB picture
	}
	colourTagsOf(p).name(i)
	if first != nil && facts.intraOnly {
		first.colour.name(i)
	}
	return nil
}

// decodeOne decodes one packet that needs no other; nil if that fails. What is returned has no
// samples.
func decodeOne(p *astiav.CodecParameters, packet *astiav.Packet) *rawPicture {
	decoder, err := newDecoder(p, 1)
	if err != nil {
		return nil
	}
	defer decoder.Free()
	frame := astiav.AllocFrame()
	defer frame.Free()
	if decoder.SendPacket(packet) != nil || decoder.SendPacket(nil) != nil || decoder.ReceiveFrame(frame) != nil {
		return nil
	}
	picture := rawPictureOf(frame)
	picture.data = rawPicture{}.data
	return &picture
}

// probeLength fills in rate, count and duration.
func (s *containerSource) probeLength(i *Info) {
	rate, nominal := s.stream.AvgFrameRate(), s.stream.RFrameRate()
	hidden := s.index != nil && s.shown() < len(s.index) // the mean counts frames that an edit list hides
	if hidden || rate.Num() <= 0 || rate.Den() <= 0 || tickRate(s, rate) && nominal.Float64() < rate.Float64() {
		rate = nominal
	}
	if s.kind == "mxf" && s.stream.TimeBase().Num() > 0 { // an edit unit, which is a frame
		rate = astiav.NewRational(s.stream.TimeBase().Den(), s.stream.TimeBase().Num())
	}
	if rate.Num() > 0 && rate.Den() > 0 {
		i.RateNum, i.RateDen = rate.Num(), rate.Den()
	}
	if d := s.stream.Duration(); d > 0 {
		i.DurationS = float64(d) * s.stream.TimeBase().Float64()
	} else if d := s.format.Duration(); d > 0 {
		i.DurationS = float64(d) / 1e6 // AV_TIME_BASE
		if s.kind == "matroska" {      // where it is the time of the end
			i.DurationS -= float64(s.start()) * s.stream.TimeBase().Float64()
		}
	}
	if !(i.DurationS > 0) {
		i.DurationS = 0
	}
	if i.Frames = s.shown(); i.Frames <= 0 {
		i.Frames = int(min(math.Round(i.DurationS*i.FrameRate()), math.MaxInt32))
	}
}

// tickRate tells a mean that is only the time base, in milliseconds or finer, from a frame rate.
func tickRate(s *containerSource, rate astiav.Rational) bool {
	base := s.stream.TimeBase()
	return base.Den() >= 1000*base.Num() && rate.Num()*base.Num() == rate.Den()*base.Den()
}

// tags merges the metadata of the file, the stream and, for a timecode, the other streams.
func (s *containerSource) tags() map[string]string {
	tags := map[string]string{}
	merge(tags, s.format.Metadata())
	merge(tags, s.stream.Metadata())
	for _, other := range s.format.Streams() {
		theirs := map[string]string{}
		merge(theirs, other.Metadata())
		if t := theirs["timecode"]; t != "" && tags["timecode"] == "" {
			tags["timecode"] = t
		}
	}
	return tags
}

// merge adds a dictionary's entries whose keys are not there yet.
func merge(tags map[string]string, d *astiav.Dictionary) {
	if d == nil {
		return
	}
	every := astiav.NewDictionaryFlags(astiav.DictionaryFlagIgnoreSuffix)
	for e := d.Get("", nil, every); e != nil; e = d.Get("", e, every) {
		key := strings.ToLower(e.Key())
		if _, there := tags[key]; !there {
			tags[key] = strings.ToValidUTF8(e.Value(), "?")
		}
	}
}

func fileBytes(path string) int64 {
	stat, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return stat.Size()
}

// rotation returns the clockwise turn of the display matrix, in steps of 90 degrees.
func rotation(s *astiav.Stream) int {
	turn := displayTurn(s)
	if math.IsNaN(turn) {
		return 0
	}
	return (int(math.Round(turn/90))%4 + 4) % 4 * 90
}
